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
	"strings"
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

// message is one line of the conversation. One that puts the clock forward has no done: id is that of the reminder that
// comes of it.
type message struct {
	id, line, status string
	now              string // the clock once it is taken
}

// conversation is what was said when nobody disturbed it.
type conversation struct {
	messages []message
	said     []heard // the replies in their order
	journal  []store.Entry
	took     time.Duration // the middle of how long an answer took
	opened   time.Duration // how long it took to start
}

// replies counts the replies to a message.
func (c conversation) replies(id string) (n int) {
	for _, h := range c.said {
		if h.Cause == id {
			n++
		}
	}
	return n
}

// rehearsal leads the conversation by what it is asked.
type rehearsal struct {
	*conversation
	t     *testing.T
	p     *process
	asks  map[string]*asked // what is asked in a thread
	again map[string]bool   // the last answer in a thread was refused
	took  []time.Duration
}

// rehearse holds the conversation undisturbed.
func rehearse(t *testing.T, program string) conversation {
	t.Helper()
	began := time.Now()
	r := &rehearsal{
		conversation: &conversation{}, t: t, p: start(t, program, "calm.db", begins),
		asks: map[string]*asked{}, again: map[string]bool{},
	}
	if h := <-r.p.lines; !h.Ready {
		t.Fatalf("first it said %s", h.raw)
	}
	r.opened = time.Since(began)
	r.talk()
	r.p.finish()
	slices.Sort(r.took)
	r.conversation.took = r.took[len(r.took)/2]
	r.journal = journal(t, "calm.db")
	verified(t, program, "calm.db")
	r.enough()
	return *r.conversation
}

// talk is the whole conversation: four items under inspection at once and one after the other, by three people.
func (r *rehearsal) talk() {
	r.say("@me", "", "due")
	fit := r.say("@me", "", "inspect D-07")
	watched := r.say("@ben", "", "inspect D-10")
	r.say("@isla", "", "quarantine D-02 rope creeps when I stop, 11 mm rope, wet", "files", []string{"photo.png"})
	for range 3 {
		r.answer("@me", fit, nothing)
		r.answer("@ben", watched, first)
	}
	r.say("@me", fit, "yes") // says nothing
	r.say("@me", fit, "note came back wet from the gully")
	edited := r.answer("@me", fit, nothing)
	r.say("@me", fit, "clear", "replaces", edited)
	r.say("@me", fit, "", "files", []string{"photo.png"})
	r.say("@me", fit, "pause")
	r.say("@me", fit, "carry on")
	r.say("@ben", watched, "put right 2 clear because it was dirt")
	r.say("@ben", watched, "back")
	r.untilSigned("@me", fit, nothing)
	r.untilSigned("@ben", watched, first)
	retired := r.say("@ana", "", "inspect D-09")
	r.answer("@ana", retired, nothing)
	r.answer("@ana", retired, nothing)
	r.say("@ben", retired, "clear") // not his
	r.untilSigned("@ana", retired, worst)
	r.say("@me", "", "take in")
	r.say("@me", "", "Skerry Works")
	r.say("@me", "", "leave off")
	r.forward(later)
	r.say("@me", "", "due")
	r.say("@ana", "", "history D-09")
	left := r.say("@me", "", "inspect D-07")
	r.answer("@me", left, nothing)
	r.say("@isla", "", "quarantine D-07 dropped from the rack", "files", []string{"photo.png"})
	r.say("@me", left, "leave off")
	r.say("@ana", "", "history D-07")
}

// say sends a message and hears what comes of it. It gives the message's id, by which its thread is named too.
func (r *rehearsal) say(from, thread, text string, more ...any) string {
	r.t.Helper()
	id := fmt.Sprintf("$%d", len(r.messages)+1)
	fields := map[string]any{"id": id, "from": from, "thread": thread, "text": text}
	for i := 0; i < len(more); i += 2 {
		fields[more[i].(string)] = more[i+1]
	}
	text = asLine(r.t, fields)
	began := time.Now()
	r.p.write(text)
	for h := range r.p.lines {
		switch {
		case h.Done == id:
			r.messages = append(r.messages, message{id, text, h.Status, r.p.now})
			r.took = append(r.took, time.Since(began))
			return id
		case h.ID == "":
			r.t.Fatalf("%s was answered %s", text, h.raw)
		}
		r.said = append(r.said, h)
		if h.Ask != nil || !h.Refused { // somebody else's refusal changes no question
			r.asks[h.Thread], r.again[h.Thread] = h.Ask, h.Refused
		}
	}
	r.t.Fatalf("%s was never done", text)
	return ""
}

