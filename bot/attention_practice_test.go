package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"becket/flows/agreement"
	"becket/flows/practice"
	"becket/store"
)

// alone says something to Becket in a room of one's own.
func (c *conversation) alone(from, text string) heard {
	c.Helper()
	room := c.room
	defer func() { c.room = room }()
	c.room = from
	return c.say(from, "", text)
}

// practised writes down what came of a round of practice.
func (c *conversation) practised(who string, caught, planted int) {
	c.Helper()
	err := c.db.Do(c.Context(), func(tx *store.Tx) error {
		_, err := tx.Append(c.room, who, fmt.Sprintf("practice %d", c.n), store.Practised{Planted: planted, Caught: caught, Clear: planted})
		c.n++
		return err
	})
	if err != nil {
		c.Fatal(err)
	}
}

// The bounds are Clopper and Pearson's at 95 %, worked out from the beta distribution: 1 of 6 .0042 to .6412; 2 of 6 .0433 to
// .7772; 3 of 12 .0549 to .5719; 5 of 12 .1517 to .7233; 0 of 2 0 to .8419; 0 of 3 0 to .7076; 0 of 4 0 to .6024.
func TestAttention02_FewCaughtIsWithEnoughDataOnly(t *testing.T) {
	for _, one := range []struct {
		caught, planted int
		few             bool
	}{{0, 0, false}, {0, 2, false}, {0, 3, false}, {0, 4, true}, {1, 6, true}, {2, 6, false}, {3, 12, true}, {5, 12, false}, {12, 12, false}} {
		if got := catchesFew(agreement.CaughtOf(one.caught, one.planted)); got != one.few {
			t.Errorf("%d of %d: %v", one.caught, one.planted, got)
		}
	}
}

func TestAttention02_LowCatchRateIsAskedOneByOne(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.practised("@ben", 2, 6)
	if i := c.open(c.begin("@ben", "D-14")); i.state.OneByOne {
		t.Error("decided on two of six, which proves nothing")
	}
	c.practised("@ben", 1, 6)
	thread, h := c.send(Message{From: "@ben", Text: "inspect D-41"})
	if i := c.open(thread); !i.state.OneByOne || len(i.line()) > 0 {
		t.Error("three of twelve, and asked in groups")
	}
	for _, r := range h {
		if strings.Contains(r.Text, "caught") && r.Room != "@ben" {
			t.Errorf("said in %s: %s", r.Room, r.Text)
		}
	}
	c.wantSaid(h, "3 of 12 faults were caught")
	thread, h = c.send(Message{From: "@ben", Text: "inspect D-60"})
	if strings.Contains(h.text(), "caught") || !c.open(thread).state.OneByOne {
		t.Errorf("told twice in a month, or forgotten: %s", h.text())
	}
	c.say("@ana", "", "take over D-60")
	if i := c.open(thread); i.Inspector != "@ana" || i.state.OneByOne {
		t.Error("another's catches count for @ana, or she didn't take over")
	}
}

func TestAttention02_ItEndsByItself(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.practised("@ben", 1, 6)
	c.practised("@ben", 6, 6)
	if i := c.open(c.begin("@ben", "D-14")); i.state.OneByOne {
		t.Error("seven of twelve, and still one by one")
	}
	c.practised("@fay", 0, 6)
	c.forward(400 * 24 * time.Hour)
	if i := c.open(c.begin("@fay", "D-41")); i.state.OneByOne {
		t.Error("what was missed over a year ago still counts")
	}
}

func TestAttention17_PracticeIsHalfBadAndNeverInTheRegister(t *testing.T) {
	t.Parallel()
	c := talk(t)
	items, due := c.count(), c.say("@ana", "", "handover").text()
	c.wantSaid(c.say("@dee", "", "practice"), "alone")
	h := c.alone("@dee", "practice")
	all, err := practice.All()
	if err != nil {
		t.Fatal(err)
	}
	planted := 0
	for n := range practiceLength {
		e := shownIn(all, h.text())
		if e.ID == "" {
			t.Fatalf("at %d nothing is shown: %s", n+1, h.text())
		}
		if e.Is != "" && strings.Contains(h.text(), e.Tells) {
			t.Error("told before the answer")
		}
		if e.Planted() {
			planted++
		}
		answer := clearWord
		if e.Planted() && planted > 1 { // the first is missed
			answer = e.Is
		}
		h = c.alone("@dee", answer)
	}
	c.wantSaid(h, "Of 6 faults you caught 5; of 6 without a fault you took 0 for faulty.")
	c.wantSaid(h, "Missed,")
	c.wantSaid(h, "5 of 6 faults caught")
	if planted != 6 {
		t.Errorf("%d of 12 had a fault", planted)
	}
	if c.count() != items || c.say("@ana", "", "handover").text() != due {
		t.Error("practice is in the register")
	}
	for _, r := range c.every {
		if r.Room != "@dee" && strings.Contains(r.Text, "Of 6 faults") {
			t.Errorf("said in %s", r.Room)
		}
	}
	c.wantSaid(c.alone("@dee", "practice results"), "5 of 6")
}

// Leaving off keeps nothing, and what is typed in the team's room meanwhile goes its own way.
func TestAttention17_PracticeLeftOff(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.alone("@ben", "practice")
	c.alone("@ben", "b")
	thread, v := c.inspect("@ben", "D-14", nil)
	if thread == "" || v == 0 {
		t.Error("an inspection beside it")
	}
	c.wantRefused(c.alone("@ben", "nonsense"), "one letter")
	c.wantSaid(c.alone("@ben", "quarantine D-41 the catch sticks"), "D-41")
	c.wantHeld("D-41")
	c.wantSaid(c.alone("@ben", "leave off"), "Nothing of the practice is kept")
	c.wantSaid(c.alone("@ben", "practice results"), "Nothing to go by yet")
}

func shownIn(all []practice.Exercise, text string) practice.Exercise {
	for _, e := range all {
		if strings.Contains(text, e.Shows) {
			return e
		}
	}
	return practice.Exercise{}
}

// count is how many items the register has.
func (c *conversation) count() (n int) {
	c.view(func(tx *store.Tx) (err error) {
		n, err = tx.CountItems(c.room)
		return err
	})
	return n
}
