package bot

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"becket/flows"
	"becket/store"
)

// move has the yard replaced by another room.
func (c *conversation) move(to string) (moved bool, h heard) {
	c.Helper()
	err := c.db.Do(c.Context(), func(tx *store.Tx) (err error) {
		moved, err = c.bot.Move(tx, c.room, to, "@ana", "moved/"+to)
		return err
	})
	if err != nil {
		c.Fatal(err)
	}
	return moved, c.deliver()
}

func TestRoomMovesWithAllThatIsInIt(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	c.say("@ana", "", "quarantine D-41 catch sticks")
	thread := c.begin("@ben", "D-14")
	before, _ := c.open(thread).next()
	// What waits to be said goes along: this one isn't delivered before the move.
	if err := c.db.Do(c.Context(), func(tx *store.Tx) error { return tx.Say("waits", "", c.room, []byte(`{"id":"waits","text":"w"}`)) }); err != nil {
		t.Fatal(err)
	}
	old := c.room
	err := c.db.Do(c.Context(), func(tx *store.Tx) error {
		if moved, err := c.bot.Move(tx, old, "!new", "@ana", "moved/1"); err != nil || !moved {
			t.Errorf("moved %v, %v", moved, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	unsent, err := c.db.Unsent(c.Context(), 10)
	if err != nil || len(unsent) != 3 {
		t.Fatalf("%d replies wait: %v", len(unsent), err)
	}
	for _, o := range unsent {
		if o.Room != "!new" {
			t.Errorf("%s waits for %s", o.Key, o.Room)
		}
	}
	h := c.deliver()
	asked := h[len(h)-1]
	if asked.Room != "!new" || asked.To != "@ben" || asked.Ask == nil || len(asked.Ask.Steps) == 0 && asked.Ask.Section != before.Section {
		t.Errorf("the open question isn't asked again there: %+v", asked)
	}
	c.wantSaid(h, "holds 1, inspections under way 1")

	// What comes late in the old room, or in the new one, reaches the same inspection and the same register.
	c.room = "!new"
	c.wantHeld("D-41")
	c.room = old
	if h := c.say("@ben", thread, "can't tell"); h[0].Room != "!new" {
		t.Errorf("a late word in the old room is answered in %s", h[0].Room)
	}
	if h := c.say("@eve", "", "quarantine D-14 it fell"); h[len(h)-1].Room == old || h.refused() {
		t.Errorf("a fault reported in the old room came to: %s", h.text())
	}
	c.room = "!new"
	c.wantHeld("D-14")
	// The old room's marks aren't free, and nobody founds it again.
	if err := c.db.View(c.Context(), func(tx *store.Tx) error {
		if _, known, err := tx.Team(old); known || err != nil {
			t.Errorf("the old room is still a team: %v", err)
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
}

func TestRoomDoesntMoveOntoAnother(t *testing.T) {
	t.Parallel()
	c := talk(t)
	other := strings.ReplaceAll(yard, "!yard", "!other")
	if other == yard {
		t.Fatal("the yard has another name")
	}
	if err := c.load(other); err != nil {
		t.Fatal(err)
	}
	if moved, h := c.move("!other"); moved || len(h) > 0 {
		t.Errorf("two registers became one: %s", h.text())
	}
	old := c.room
	c.room = "!nobody"
	if moved, _ := c.move("!new"); moved {
		t.Error("a room without a team moved")
	}
	c.room = old
	// On, and on again: late words still find it.
	c.move("!new")
	c.room = "!new"
	c.move("!newer")
	c.room = old
	if h := c.say("@ana", "", "due"); h[0].Room != "!newer" {
		t.Errorf("answered in %s", h[0].Room)
	}
	c.room = "!newer"
	if _, v := c.inspect("@ben", "D-14", nil); v != flows.Fit {
		t.Errorf("an inspection after two moves came out %s", v)
	}
	// And back into the first room, which is nobody's by now.
	if moved, _ := c.move(old); !moved {
		t.Error("it didn't move back")
	}
	c.room = old
	if h := c.say("@ana", "", "history D-14"); h[0].Room != old || !strings.Contains(h.text(), "2026-0001") {
		t.Errorf("after moving back: %s", h.text())
	}
}

// TestANewConversationAfterAMove: apps open a conversation of its own under the question that was asked again.
func TestANewConversationAfterAMove(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	c.begin("@ana", "D-41")
	c.move("!new")
	c.room = "!new"
	h := c.say("@ben", "$the question there", "can't tell it is worn off")
	if h.refused() || h[len(h)-1].Thread != "$the question there" || len(c.open(thread).answers) != 1 {
		t.Errorf("in %q: %s", h[len(h)-1].Thread, h.text())
	}
	if h := c.say("@fay", "$the question there", "clear"); !h.refused() {
		t.Errorf("somebody else's word was taken: %s", h.text())
	}
	later := c.begin("@fay", "D-60") // begun here, it has its own conversation
	if h := c.say("@fay", "$another", "can't tell it is worn off"); !h.refused() || len(c.open(later).answers) != 0 {
		t.Errorf("a word from another conversation was taken: %s", h.text())
	}
}

// TestEditAfterAMove: an answer given in the old room can still be put right by editing it.
func TestEditAfterAMove(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	id, h := c.send(Message{From: "@ben", Thread: thread, Text: "can't tell it is worn off"})
	if h.refused() {
		t.Fatal(h.text())
	}
	c.move("!new")
	_, h = c.send(Message{From: "@ben", Replaces: id, Thread: thread, Text: "can't tell mud"})
	if h.refused() || h[0].Room != "!new" {
		t.Errorf("in %s: %s", h[0].Room, h.text())
	}
}

// TestNoRoomIsComparedWithAnEntrys: an entry keeps the room in which it was written, so whoever looks for the entries of a room
// asks for what it was before as well. (The journal itself, and events that are applied in their own time, are as they are.)
func TestNoRoomIsComparedWithAnEntrys(t *testing.T) {
	compared := regexp.MustCompile(`\b(e|entry|entries\[[a-z]\])\.Room [!=]= `)
	for _, folder := range []string{".", "../store"} {
		files, err := filepath.Glob(folder + "/*.go")
		if err != nil || len(files) < 10 {
			t.Fatalf("%d files: %v", len(files), err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if found := compared.FindString(string(text)); found != "" && filepath.Base(file) != "journal.go" && !strings.HasSuffix(file, "_test.go") {
				t.Errorf("%s: %q; use EntriesIn or isOurs", file, found)
			}
		}
	}
}