// forward puts the clock forward, to where something has fallen due.
func (r *rehearsal) forward(now string) {
	r.t.Helper()
	r.p.forward(now)
	h := <-r.p.lines
	if h.ID == "" || h.Cause != "" {
		r.t.Fatalf("nothing fell due; it said %s", h.raw)
	}
	r.said = append(r.said, h)
	r.messages = append(r.messages, message{id: h.ID, line: asLine(r.t, map[string]any{"now": now}), now: now})
}

func asLine(t *testing.T, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(text) + "\n"
}

// A mood is what somebody finds where findings are asked for.
type mood func(a *asked) string

func nothing(a *asked) string {
	if a.Kind == "critical" {
		return "a"
	}
	return "clear"
}

func first(a *asked) string {
	if a.Section == "papers" {
		return a.Choices[0].Key
	}
	return nothing(a)
}

func worst(a *asked) string { return a.Choices[len(a.Choices)-1].Key }

// answer answers what is asked in a thread.
func (r *rehearsal) answer(from, thread string, m mood) string {
	r.t.Helper()
	a := r.asks[thread]
	switch {
	case a == nil:
		r.t.Fatalf("nothing is asked in %s; last was said: %s", thread, r.said[len(r.said)-1].raw)
	case r.again[thread]:
		return r.say(from, thread, "can't tell because it can't be read")
	case a.Kind == "match" && a.Expect != "":
		return r.say(from, thread, a.Expect)
	case a.Kind == "checks", a.Kind == "critical":
		return r.say(from, thread, m(a))
	case a.Kind == "choice", a.Kind == "sign":
		text := a.Choices[0].Key
		if a.Kind == "sign" {
			text = "sign " + text
		}
		return r.say(from, thread, text)
	case a.Kind == "reading" && strings.Contains(fmt.Sprint(a.Step), "pin"):
		return r.say(from, thread, "7.97 7.96 7.98")
	case a.Kind == "reading":
		return r.say(from, thread, "0.04 0.05 0.04")
	case a.Kind == "photo":
		return r.say(from, thread, "", "files", []string{"photo.png"})
	}
	return r.say(from, thread, "left plate by the hole, 0.6 mm")
}

func (r *rehearsal) untilSigned(from, thread string, m mood) {
	r.t.Helper()
	for n := 0; r.asks[thread] != nil; n++ {
		if n == 100 {
			r.t.Fatalf("no end to %s; last was said: %s", thread, r.said[len(r.said)-1].raw)
		}
		r.answer(from, thread, m)
	}
}

// enough tests that the conversation has something of everything in it, so that it can't become empty unnoticed.
func (r *rehearsal) enough() {
	kinds, verdicts := map[string]int{}, map[string]bool{}
	for _, e := range r.journal {
		kinds[e.Kind]++
		if e.Kind == (store.Signed{}).Kind() {
			var s struct{ Verdict string }
			if err := json.Unmarshal(e.Body, &s); err != nil {
				r.t.Error(err)
			}
			verdicts[s.Verdict] = true
		}
	}
	for kind, least := range map[string]int{"start": 4, "answer": 60, "note": 1, "photo": 4, "hold": 4, "pause": 1, "carry on": 1, "leave off": 1, "sign": 3} {
		if kinds[kind] < least {
			r.t.Errorf("the conversation has %d entries of the kind %q, fewer than %d", kinds[kind], kind, least)
		}
	}
	if len(verdicts) < 2 || !verdicts["retire"] {
		r.t.Errorf("the verdicts are only %v", verdicts)
	}
	refused := 0
	for _, m := range r.messages {
		if m.status == "refused" {
			refused++
		}
	}
	if refused < 2 {
		r.t.Errorf("%d messages were refused", refused)
	}
	for _, text := range twice(r.said) {
		r.t.Errorf("undisturbed: %s", text)
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
