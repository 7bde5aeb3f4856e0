package console_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"becket/store"
)

// The conversation that is killed goes by a clock that stands still, so that a killed one has to leave the very
// same journal as one that nobody disturbed, to the last hash.
const (
	begins = "2026-11-14T10:00:00Z"
	later  = "2027-06-14T10:00:00Z"
)

// TestKilledAtAnyInstant kills the program again and again (SIGKILL, a real file) while somebody talks to it, and
// each time sends the line without an answer once more. Kills are drawn afresh each time.
//
// By hand: BECKET_KILLS=500 for more of them (25 a conversation, one conversation after the other), BECKET_SEED for
// the ones of an earlier run.
func TestKilledAtAnyInstant(t *testing.T) {
	kills, seed := fromEnvironment(t, "BECKET_KILLS", 25), fromEnvironment(t, "BECKET_SEED", rand.Uint64()>>1)
	t.Logf("seed %d", seed)
	program := build(t)
	t.Chdir(t.TempDir())
	picture(t, "photo.png")
	calm := rehearse(t, program)
	chance := rand.New(rand.NewPCG(seed, 0))
	var all tally
	for all.kills() < int(kills) {
		all = all.plus(disturb(t, program, calm, chance, min(25, int(kills)-all.kills())))
		if t.Failed() {
			break
		}
	}
	t.Logf("%d kills: %d between a line and its done, %d while starting, %d after a done; %d lines were answered \"repeated\"",
		all.kills(), all.between, all.starting, all.after, all.repeated)
	if all.between*2 < all.kills() {
		t.Errorf("only %d of %d kills came between a line and its done", all.between, all.kills())
	}
}

func fromEnvironment(t *testing.T, name string, otherwise uint64) uint64 {
	t.Helper()
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	n, err := strconv.ParseUint(text, 10, 63)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return n
}

func build(t *testing.T) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "becket")
	if out, err := exec.Command("go", "build", "-o", program, "becket").CombinedOutput(); err != nil {
		t.Fatalf("building it: %v\n%s", err, out)
	}
	return program
}

