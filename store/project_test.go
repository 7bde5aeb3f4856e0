package store

import (
	"path/filepath"
	"testing"

	"becket/flows"
	"becket/flows/due"
)

// TestOlderFileIsBroughtUpToDate opens a file whose tables are from an older program: they are worked out again from the
// journal, whatever stood in them.
func TestOlderFileIsBroughtUpToDate(t *testing.T) {
	file := filepath.Join(t.TempDir(), "becket.db")
	db, err := openFile(file)
	if err != nil {
		t.Fatal(err)
	}
	do(t, db, func(tx *Tx) error {
		for _, ev := range []Event{
			ItemTaken{Item{Flow: "pulley", Item: flows.Item{Mark: "P-03"}}},
			ItemTaken{Item{Flow: "pulley", Item: flows.Item{Mark: "P-04"}}},
			HoldPlaced{Mark: "P-04", Verdict: flows.Quarantine, Why: "creaks"},
		} {
			if _, err := tx.Append("!yard", "@ana", "$1", ev); err != nil {
				return err
			}
		}
		return nil
	})
	other := raw(t, db)
	execRaw(t, other, `DELETE FROM calendar`)
	execRaw(t, other, `DELETE FROM hold`)
	execRaw(t, other, `PRAGMA user_version = 0`)
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	db = reopen(t, file)
	view(t, db, func(tx *Tx) error {
		marks, err := tx.DueBy("!yard", due.Date{Year: 2026, Month: 1, Day: 1})
		if len(marks) != 2 {
			t.Errorf("due are %v", marks)
		}
		if holds, err := tx.Standing("!yard", "P-04"); len(holds) != 1 || err != nil {
			t.Errorf("the hold is gone: %v, %v", holds, err)
		}
		return err
	})
	if faults, err := db.Verify(t.Context(), Projected(), nil); err != nil || len(faults) > 0 {
		t.Errorf("%v, %v", faults, err)
	}
}

// TestOlderFileThatCantBeReadIsRefused: an upgrade that would lose an entry doesn't happen.
func TestOlderFileThatCantBeReadIsRefused(t *testing.T) {
	file := filepath.Join(t.TempDir(), "becket.db")
	db, err := openFile(file)
	if err != nil {
		t.Fatal(err)
	}
	note(t, db, "a", "text")
	execRaw(t, unguarded(t, db), `UPDATE journal SET body = X'7b'`)
	execRaw(t, raw(t, db), `PRAGMA user_version = 0`)
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if db, err := openFile(file); err == nil {
		t.Error("it was opened")
		_ = db.Close()
	}
}
