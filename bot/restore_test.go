package bot

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"becket/flows/due"
	"becket/store"
)

// restored is the same room, going on from a copy of it made now.
func (c *conversation) restored(after time.Duration, meanwhile func()) *conversation {
	c.Helper()
	folder := c.TempDir()
	copied, file := filepath.Join(folder, "copy.db"), filepath.Join(folder, "new.db")
	if err := c.db.Backup(c.Context(), copied); err != nil {
		c.Fatal(err)
	}
	c.forward(after)
	if meanwhile != nil {
		meanwhile()
	}
	next := &conversation{T: c.T, bot: c.bot, room: c.room, now: c.now, n: c.n + 1000}
	clock := func() time.Time { return next.now }
	err := store.Restore(c.Context(), copied, file, clock, func(db *store.DB) error {
		_, _, err := c.bot.Restore(c.Context(), db)
		return err
	})
	if err != nil {
		c.Fatal(err)
	}
	if next.db, err = store.Open(c.Context(), file, clock); err != nil {
		c.Fatal(err)
	}
	c.Cleanup(func() {
		faults, err := New(Options{}).Verify(context.Background(), next.db)
		if err != nil || len(faults) > 0 {
			c.Errorf("becket verify after restoring: %v, %v", faults, err)
		}
		if err := next.db.Close(); err != nil {
			c.Error(err)
		}
	})
	return next
}

// TestSafety18_Restored: after a restore nothing is lifted, un-retired or due later than the copy has it, no item is said
// to be fit, and it stays so until a keeper has said, with the copy's day, that nothing is left.
func TestSafety18_Restored(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	c.say("@ana", "", "return D-14 rack 2")
	c.inspect("@ben", "D-60", finds{"look.cam": "crack"})
	c.say("@dee", "", "quarantine D-41 rope creeps")
	marks := []string{"D-14", "D-41", "D-60"}
	before := map[string]string{}
	day := due.Date{Year: 2026, Month: 11, Day: 16}
	for _, mark := range marks {
		before[mark] = c.status(mark).sentence(day)
	}
	r := c.restored(48*time.Hour, func() { c.say("@dee", "", "quarantine D-14 dropped") })
	if asked := r.deliver(); len(asked) != 1 || !strings.Contains(asked.text(), "as it was on 14 November 2026. What happened since?") {
		t.Errorf("the first that is said: %q", asked.text())
	}
	for _, mark := range marks {
		if after := r.status(mark).sentence(day); after != before[mark] {
			t.Errorf("%s in the copy: %q, and after restoring: %q", mark, before[mark], after)
		}
	}
	unsaid := func() {
		t.Helper()
		for _, mark := range marks {
			said := r.say("@dee", "", "can I use "+mark)
			if strings.HasPrefix(said.text(), "Yes") || !strings.Contains(said.text(), "what happened since 14 November 2026 isn't all said") {
				t.Errorf("can I use %s: %q", mark, said.text())
			}
		}
		r.wantSaid(r.say("@dee", "", "due"), "nothing more since 14 November 2026")
		r.wantSaid(r.say("@dee", "", "handover"), "since the copy that this record was put back from: 1.\n  copy of 14 November 2026 - @ana or @cal")
	}
	unsaid()
	r.wantRefused(r.say("@ana", "", "issue D-14 to @dee"), "D-14: what happened since the copy of 14 November 2026 isn't all said")
	for _, line := range []struct{ who, text string }{
		{"@dee", "nothing more since 14 November 2026"}, // no keeper
		{"@ben", "nothing more since 14 November 2026"}, // competent, and no keeper
		{"@zed", "nothing more since 14 November 2026"}, // nobody knows who
		{"@ana", "nothing more since 16 November 2026"}, // another day
		{"@ana", "nothing more since"},
		{"@ana", "nothing more since November 2026"},
		{"@ana", "nothing more since 14 November 2026 I think"},
	} {
		if said := r.say(line.who, "", line.text); !said.refused() {
			t.Errorf("%s: %q was taken: %q", line.who, line.text, said.text())
		}
	}
	unsaid()
	// A copy made before the answer, and restored later, asks with the first day.
	again := r.restored(72*time.Hour, nil)
	other := r.restored(72*time.Hour, nil)
	if asked := again.deliver(); !strings.Contains(asked.text(), "as it was on 14 November 2026") {
		t.Errorf("the second restoring asks %q", asked.text())
	}
	other.say("@ana", "", "nothing more since 14 November 2026")
	other.wantSaid(other.say("@ana", "", "issue D-14 to @dee"), "@dee has D-14 from now")
	r.say("@ana", "", "quarantine D-14 dropped")
	r.wantSaid(r.say("@ana", "", "nothing more since 14 November 2026"), "The record counts again")
	r.wantSaid(r.say("@dee", "", "can I use D-14"), "No. D-14 is in quarantine: dropped")
	r.wantRefused(r.say("@ana", "", "nothing more since 14 November 2026"), "Nothing is asked")
	if said := r.say("@dee", "", "handover"); strings.Contains(said.text(), "copy") {
		t.Errorf("it is closed and still handed over: %q", said.text())
	}
	if said := again.say("@dee", "", "can I use D-14"); !strings.HasPrefix(said.text(), "Not known.") {
		t.Errorf("the other one: %q", said.text())
	}
}

// TestRestoredDropsWhatWasOnItsWay: a reply that wasn't delivered when the copy was made is out of date now.
func TestRestoredDropsWhatWasOnItsWay(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	err := c.db.Do(t.Context(), func(tx *store.Tx) error { return tx.Say("late", "$9", c.room, []byte(`{"text":"Yes. D-14: fit"}`)) })
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.db.Receive(t.Context(), "matrix", nil, "s123"); err != nil {
		t.Fatal(err)
	}
	r := c.restored(time.Hour, nil)
	if said := r.deliver(); len(said) != 1 || strings.Contains(said.text(), "Yes") {
		t.Errorf("said is %q", said.text())
	}
	if position, err := r.db.Position(t.Context(), "matrix"); position != "" || err != nil {
		t.Errorf("a transport goes on from %q, %v", position, err)
	}
}
