//go:build goolm && homeserver

package matrix

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix/id"
)

// mostAbove is how much longer than the echo Becket may take, as a share of the echo's time.
const mostAbove = 0.10

// leastAnswers is how many answers of each it takes to say anything.
const leastAnswers = 200

// answersInSpeed are those of one inspection.
var answersInSpeed = []struct{ text, then string }{
	{"a", "The cleat"}, {"clear", "Width of the line"}, {"4.9 5 4.9", "A photo of the spot"}, {"no photo", "By the rules"},
}

// BenchmarkBesideAnEcho measures Becket beside the least that a bot with the same library can be: testdata/echo. Both are programs
// of their own on one homeserver, each behind a proxy of the same kind, and are spoken to in turns in encrypted rooms. A time goes
// from an answer leaving an app to the next question standing in it.
//
//	.ci/outside -run ^$ -bench BesideAnEcho -benchtime 5x -v
func BenchmarkBesideAnEcho(b *testing.B) {
	s, _ := newScene(b, true)
	s.ana.says(s.room, "", "due")
	s.ana.hears("Due within")
	s.b.end()
	becket := &measured{process: newProcess(b, s.b), proxy: s.b.proxy}
	echo := &measured{process: newEcho(b, s.hs)}
	echo.proxy = echo.b.proxy
	becket.start()
	echo.start()
	becket.room, echo.room = s.room, s.ana.room(true, echo.b.user)
	s.ana.sees(echo.room, echo.b.user)
	echo.root = s.ana.says(echo.room, "", "inspect K-1")
	s.ana.hears("inspect K-1")
	for b.Loop() {
		for range leastAnswers / len(answersInSpeed) {
			becket.root = s.ana.says(s.room, "", "inspect K-1")
			s.ana.hears("Run it all off")
			for _, step := range answersInSpeed {
				becket.answers(s.ana, step.text, step.then)
				echo.answers(s.ana, step.text, step.text)
			}
			s.ana.says(s.room, becket.root, "leave off")
			s.ana.hears("Left off")
		}
	}
	memory := []float64{becket.megabytes(), echo.megabytes()}
	for range 5 {
		becket.restarts()
		echo.restarts()
	}
	b.ReportMetric(0, "ns/op")
	report := func(what string, becket, echo float64) {
		b.ReportMetric(becket, "becket-"+what)
		b.ReportMetric(echo, "echo-"+what)
	}
	for name, share := range map[string]int{"p50": 50, "p95": 95} {
		ours, theirs := percentile(becket.took, share), percentile(echo.took, share)
		report(name+"-ms", ours, theirs)
		b.ReportMetric(100*(ours/theirs-1), name+"-above-%")
		b.Logf("%s: Becket %.1f ms, the echo %.1f ms", name, ours, theirs)
		if ours > theirs*(1+mostAbove) {
			b.Errorf("%s: Becket takes %.1f ms, the echo %.1f ms", name, ours, theirs)
		}
	}
	report("MB", memory[0], memory[1])
	report("start-ms", percentile(becket.started, 50), percentile(echo.started, 50))
}

// measured is a program whose times are taken.
type measured struct {
	*process
	proxy         *proxy
	room          id.RoomID
	root          id.EventID
	took, started []time.Duration
}

// newEcho builds the echo and gives it an account.
func newEcho(b *testing.B, hs *homeserver) *process {
	b.Helper()
	p := &process{t: b, b: newBecket(b, hs), program: filepath.Join(b.TempDir(), "echo")}
	if out, err := exec.Command("go", "build", "-tags", "goolm", "-o", p.program, "./testdata/echo").CombinedOutput(); err != nil {
		b.Fatalf("building it: %v\n%s", err, out)
	}
	p.args = []string{p.b.config.Homeserver, p.b.user, p.b.config.Database}
	b.Cleanup(p.kill)
	return p
}

func (m *measured) answers(p *person, text, then string) {
	began := time.Now()
	p.says(m.room, m.root, text)
	p.hears(then)
	m.took = append(m.took, time.Since(began))
}

// restarts measures from the start to the first answer of the homeserver, with a device that is known.
func (m *measured) restarts() {
	m.kill()
	before, began := m.proxy.synced(), time.Now()
	m.start()
	for m.proxy.synced() == before {
		time.Sleep(time.Millisecond)
	}
	m.started = append(m.started, time.Since(began))
}

// megabytes is the memory that the program holds just now.
func (p *process) megabytes() float64 {
	p.t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.cmd.Process.Pid))
	if err != nil {
		p.t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), "VmRSS:")
	var kB float64
	if _, err := fmt.Sscan(rest, &kB); err != nil {
		p.t.Fatal(err)
	}
	return kB / 1024
}

// percentile is in milliseconds.
func percentile(all []time.Duration, share int) float64 {
	slices.Sort(all)
	return float64(all[len(all)*share/100].Microseconds()) / 1000
}
