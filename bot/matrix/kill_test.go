//go:build goolm && homeserver

package matrix

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"maunium.net/go/mautrix/id"
)

// process is Becket as a program of its own, which can be killed.
type process struct {
	t       testing.TB
	program string
	args    []string
	b       *becket
	cmd     *exec.Cmd
}

func newProcess(t testing.TB, b *becket) *process {
	t.Helper()
	p := &process{t: t, b: b, program: filepath.Join(t.TempDir(), "becket")}
	if out, err := exec.Command("go", "build", "-tags", "goolm", "-o", p.program, "becket").CombinedOutput(); err != nil {
		t.Fatalf("building it: %v\n%s", err, out)
	}
	config := fmt.Sprintf("homeserver: %s\nuser: %q\ndatabase: %q\nallow: {servers: [localhost]}\nreactions: %q\n",
		b.config.Homeserver, b.user, b.config.Database, b.config.Reactions)
	if err := os.WriteFile(p.program+".yaml", []byte(config), 0o600); err != nil {
		t.Fatal(err)
	}
	p.args = []string{"serve", "--flows", "testdata/flows", p.program + ".yaml"}
	t.Cleanup(p.kill)
	return p
}

func (p *process) start() {
	p.t.Helper()
	p.cmd = exec.Command(p.program, p.args...)
	p.cmd.Env = append(os.Environ(), passwordVariable+"="+p.b.config.password)
	p.cmd.Stderr = os.Stderr
	if err := p.cmd.Start(); err != nil {
		p.t.Fatal(err)
	}
}

// kill ends it at once.
func (p *process) kill() {
	if p.cmd == nil {
		return
	}
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait() // "signal: killed"
	p.cmd = nil
}

// TestKilledAtAnyInstant kills the program again and again while somebody answers in an encrypted room. Every message is
// answered once, in order, and the record is whole.
//
// By hand: BECKET_KILLS=300 for more of them, BECKET_SEED for those of an earlier run.
func TestKilledAtAnyInstant(t *testing.T) {
	kills, seed := fromEnvironment(t, "BECKET_KILLS", 15), fromEnvironment(t, "BECKET_SEED", rand.Int64())
	t.Logf("seed %d", seed)
	chance := rand.New(rand.NewPCG(uint64(seed), 0))
	s, _ := newScene(t, true)
	s.ana.says(s.room, "", "due")
	s.ana.hears("Due within")
	s.b.end()
	p := newProcess(t, s.b)
	p.start()
	root := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	var asked, answered []id.EventID
	for n := range kills {
		text, then := "a", "The cleat"
		if n%2 == 1 {
			text, then = "back", "Run it all off"
		}
		asked = append(asked, s.ana.says(s.room, root, text))
		time.Sleep(time.Duration(chance.Int64N(int64(120 * time.Millisecond))))
		p.kill()
		p.start()
		if chance.IntN(3) == 0 { // and once more while it starts
			time.Sleep(time.Duration(chance.Int64N(int64(60 * time.Millisecond))))
			p.kill()
			p.start()
		}
		answered = append(answered, s.ana.hears(then).RelatesTo.GetReplyTo())
	}
	s.ana.nothing(time.Second)
	p.kill()
	for n := range asked {
		if answered[n] != asked[n] {
			t.Errorf("answer %d belongs to %s, not to %s", n+1, answered[n], asked[n])
		}
	}
	s.b.start()
	s.b.verified()
}

func fromEnvironment(t *testing.T, name string, otherwise int64) int64 {
	t.Helper()
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return n
}