func picture(t *testing.T, name string) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(f, image.NewGray(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// heard is what the test reads of a line from the program.
type heard struct {
	ID, Cause, Room, Thread, To, Text string
	Refused, Ready                    bool
	Ask                               *asked
	Done, Status, Error               string
	raw                               string
}

// asked is an awaited answer, as far as it takes to give one.
type asked struct {
	Section, Kind, Expect string
	Step                  any
	Choices               []struct{ Key string }
}

// process is the program under way.
type process struct {
	t     *testing.T
	cmd   *exec.Cmd
	in    io.Writer
	now   string // its clock
	lines chan heard
}

func start(t *testing.T, program, db, now string) *process {
	t.Helper()
	cmd := exec.Command(program, "chat", "--json", "--demo", "--seed", "1", "--db", db, "--now", now)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p := &process{t: t, cmd: cmd, in: in, now: now, lines: make(chan heard, 1000)}
	go p.read(out)
	return p
}

func (p *process) read(out io.Reader) {
	defer close(p.lines)
	r := bufio.NewReader(out)
	for {
		line, err := r.ReadString('\n')
		if err != nil {
			return // half a line was never said
		}
		h := heard{raw: line}
		if err := json.Unmarshal([]byte(line), &h); err != nil {
			p.t.Errorf("%v: %s", err, line)
		}
		p.lines <- h
	}
}

func (p *process) write(line string) {
	p.t.Helper()
	if _, err := io.WriteString(p.in, line); err != nil {
		p.t.Fatal(err)
	}
}

func (p *process) forward(now string) {
	p.write(asLine(p.t, map[string]any{"now": now}))
	p.now = now
}

// kill ends the process at once and gives what it had still said.
func (p *process) kill() (rest []heard) {
	if err := p.cmd.Process.Kill(); err != nil {
		p.t.Fatal(err)
	}
	for h := range p.lines {
		rest = append(rest, h)
	}
	_ = p.cmd.Wait() // "signal: killed"
	return rest
}

// finish ends the input and waits for the program to end.
func (p *process) finish() {
	if err := p.in.(io.Closer).Close(); err != nil {
		p.t.Error(err)
	}
	for h := range p.lines {
		p.t.Errorf("said at the end: %s", h.raw)
	}
	if err := p.cmd.Wait(); err != nil {
		p.t.Errorf("at the end of the input: %v", err)
	}
}

// twice names texts that were said under two ids for one cause to the same people.
func twice(said []heard) (wrong []string) {
	under := map[[5]string]string{}
	for _, h := range said {
		what := [5]string{h.Cause, h.Room, h.Thread, h.To, h.Text}
		if id, known := under[what]; known && id != h.ID && h.Cause != "" {
			wrong = append(wrong, fmt.Sprintf("%s and %s both say %q", id, h.ID, h.Text))
		}
		under[what] = h.ID
	}
	return wrong
}

func journal(t *testing.T, file string) (entries []store.Entry) {
	t.Helper()
	db, err := store.Open(t.Context(), file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	err = db.View(t.Context(), func(tx *store.Tx) error {
		waiting, err := tx.Waiting("console")
		if err != nil {
			return err
		}
		if len(waiting) > 0 {
			t.Errorf("%d messages still wait", len(waiting))
		}
		entries, err = tx.EntriesAfter(0, 1_000_000)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if unsent, err := db.Unsent(context.Background(), 10); err != nil || len(unsent) > 0 {
		t.Errorf("%d replies aren't delivered, %v", len(unsent), err)
	}
	return entries
}

func verified(t *testing.T, program, db string) {
	t.Helper()
	if out, err := exec.Command(program, "verify", "--db", db).CombinedOutput(); err != nil {
		t.Errorf("verify %s: %v\n%s", db, err, out)
	}
}

// tally counts kills by where they came.
type tally struct{ between, starting, after, repeated int }

func (a tally) kills() int { return a.between + a.starting + a.after }

func (a tally) plus(b tally) tally {
	return tally{a.between + b.between, a.starting + b.starting, a.after + b.after, a.repeated + b.repeated}
}

// disturbed is the conversation held again, and killed.
type disturbed struct {
	tally
	t       *testing.T
	program string
	db      string
	calm    conversation
	chance  *rand.Rand
	p       *process
	now     string
	said    []heard         // replies in the order in which each was first said
	byID    map[string]bool // of said
	sent    map[string]bool // messages sent already
	done    int             // messages done
}

// disturb holds the conversation again with so many kills, compares what is left with the calm one, and counts.
func disturb(t *testing.T, program string, calm conversation, chance *rand.Rand, kills int) tally {
	t.Helper()
	folder, err := os.MkdirTemp(".", "killed-")
	if err != nil {
		t.Fatal(err)
	}
	d := &disturbed{
		t: t, program: program, db: filepath.Join(folder, "killed.db"), calm: calm, chance: chance, now: begins,
		byID: map[string]bool{}, sent: map[string]bool{},
	}
	d.hold(d.instants(kills))
	d.compare()
	return d.tally
}

// instants draws before which messages the kills fall due, and of which sort: four in five between a line and its done.
func (d *disturbed) instants(kills int) map[int][]int {
	due := map[int][]int{}
	for n := range kills {
		at := d.chance.IntN(len(d.calm.messages) * 9 / 10) // one that misses is due again with the next message
		due[at] = append(due[at], n%10)
	}
	return due
}

func (d *disturbed) hold(due map[int][]int) {
	var pending []int
	d.restart()
	for d.done < len(d.calm.messages) && !d.t.Failed() {
		pending = append(pending, due[d.done]...)
		delete(due, d.done)
		if len(pending) == 0 {
			d.send()
			d.hear(nil)
			continue
		}
		if d.strike(pending[0]) {
			pending = pending[1:]
		}
	}
	if len(pending) > 0 {
		d.t.Errorf("%d kills never came", len(pending))
	}
	if !d.t.Failed() {
		d.p.finish()
	}
}

// strike kills the program and starts it again. It tells whether there was anything left to kill in time.
func (d *disturbed) strike(sort int) bool {
	switch sort {
	case 4: // after a done, before the next line
		d.after++
	case 9: // while it starts, once or twice in a row
		d.listen(d.p.kill())
		d.p = start(d.t, d.program, d.db, d.now)
		time.Sleep(d.instant(d.calm.opened))
		d.starting++
	default:
		before := d.done
		d.send()
		if d.hear(time.After(d.instant(d.calm.took))) {
			return false
		}
		d.listen(d.p.kill())
		if d.done == before {
			d.between++
		} else {
			d.after++
		}
		d.restart()
		return true
	}
	d.listen(d.p.kill())
	d.restart()
	return true
}

// instant draws a time to wait, rather a short one: an answer that is slow to come is slow at its beginning too.
func (d *disturbed) instant(within time.Duration) time.Duration {
	share := d.chance.Float64()
	return time.Duration(share * share * float64(within))
}

// restart starts the program and hears what it has to say before it is ready.
func (d *disturbed) restart() {
	d.p = start(d.t, d.program, d.db, d.now)
	for h := range d.p.lines {
		if h.Ready {
			return
		}
		d.listen([]heard{h})
	}
	d.t.Fatal("it ended before it was ready")
}

func (d *disturbed) send() {
	if d.p.now != d.now { // the reminder came as it started, before the clock could be put forward
		d.p.forward(d.now)
	}
	d.p.write(d.calm.messages[d.done].line)
}

// hear listens until the message sent is done, or until the time is up: then it tells false.
func (d *disturbed) hear(up <-chan time.Time) bool {
	for before := d.done; d.done == before; {
		select {
		case <-up:
			return false
		case h, open := <-d.p.lines:
			if !open {
				d.t.Fatal("it ended by itself")
			}
			d.listen([]heard{h})
		}
	}
	return true
}

// listen takes note of what was said.
func (d *disturbed) listen(lines []heard) {
	for _, h := range lines {
		switch {
		case h.Done != "":
			d.listenDone(h)
		case h.ID != "":
			d.listenReply(h)
		case !h.Ready:
			d.t.Errorf("it said %s", h.raw)
		}
	}
}

func (d *disturbed) listenReply(h heard) {
	if m := d.calm.messages[min(d.done, len(d.calm.messages)-1)]; m.id == h.ID {
		d.now = m.now
		d.done++
	}
	if d.byID[h.ID] {
		before := d.said[slices.IndexFunc(d.said, func(s heard) bool { return s.ID == h.ID })]
		if before.raw != h.raw {
			d.t.Errorf("%s was said as\n%sand as\n%s", h.ID, before.raw, h.raw)
		}
		return
	}
	d.byID[h.ID] = true
	d.said = append(d.said, h)
}

// listenDone tests that a done comes in its turn, after all replies, and as it came undisturbed.
func (d *disturbed) listenDone(h heard) {
	m := d.calm.messages[d.done]
	switch {
	case h.Done != m.id:
		d.t.Errorf("%s is done where %s was sent", h.Done, m.id)
	case h.Status == "repeated":
		d.repeated++
	case h.Status != m.status:
		d.t.Errorf("%s is %s, and undisturbed %s", m.id, h.Status, m.status)
	}
	said := 0
	for _, s := range d.said {
		if s.Cause == m.id {
			said++
		}
	}
	if want := d.calm.replies(m.id); said != want {
		d.t.Errorf("%s is done after %d of its %d replies", m.id, said, want)
	}
	d.now = m.now
	d.done++
}

// compare tests that nothing was lost, nothing is there twice, and all is in its order.
func (d *disturbed) compare() {
	if d.t.Failed() {
		return
	}
	raw := func(said []heard) (lines []string) {
		for _, h := range said {
			lines = append(lines, h.raw)
		}
		return lines
	}
	if diff := cmp.Diff(raw(d.calm.said), raw(d.said)); diff != "" {
		d.t.Errorf("what was said differs (- calm, + killed):\n%s", diff)
	}
	for _, text := range twice(d.said) {
		d.t.Error(text)
	}
	if diff := cmp.Diff(d.calm.journal, journal(d.t, d.db)); diff != "" {
		d.t.Errorf("the journal differs (- calm, + killed):\n%s", diff)
	}
	verified(d.t, d.program, d.db)
}
