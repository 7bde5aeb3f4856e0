package bot

import (
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// remind has what the clock brought about said, as a transport does.
func (c *conversation) remind(b *Bot) heard {
	c.Helper()
	if err := c.db.Do(c.Context(), func(tx *store.Tx) error { return b.Remind(tx) }); err != nil {
		c.Fatal(err)
	}
	return c.deliver()
}

func TestWhatFellDueIsToldOnce(t *testing.T) {
	t.Parallel()
	c := talk(t)
	if _, v := c.inspect("@ben", "D-14", nil); v != flows.Fit {
		t.Fatalf("it came out %s", v)
	}
	if h := c.remind(c.bot); len(h) > 0 {
		t.Errorf("said with nothing due: %s", h.text())
	}
	c.forward(400 * 24 * time.Hour) // away over the due date, and a new process
	h := c.remind(New(Options{}))
	if len(h) != 2 || strings.Count(h[0].Text, "D-14") != 1 || h[1].To != "@fay" {
		t.Errorf("wanted to hear of D-14 once, and its holder once more alone; heard: %s", h.text())
	}
	for range 3 {
		if h := c.remind(New(Options{})); len(h) > 0 {
			t.Errorf("said again: %s", h.text())
		}
		c.forward(24 * time.Hour)
	}
	// A clock that is put back a little tells nothing anew.
	c.forward(-40 * time.Hour)
	c.remind(c.bot)
	c.forward(40 * time.Hour)
	if h := c.remind(c.bot); len(h) > 0 {
		t.Errorf("said again after the clock was put back: %s", h.text())
	}
}

// TestClockThatRanAheadSilencesNothing: what was told by a clock that was months ahead is told again by the right one.
func TestClockThatRanAheadSilencesNothing(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	c.say("@cal", "", "digest daily 07:30 UTC")
	c.remind(c.bot)
	c.forward(400 * 24 * time.Hour)
	c.wantSaid(c.remind(c.bot), "D-14")
	c.forward(-400 * 24 * time.Hour)
	if h := c.remind(c.bot); len(h) > 0 {
		t.Errorf("said as the clock was put right: %s", h.text())
	}
	c.forward(24 * time.Hour)
	c.wantSaid(c.remind(c.bot), "Not told in time, the digest of: 15 November 2026.")
	c.forward(300 * 24 * time.Hour)
	c.wantSaid(c.remind(c.bot), "D-14: it was due on 14 May 2027")
}
