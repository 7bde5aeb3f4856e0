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
	if strings.Count(h.text(), "D-14") != 1 {
		t.Errorf("wanted to hear of D-14 once, heard: %s", h.text())
	}
	for range 3 {
		if h := c.remind(New(Options{})); len(h) > 0 {
			t.Errorf("said again: %s", h.text())
		}
		c.forward(24 * time.Hour)
	}
	// A clock that was put back tells nothing anew.
	c.forward(-300 * 24 * time.Hour)
	c.remind(c.bot)
	c.forward(300 * 24 * time.Hour)
	if h := c.remind(c.bot); len(h) > 0 {
		t.Errorf("said again after the clock was put back: %s", h.text())
	}
}
