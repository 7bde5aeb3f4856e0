package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// yard is an invented team whose figures have digits that can't come about by chance. @ana and @ben may sign, @fay
// may too and holds D-14, @cal keeps the register only, @dee is a member, @eve's competence has run out.
const yard = `
team: {room: "!yard", name: Yard (invented), zone: UTC}
people:
- {id: "@ana", roles: [keeper], competent: [{flow: cam-handle-descender, until: 2099-12-31}]}
- {id: "@ben", competent: [{flow: cam-handle-descender, until: 2099-12-31}]}
- {id: "@fay", competent: [{flow: cam-handle-descender, until: 2099-12-31}]}
- {id: "@cal", roles: [keeper]}
- {id: "@dee"}
- {id: "@eve", competent: [{flow: cam-handle-descender, until: 2026-06-30}]}
sheets:
- maker: Skerry Works
  model: Dunlin
  flow: cam-handle-descender
  document: Dunlin care sheet (invented)
  edition: "3"
  page: table 2
  figures: {cam_groove_max: 1.037, plate_groove_max: 1.037, pin_new: 8.137, pin_min: 7.413, gap_new: 14.139, gap_max: 15.153, creep_max: 26.173, rivet_count: 6, handle_positions: 4}
  facts: {wear_mark: pin}
  confirmed_by: ["@ana", "@ben"]
instruments:
- {mark: C-2, kind: digital caliper, doubt: 0.04, check_by: 2099-12-31}
items:
- {mark: D-14, serial: 22-1180, flow: cam-handle-descender, maker: Skerry Works, model: Dunlin, made: 2022-03, first_use: 2022-05-10, use: people, holder: "@fay", place: rack 2}
- {mark: D-41, serial: 22-1187, flow: cam-handle-descender, maker: Skerry Works, model: Dunlin, made: 2022-03, first_use: 2022-05-10, use: people, place: rack 3}
- {mark: D-60, serial: K-77, flow: cam-handle-descender, maker: Nobody, model: Wren, made: 2022-03, first_use: 2022-05-10, use: people, facts: {wear_mark: pin}}
`

// conversation is a room where people talk to Becket, with a real database and a clock that is moved by hand.
type conversation struct {
	*testing.T
	bot   *Bot
	db    *store.DB
	now   time.Time
	room  string
	file  string
	n     int     // messages so far
	every []Reply // all that was ever said
}

// heard is what was answered to one message.
type heard []Reply

func (h heard) text() string {
	var all []string
	for _, r := range h {
		all = append(all, r.Text)
	}
	return strings.Join(all, "\n")
}

func (h heard) refused() bool { return len(h) > 0 && h[len(h)-1].Refused }

// talk opens the yard with a chance that is fixed.
func talk(t *testing.T) *conversation { return talkIn(t, yard, 1) }

// sharedLibrary is Becket's library, loaded once for all conversations.
var sharedLibrary = sync.OnceValues(flows.Library)

