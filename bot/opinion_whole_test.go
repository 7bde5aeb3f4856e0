package bot

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"becket/flows"
	"becket/store"
)

// toldAlone are the replies that somebody got outside the room, without what names the message that caused them.
func (c *conversation) toldAlone(h heard) (told []Reply) {
	for _, r := range h {
		if r.Room != c.room {
			r.Key, r.Cause = "", ""
			told = append(told, r)
		}
	}
	return told
}

// TestAttention11_TheSecondReadsTheSame asks about a point, and about the whole item, after any answer, view and reason of
// the first: each time the others are told the same to the byte.
func TestAttention11_TheSecondReadsTheSame(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", nil)
	q, _ := c.open(thread).next()
	want := map[string][]Reply{}
	for _, what := range []string{fmt.Sprint(q.Position), "whole"} {
		want[what] = c.toldAlone(c.try(Message{From: "@dee", Thread: thread, Text: "second opinion " + what}))
		if len(want[what]) != 3 { // @ana, @ben and @fay are competent
			t.Fatalf("%s: %d people were asked", what, len(want[what]))
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		answer := rapid.SampledFrom(append([]string{clearWord, "can't tell too dark"}, keys(q)...)).Draw(rt, "answer")
		view := rapid.StringMatching(`[a-z ]{0,20}`).Draw(rt, "view")
		what := rapid.SampledFrom(slices.Sorted(maps.Keys(want))).Draw(rt, "what")
		h := c.tryAll(
			Message{From: "@dee", Thread: thread, Text: answer},
			Message{From: "@dee", Thread: thread, Text: "second opinion " + what + ": " + view},
		)
		if got := c.toldAlone(h); !same(got, want[what]) {
			rt.Fatalf("after %q and %q the others are told %+v instead of %+v", answer, view, got, want[what])
		}
	})
}

// tryAll says one thing after the other, and leaves no trace; what it gives is the answer to the last.
func (c *conversation) tryAll(messages ...Message) (replies heard) {
	c.Helper()
	err := c.db.Do(c.Context(), func(tx *store.Tx) error {
		for n, m := range messages {
			m.ID, m.Room = fmt.Sprint("$tried", n), c.room
			t := &turn{bot: c.bot, tx: tx, m: m, zone: tx.Now().Location(), thread: m.Thread}
			if _, err := t.enter(); err != nil {
				return err
			}
			if err := t.route(); err != nil {
				return err
			}
			if replies = t.replies; t.refused() {
				return fmt.Errorf("%q is refused: %s", m.Text, replies.text())
			}
		}
		return errUndo
	})
	if !errors.Is(err, errUndo) {
		c.Error(err)
	}
	return replies
}

func keys(q flows.Question) (all []string) {
	for n := range optionsOf(q) {
		all = append(all, key(n))
	}
	return all
}

// TestSafety21_OnePersonForTheWhole: nobody is taken for a point that they haven't been shown, and each point that the second
// finds holds whatever the first says of it afterwards.
func TestSafety21_OnePersonForTheWhole(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", nil)
	c.say("@dee", thread, "second opinion whole")
	points := flows.Deadliest(c.open(thread).flow, c.open(thread).state)
	for n := range points {
		h := c.say2("@ben", clearWord)
		if n < len(points)-1 {
			c.wantSaid(h, fmt.Sprintf("%d of %d", n+2, len(points)))
		}
		if late := c.say2("@ana", "b"); !late.refused() {
			t.Errorf("@ana is taken for a point that she wasn't shown: %s", late.text())
		}
		if strings.Contains(h.text(), "@dee: clear") {
			t.Errorf("@ben is told the first's answer before the last point: %s", h.text())
		}
	}
	c.say("@dee", thread, "f")
	c.wantHeld("D-14")
	if open := c.open(thread); open.outcome().Worst() != flows.Retire {
		t.Errorf("the second's clear made the first's crack milder: %v", open.outcome().Worst())
	}
}

// say2 is what somebody says alone with Becket.
func (c *conversation) say2(from, text string) heard {
	c.Helper()
	_, h := c.send(Message{From: from, Room: from, Text: text})
	return h
}

