package store

import (
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"
)

func unsent(t *testing.T, db *DB) string {
	t.Helper()
	out, err := db.Unsent(t.Context(), 100)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, o := range out {
		all = append(all, fmt.Sprint(o.N, o.Key, o.Cause, o.Room, string(o.Body)))
	}
	return fmt.Sprint(all)
}

func say(t *testing.T, db *DB, keys ...string) {
	t.Helper()
	do(t, db, func(tx *Tx) error {
		for _, key := range keys {
			if err := tx.Say(key, "$1", "!yard", []byte("said "+key)); err != nil {
				return err
			}
		}
		return nil
	})
}

func TestSayingTheSameAgainChangesNothing(t *testing.T) {
	db := openTemp(t)
	say(t, db, "z", "a")
	do(t, db, func(tx *Tx) error {
		return errors.Join(tx.Say("z", "$2", "!mill", []byte("otherwise")), tx.Say("e", "", "", nil))
	})
	if got, want := unsent(t, db), "[1z$1!yardsaid z 2a$1!yardsaid a 3e]"; got != want {
		t.Errorf("unsent are %s", got)
	}
	few, err := db.Unsent(t.Context(), 1)
	if err != nil || len(few) != 1 || few[0].Key != "z" {
		t.Errorf("the first is %v, %v", few, err)
	}
}

func TestWhatIsSentIsNotSentAgain(t *testing.T) {
	db := openTemp(t)
	say(t, db, "a", "b", "c")
	if err := db.Sent(t.Context(), 1, 3); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	again := reopen(t, db.file)
	if got, want := unsent(t, again), "[2b$1!yardsaid b]"; got != want {
		t.Errorf("unsent are %s", got)
	}
	say(t, again, "a")
	if got, want := unsent(t, again), "[2b$1!yardsaid b]"; got != want {
		t.Errorf("what was sent was said again: %s", got)
	}
}

func TestSweepKeepsWhatIsNeeded(t *testing.T) {
	now := atNine()
	db, err := open(t.Context(), filepath.Join(t.TempDir(), "becket.db"), func() time.Time { return now }, decodeNote, withNotes())
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	receive(t, db, "", "$done", "$refused", "$aside", "$new")
	for range mostTries {
		if _, err := db.Failed(t.Context(), "$aside"); err != nil {
			t.Fatal(err)
		}
	}
	do(t, db, func(tx *Tx) error { return errors.Join(tx.Finish("$done", false), tx.Finish("$refused", true)) })
	say(t, db, "sent", "unsent")
	if err := db.Sent(t.Context(), 1); err != nil {
		t.Fatal(err)
	}
	kept := func(table, key string) string {
		t.Helper()
		var all []string
		view(t, db, func(tx *Tx) (err error) {
			rows, err := tx.conn.texts(`SELECT ` + key + ` FROM ` + table + ` WHERE body IS NOT NULL ORDER BY n`)
			all = rows
			return err
		})
		return fmt.Sprint(all)
	}
	sweep := func(before time.Time, inbox, outbox string) {
		t.Helper()
		if err := db.Sweep(t.Context(), before); err != nil {
			t.Fatal(err)
		}
		if got := kept("inbox", "id"); got != inbox {
			t.Errorf("the inbox keeps %s", got)
		}
		if got := kept("outbox", "key"); got != outbox {
			t.Errorf("the outbox keeps %s", got)
		}
	}
	sweep(now, "[$done $refused $aside $new]", "[sent unsent]")
	sweep(now.Add(time.Microsecond), "[$aside $new]", "[unsent]")

	if fresh := receive(t, db, "", "$done"); fresh[0] {
		t.Error("a swept message was received again")
	}
	say(t, db, "sent")
	if got, want := unsent(t, db), "[2unsent$1!yardsaid unsent]"; got != want {
		t.Errorf("unsent are %s", got)
	}
	view(t, db, func(tx *Tx) error {
		if state, _, err := tx.Incoming("$done"); state != "done" || err != nil {
			t.Errorf("it is %q, %v", state, err)
		}
		return nil
	})
}