func talkIn(t *testing.T, team string, seed uint64) *conversation {
	t.Helper()
	library, err := sharedLibrary()
	if err != nil {
		t.Fatal(err)
	}
	c := &conversation{
		T: t, bot: New(Options{Flows: library, Seed: &seed}), room: "!yard",
		now: time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC),
	}
	c.file = filepath.Join(t.TempDir(), "becket.db")
	c.db, err = store.Open(t.Context(), c.file, func() time.Time { return c.now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { // whatever was tried, the record can be derived again
		faults, err := New(Options{}).Verify(context.Background(), c.db)
		if err != nil {
			t.Error(err)
		}
		for _, f := range faults {
			t.Errorf("becket verify: %v", f)
		}
		if err := c.db.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := c.load(team); err != nil {
		t.Fatal(err)
	}
	return c
}

// load imports a team file.
func (c *conversation) load(team string) error {
	f, err := ParseTeamFile([]byte(team))
	if err != nil {
		return err
	}
	return c.db.Do(c.Context(), func(tx *store.Tx) error { return c.bot.Import(tx, f, "test") })
}

// forward moves the clock.
func (c *conversation) forward(d time.Duration) { c.now = c.now.Add(d) }

// say is a line as somebody in a thread; an empty thread is the room itself.
func (c *conversation) say(from, thread, text string) heard {
	c.Helper()
	_, h := c.send(Message{From: from, Thread: thread, Text: text})
	return h
}

// send takes a message as the console does, in one transaction, and collects what is answered.
func (c *conversation) send(m Message) (id string, h heard) {
	c.Helper()
	id = c.take(m)
	return id, c.deliver()
}

// take has a message taken, and leaves the replies on their way.
func (c *conversation) take(m Message) (id string) {
	c.Helper()
	c.n++
	m.ID = fmt.Sprint("$", c.n)
	if m.Room == "" {
		m.Room = c.room
	}
	body, err := json.Marshal(m)
	if err != nil {
		c.Fatal(err)
	}
	in := store.Incoming{ID: m.ID, Room: m.Room, Body: body}
	if _, err := c.db.Receive(c.Context(), "test", []store.Incoming{in}, ""); err != nil {
		c.Fatal(err)
	}
	if err := c.db.Do(c.Context(), func(tx *store.Tx) error { return c.bot.TakeStored(tx, in) }); err != nil {
		c.Fatalf("%s says %q: %v", m.From, m.Text, err)
	}
	return m.ID
}

func (c *conversation) deliver() heard {
	c.Helper()
	h, numbers := c.onTheirWay()
	if err := c.db.Sent(c.Context(), numbers...); err != nil {
		c.Fatal(err)
	}
	c.every = append(c.every, h...)
	return h
}

// onTheirWay are the replies that wait to be delivered, with their numbers.
func (c *conversation) onTheirWay() (h heard, numbers []int64) {
	c.Helper()
	unsent, err := c.db.Unsent(c.Context(), 1000)
	if err != nil {
		c.Fatal(err)
	}
	for _, o := range unsent {
		var r Reply
		if err := json.Unmarshal(o.Body, &r); err != nil {
			c.Fatal(err)
		}
		numbers = append(numbers, o.N)
		h = append(h, r)
	}
	return h, numbers
}

// errUndo takes a message back that was only tried.
var errUndo = errors.New("only tried")

// try is what would be answered to a message, and leaves no trace.
func (c *conversation) try(m Message) (replies heard) {
	c.Helper()
	m.ID = "$tried"
	if m.Room == "" {
		m.Room = c.room
	}
	err := c.db.Do(c.Context(), func(tx *store.Tx) error {
		t := &turn{bot: c.bot, tx: tx, m: m, zone: tx.Now().Location(), thread: m.Thread}
		if _, err := t.enter(); err != nil {
			return err
		}
		if err := t.route(); err != nil {
			return err
		}
		replies = t.replies
		return errUndo
	})
	if !errors.Is(err, errUndo) {
		c.Fatalf("%s says %q: %v", m.From, m.Text, err)
	}
	return replies
}

// begin opens an inspection and gives its thread.
func (c *conversation) begin(from, mark string) (thread string) {
	c.Helper()
	thread, h := c.send(Message{From: from, Text: "inspect " + mark})
	if h.refused() {
		c.Fatalf("%s can't inspect %s: %s", from, mark, h.text())
	}
	return thread
}

// open is the inspection of a thread as it stands.
func (c *conversation) open(thread string) (i *inspection) {
	c.Helper()
	c.view(func(tx *store.Tx) error {
		row, _, err := tx.Inspection(thread)
		if err != nil {
			return err
		}
		i, err = c.bot.load(tx, row)
		return err
	})
	return i
}

func (c *conversation) view(fn func(*store.Tx) error) {
	c.Helper()
	if err := c.db.View(c.Context(), fn); err != nil {
		c.Fatal(err)
	}
}

// finds are what somebody finds, by step: ids of findings for a check, the text for any other, "?" and a
// reason where it can't be told. What isn't named is clear, or as new.
type finds map[string]string

// words are the answer to a question.
func (a finds) words(q flows.Question) string {
	var letters []string
	for _, step := range q.Steps {
		said, given := a[step]
		switch {
		case !given:
			continue
		case strings.HasPrefix(said, "?") || q.Kind != flows.KindChecks && q.Kind != flows.KindCritical:
			return said
		}
		for _, id := range strings.Fields(said) {
			for n, o := range optionsOf(q) {
				if o.Check == checkOf(step) && o.ID == id {
					letters = append(letters, key(n))
				}
			}
		}
	}
	switch {
	case len(letters) > 0:
		return strings.Join(letters, " ")
	case q.Expect != "":
		return q.Expect
	case q.Kind == flows.KindChecks, q.Kind == flows.KindCritical:
		return clearWord
	case q.Kind == flows.KindChoice:
		return "a"
	case q.Kind == flows.KindPhoto:
		return noPhotoWord
	case q.Kind == flows.KindReading && q.Steps[0] == "measure.wear_pin":
		return "8.131 8.136 8.133"
	case q.Kind == flows.KindReading && q.Repeat == 1:
		return "3.071"
	case q.Kind == flows.KindReading:
		return "0.043 0.041 0.042"
	case q.Unit != "":
		return "12"
	}
	return "left plate by the hole, 0.6 mm"
}

// until answers an inspection's questions until one asks for the step, or all is asked where no step is named.
func (c *conversation) until(from, thread, step string, a finds) heard {
	c.Helper()
	var h heard
	for range 120 {
		q, open := c.open(thread).next()
		if !open || slices.Contains(q.Steps, step) {
			if !open && step != "" {
				c.Fatalf("%s is never asked", step)
			}
			return h
		}
		h = c.say(from, thread, a.words(q))
	}
	c.Fatalf("no end to the inspection, or to the way to %q: %s", step, h.text())
	return nil
}

// inspect goes through a whole inspection and signs what the rules say.
func (c *conversation) inspect(from, mark string, a finds) (thread string, v flows.Verdict) {
	c.Helper()
	thread = c.begin(from, mark)
	c.until(from, thread, "", a)
	v = c.open(thread).outcome().Verdict
	h := c.say(from, thread, "sign "+v.String())
	if h.refused() {
		c.Fatalf("%s can't sign %s: %s", from, v, h.text())
	}
	return thread, v
}

// status is what an item's is now.
func (c *conversation) status(mark string) (s status) {
	c.Helper()
	c.view(func(tx *store.Tx) error {
		item, _, err := tx.Item(c.room, mark)
		if err != nil {
			return err
		}
		t := &turn{bot: c.bot, tx: tx, m: Message{Room: c.room}, zone: time.UTC}
		s, err = t.statusOf(item)
		return err
	})
	return s
}

func (c *conversation) wantHeld(mark string) {
	c.Helper()
	if s := c.status(mark); len(s.holds) == 0 {
		c.Errorf("%s isn't held any more", mark)
	}
	if h := c.say("@cal", "", "can I use "+mark); strings.HasPrefix(h.text(), "Yes") {
		c.Errorf("%s is held, and Becket says: %s", mark, h.text())
	}
}

// wantSaid expects words in what was answered.
func (c *conversation) wantSaid(h heard, words string) {
	c.Helper()
	if !strings.Contains(h.text(), words) {
		c.Errorf("said was %q; wanted is %q", h.text(), words)
	}
}

// wantRefused expects that nothing was taken.
func (c *conversation) wantRefused(h heard, words string) {
	c.Helper()
	if !h.refused() {
		c.Errorf("it wasn't refused: %q", h.text())
	}
	c.wantSaid(h, words)
}

// wantAsked expects which step is open.
func (c *conversation) wantAsked(thread, step string) {
	c.Helper()
	q, open := c.open(thread).next()
	if !open || !slices.Contains(q.Steps, step) {
		c.Errorf("open is %v (%v); it should be %s", q.Steps, open, step)
	}
}

// day is today in the yard.
func (c *conversation) day() due.Date { return due.On(c.now) }
