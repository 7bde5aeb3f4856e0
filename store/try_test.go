package store

import (
	"errors"
	"testing"
)

// A part that fails leaves nothing, and what stands before and after it goes on, the chain too.
func TestAPartThatFailsLeavesNothing(t *testing.T) {
	db := openTemp(t)
	wrong := errors.New("wrong")
	write := func(tx *Tx, text string) error {
		_, err := tx.Append("!r", "@a", "$1", Noted{Mark: "D-1", Text: text})
		return err
	}
	err := db.Do(t.Context(), func(tx *Tx) error {
		if err := write(tx, "before"); err != nil {
			return err
		}
		failed, lost := tx.Try(func() error { return errors.Join(write(tx, "half"), wrong) })
		if !errors.Is(failed, wrong) || lost != nil {
			t.Errorf("failed %v, lost %v", failed, lost)
		}
		// A write that SQLite refuses fails the part and not the whole.
		failed, lost = tx.Try(func() error {
			_ = tx.put(`INSERT INTO team(room, name, zone) VALUES(NULL, '', '')`)
			return nil
		})
		if failed == nil || lost != nil {
			t.Errorf("a refused write: failed %v, lost %v", failed, lost)
		}
		if failed, lost = tx.Try(func() error { return write(tx, "whole") }); failed != nil || lost != nil {
			t.Errorf("failed %v, lost %v", failed, lost)
		}
		return write(tx, "after")
	})
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	err = db.View(t.Context(), func(tx *Tx) error {
		entries, err := tx.EntriesAfter(0, 10)
		for _, e := range entries {
			ev, err := e.Event()
			if err != nil {
				return err
			}
			texts = append(texts, ev.(*Noted).Text)
		}
		return err
	})
	if err != nil || len(texts) != 3 || texts[0] != "before" || texts[1] != "whole" || texts[2] != "after" {
		t.Errorf("kept: %q, %v", texts, err)
	}
	if faults, err := db.Verify(t.Context(), Projected(), nil); err != nil || len(faults) > 0 {
		t.Errorf("verify: %v, %v", faults, err)
	}
}
