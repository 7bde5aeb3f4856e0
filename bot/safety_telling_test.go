package bot

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"becket/store"
)

// forged is another record, made of this one's entries by somebody who can write any file and knows how hashes are
// chained: change may alter an entry or, by giving false, leave it out. The ends that it says were posted fit it.
func (c *conversation) forged(t *testing.T, change func(store.Entry, store.Event) (store.Event, bool)) *store.DB {
	t.Helper()
	db := c.rewritten(t, change)
	faults, err := New(Options{}).Verify(context.Background(), db)
	if err != nil || len(faults) > 0 {
		t.Fatalf("the forgery is a poor one: %v, %v", faults, err)
	}
	return db
}

// rewritten is forged, whatever can be found in it.
func (c *conversation) rewritten(t *testing.T, change func(store.Entry, store.Event) (store.Event, bool)) *store.DB {
	t.Helper()
	var entries []store.Entry
	scripts := map[string][]byte{}
	c.view(func(tx *store.Tx) (err error) {
		if entries, err = tx.EntriesAfter(0, 100_000); err != nil {
			return err
		}
		for _, e := range entries {
			ev, err := e.Event()
			if err != nil {
				return err
			}
			if s, is := ev.(*store.Started); is {
				if scripts[s.Flow], err = tx.FlowText(s.Flow); err != nil {
					return err
				}
			}
		}
		return nil
	})
	var now time.Time
	db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "forged.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			t.Fatal(err)
		}
		ev, kept := change(e, ev)
		if !kept {
			continue
		}
		now = e.At
		err = db.Do(t.Context(), func(tx *store.Tx) error {
			switch is := ev.(type) {
			case *store.HeadPosted:
				head, err := headOf(tx)
				if err != nil {
					return err
				}
				ev = store.HeadPosted{Entries: head.Entries, Ends: head.Ends}
			case *store.Started:
				if err := tx.KeepFlow(is.Flow, scripts[is.Flow]); err != nil {
					return err
				}
			}
			_, err := tx.Append(e.Room, e.By, e.Cause, ev)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return db
}

// TestSafety25 forges records that are whole in themselves, and compares them with what was posted in the room.
func TestSafety25(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@cal", "", "digest daily 07:30 UTC")
	c.remind(c.bot)
	posted := func() Head {
		t.Helper()
		c.forward(24 * time.Hour)
		h, err := ReadHead(c.remind(c.bot).text())
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	first := posted()
	c.say("@dee", "", "quarantine D-41 rope creeps when I stop")
	second := posted()
	c.say("@dee", "", "quarantine D-60 spring weak")
	third := posted()

	continues := func(db *store.DB, heads ...Head) string {
		t.Helper()
		faults, err := c.bot.Continues(t.Context(), db, heads)
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, f := range faults {
			said = append(said, f.String())
		}
		return strings.Join(said, "\n")
	}
	if said := continues(c.db, third, first, second); said != "" {
		t.Errorf("the record itself doesn't continue what was posted: %s", said)
	}
	cut := c.forged(t, func(e store.Entry, ev store.Event) (store.Event, bool) { return ev, e.Seq <= second.Entries })
	if said := continues(cut, first, second); said != "" {
		t.Errorf("cut off after what was posted: %s", said)
	}
	if said := continues(cut, first, second, third); !strings.Contains(said, "are missing at the end") {
		t.Errorf("cut off unseen: %q", said)
	}
	without := c.forged(t, func(_ store.Entry, ev store.Event) (store.Event, bool) {
		hold, is := ev.(*store.HoldPlaced)
		return ev, !is || hold.Mark != "D-41"
	})
	if said := continues(without, first); said != "" {
		t.Errorf("what was left out came later: %s", said)
	}
	if said := continues(without, first, second); !strings.Contains(said, "ends otherwise than was posted") || !strings.Contains(said, "after entry ") {
		t.Errorf("a hold was left out unseen: %q", said)
	}
	milder := c.forged(t, func(_ store.Entry, ev store.Event) (store.Event, bool) {
		if hold, is := ev.(*store.HoldPlaced); is && hold.Mark == "D-60" {
			hold.Why = "said in jest"
		}
		return ev, true
	})
	if said := continues(milder, second); said != "" {
		t.Errorf("what was altered came later: %s", said)
	}
	if said := continues(milder, second, third); !strings.Contains(said, "entry ") || strings.Count(said, "\n") > 0 {
		t.Errorf("altered unseen: %q", said)
	}
	for _, text := range []string{"", "812 entries", "ends 4f2a91c07be218d3", "812 entries, ends 4f2a", "99999999999999999999 entries, ends 4f2a91c07be218d3"} {
		if h, err := ReadHead(text); err == nil {
			t.Errorf("%q was read as %v", text, h)
		}
	}
}

// TestSafety26: what is told by itself calls nobody by a mention, names in plain text who can act, and keeps still in quiet
// hours, which hold back no hold.
func TestSafety26(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@cal", "", "digest daily 07:30 UTC")
	c.say("@cal", "", "quiet 22:00 to 08:00")
	c.say("@dee", "", "quarantine D-41 rope creeps when I stop")
	c.remind(c.bot)
	c.now = time.Date(2026, 11, 15, 7, 45, 0, 0, time.UTC)
	if h := c.remind(c.bot); len(h) > 0 {
		t.Errorf("said in the quiet hours: %s", h.text())
	}
	h := c.say("@dee", "", "fault D-60 spring weak")
	c.wantSaid(h, "D-60 is in quarantine from now")
	alone := map[string]bool{}
	for _, r := range h {
		alone[r.To] = alone[r.To] || r.To == r.Room
	}
	if !alone["@ana"] || !alone["@cal"] {
		t.Errorf("in the quiet hours the keepers weren't told of a hold: %v", h)
	}
	c.now = time.Date(2026, 11, 15, 8, 0, 0, 0, time.UTC)
	h = c.remind(c.bot)
	if len(h) != 1 || h[0].To != "" || h[0].Room != c.room || h[0].Thread != "" || h[0].HTML != "" {
		t.Fatalf("the digest is %+v", h)
	}
	c.wantSaid(h, "D-41 since yesterday: rope creeps when I stop - @ana, @ben or @fay")
}