// TestSafety21_ComesToItLater: the first answers after the second, otherwise than they did; the stricter stands.
func TestSafety21_ComesToItLater(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", nil)
	q, _ := c.open(thread).next()
	c.say("@dee", thread, "second opinion whole")
	h := c.say2("@ben", finds{"look.cam": "groove"}.words(q))
	for _, r := range h {
		if r.Room == c.room {
			t.Errorf("the first is told before they have answered: %s", r.Text)
		}
	}
	c.wantSaid(c.say("@dee", thread, clearWord), "You differ")
	c.wantHeld("D-14")
}

// TestSafety21_AskedUntilItPleases: what somebody has said stands, and isn't asked anew of another.
func TestSafety21_AskedUntilItPleases(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", nil)
	q, _ := c.open(thread).next()
	c.say("@dee", thread, "second opinion here")
	c.say2("@ben", finds{"look.cam": "groove"}.words(q))
	held := len(c.status("D-14").holds)
	for _, again := range []string{fmt.Sprintf("second opinion %d", q.Position), "second opinion D-14 " + fmt.Sprint(q.Position)} {
		c.wantRefused(c.say("@dee", thread, again), "third opinion")
	}
	c.say("@dee", thread, fmt.Sprintf("put right %d clear", q.Position))
	c.say("@dee", thread, "third opinion D-14")
	if h := c.say2("@ben", clearWord); !h.refused() {
		t.Errorf("@ben is taken as a third to himself: %s", h.text())
	}
	c.say2("@ana", clearWord)
	if len(c.status("D-14").holds) < held {
		t.Error("a third who sees nothing ended a hold")
	}
	c.wantHeld("D-14")
}

// TestSafety21_TwoPointsOfOneItem: with two open on one item an answer has to say which, and goes nowhere else.
func TestSafety21_TwoPointsOfOneItem(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", nil)
	c.say("@dee", thread, "second opinion here")
	c.until("@dee", thread, "measure.cam_groove", finds{"look.cam": "groove"})
	c.wantSaid(c.say("@dee", thread, "second opinion here"), "is noted as can't tell")
	c.wantRefused(c.say2("@ben", "1.5 1.5 1.5"), "D-14, D-14/2")
	c.wantSaid(c.say2("@ben", "D-14/2"), "Depth of the groove")
	c.wantSaid(c.say2("@ben", "D-14/2 1.52 1.51 1.52"), "RETIRED")
	c.view(func(tx *store.Tx) error {
		open, err := tx.UnansweredOf(c.room, "D-14")
		if len(open) != 1 || !slices.Contains(open[0].Steps, "look.cam") {
			t.Errorf("what waits now is %+v", open)
		}
		return err
	})
}

// TestVerifyNamesAnOpinionThatNobodyGave changes what the record says of an opinion, as somebody might who can chain hashes.
func TestVerifyNamesAnOpinionThatNobodyGave(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", nil)
	q, _ := c.open(thread).next()
	c.say("@dee", thread, "second opinion here")
	c.say2("@ben", finds{"look.cam": "crack"}.words(q))
	for name, change := range map[string]func(*store.OpinionGiven){
		"":                func(*store.OpinionGiven) {},
		"milder":          func(o *store.OpinionGiven) { o.Verdict = flows.Fit },
		"by the first":    func(o *store.OpinionGiven) { o.By = "@dee" },
		"other steps":     func(o *store.OpinionGiven) { o.Steps = []string{"look.shell"} },
		"never asked for": func(o *store.OpinionGiven) { o.ID = "$nobody" },
	} {
		var entries []store.Entry
		c.view(func(tx *store.Tx) (err error) {
			entries, err = tx.EntriesAfter(0, 100_000)
			return err
		})
		a := c.bot.audit(t.Context(), c.db)
		var faults []string
		for _, e := range entries {
			ev, err := e.Event()
			if err != nil {
				t.Fatal(err)
			}
			if given, is := ev.(*store.OpinionGiven); is {
				change(given)
			}
			faults = append(faults, a.check(e, ev)...)
		}
		if (len(faults) > 0) != (name != "") {
			t.Errorf("%q: verify names %v", name, faults)
		}
	}
}
