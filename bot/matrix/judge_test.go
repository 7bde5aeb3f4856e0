//go:build goolm && homeserver && judge

package matrix

import (
	"bufio"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// judge is a client in another language, with other encryption than Becket's: tools/judge.
type judge struct {
	t     *testing.T
	cmd   *exec.Cmd
	in    io.WriteCloser
	lines *bufio.Scanner
}

// verdict is one line of what the judge prints.
type verdict struct {
	Room, Check, Why string
	Done             int
}

// startJudge starts it from BECKET_JUDGE, a folder with its scripts and what they lean on; .ci/outside makes one.
func startJudge(t *testing.T, hs *homeserver, user, password, becket string) *judge {
	t.Helper()
	folder := os.Getenv("BECKET_JUDGE")
	if folder == "" {
		t.Fatal("BECKET_JUDGE names no folder with the independent client; .ci/outside makes one and runs this test")
	}
	photo, err := filepath.Abs("../../testdata/photos/cam.png")
	if err != nil {
		t.Fatal(err)
	}
	j := &judge{t: t, cmd: exec.CommandContext(t.Context(), "node", filepath.Join(folder, "judge.js"))}
	j.cmd.Env = append(os.Environ(), "JUDGE_HOMESERVER="+hs.url(), "JUDGE_USER="+user, "JUDGE_PASSWORD="+password,
		"JUDGE_BECKET="+becket, "JUDGE_PHOTO="+photo)
	j.cmd.Stderr = os.Stderr
	out, err := j.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if j.in, err = j.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if err := j.cmd.Start(); err != nil {
		t.Fatalf("the independent client doesn't start: %v", err)
	}
	t.Cleanup(func() { _ = j.cmd.Process.Kill() })
	j.lines = bufio.NewScanner(out)
	return j
}

// next is the next line that it prints; false: it has ended.
func (j *judge) next() (v verdict, more bool) {
	j.t.Helper()
	if !j.lines.Scan() {
		return v, false
	}
	if err := json.Unmarshal(j.lines.Bytes(), &v); err != nil {
		j.t.Fatalf("the independent client printed %q: %v", j.lines.Text(), err)
	}
	return v, true
}

// room is the room that it has made, where it waits for Becket.
func (j *judge) room() string {
	j.t.Helper()
	v, more := j.next()
	if !more || v.Room == "" {
		j.t.Fatal("the independent client has made no room")
	}
	return v.Room
}

// goesOn lets it go on to its end. Each of its checks is a test of its own.
func (j *judge) goesOn() {
	j.t.Helper()
	if _, err := io.WriteString(j.in, "ready\n"); err != nil {
		j.t.Fatal(err)
	}
	checks, done := 0, 0
	for v, more := j.next(); more; v, more = j.next() {
		if v.Done > 0 {
			done = v.Done
			continue
		}
		checks++
		j.t.Run(v.Check, func(t *testing.T) {
			if v.Why != "" {
				t.Error(v.Why)
			}
		})
	}
	if err := j.cmd.Wait(); err != nil || checks == 0 || checks != done {
		j.t.Fatalf("the independent client ended after %d checks: %v", checks, err)
	}
}

// TestIndependentClient has somebody whose app shares nothing with Becket's hold a whole encrypted inspection with the
// program as it is installed. Nothing stands between them and the homeserver.
func TestIndependentClient(t *testing.T) {
	hs := startHomeserver(t)
	b := newBecket(t, hs)
	b.config.Homeserver, b.config.Reactions = hs.url(), "yes"
	ana, password := hs.register("ana")
	j := startJudge(t, hs, ana, password, b.user)
	p := newProcess(t, b)
	p.imports(j.room(), ana)
	p.start()
	j.goesOn()
	p.ends()
	b.photoKept("cam.png")
	if out, err := p.command("verify").CombinedOutput(); err != nil || !strings.HasPrefix(string(out), "All ") {
		t.Errorf("verify: %v\n%s", err, out)
	}
}

// imports gives a room its team.
func (p *process) imports(room, ana string) {
	p.t.Helper()
	file := p.program + "-team.yaml"
	if err := os.WriteFile(file, teamOf(p.t, room, ana, "@ben:localhost"), 0o600); err != nil {
		p.t.Fatal(err)
	}
	if out, err := p.command("import", "--flows", "testdata/flows", file).CombinedOutput(); err != nil {
		p.t.Fatalf("import: %v\n%s", err, out)
	}
}

// command is the program with its database.
func (p *process) command(args ...string) *exec.Cmd {
	return exec.CommandContext(p.t.Context(), p.program, append([]string{"--db", p.b.config.Database}, args...)...)
}

// ends asks it to end, as the system does, and tests that it has nothing to complain of.
func (p *process) ends() {
	p.t.Helper()
	began := time.Now()
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		p.t.Fatal(err)
	}
	if err := p.cmd.Wait(); err != nil {
		p.t.Errorf("Becket ended with: %v", err)
	}
	p.cmd = nil
	if took := time.Since(began); took > 5*time.Second {
		p.t.Errorf("it took %v to end", took)
	}
}
