package store

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

func waiting(t *testing.T, db *DB, transport string) string {
	t.Helper()
	var all []string
	view(t, db, func(tx *Tx) error {
		in, err := tx.Waiting(transport)
		for _, m := range in {
			all = append(all, fmt.Sprint(m.ID, m.Room, string(m.Body)))
		}
		return err
	})
	return fmt.Sprint(all)
}

func receive(t *testing.T, db *DB, position string, ids ...string) []bool {
	t.Helper()
	var in []Incoming
	for _, id := range ids {
		in = append(in, Incoming{ID: id, Room: "!yard", Body: []byte("hello")})
	}
	fresh, err := db.Receive(t.Context(), "console", in, position)
	if err != nil {
		t.Fatal(err)
	}
	return fresh
}

func TestReceiveTakesEachOnce(t *testing.T) {
	db := openTemp(t)
	if got := receive(t, db, "p1", "$b", "$a", "$b"); !slices.Equal(got, []bool{true, true, false}) {
		t.Errorf("fresh were %v", got)
	}
	if got := receive(t, db, "p2", "$a", "$c"); !slices.Equal(got, []bool{false, true}) {
		t.Errorf("fresh were %v", got)
	}
	if got, want := waiting(t, db, "console"), "[$b!yardhello $a!yardhello $c!yardhello]"; got != want {
		t.Errorf("waiting are %s", got)
	}
	if got := waiting(t, db, "elsewhere"); got != "[]" {
		t.Errorf("another transport has waiting %s", got)
	}
	do(t, db, func(tx *Tx) error { return errors.Join(tx.Finish("$b", false), tx.Finish("$c", true)) })
	if got, want := waiting(t, db, "console"), "[$a!yardhello]"; got != want {
		t.Errorf("waiting are %s", got)
	}
	view(t, db, func(tx *Tx) error {
		for id, want := range map[string]string{"$a": "new", "$b": "done", "$c": "refused", "$d": ""} {
			state, found, err := tx.Incoming(id)
			if state != want || found != (want != "") || err != nil {
				t.Errorf("%s is %q, %v, %v", id, state, found, err)
			}
		}
		return nil
	})
	if got := receive(t, db, "", "$b"); !slices.Equal(got, []bool{false}) {
		t.Error("what is done was received again")
	}
}

func TestThePositionGoesWithItsMessages(t *testing.T) {
	db := openTemp(t)
	at := func() string {
		t.Helper()
		position, err := db.Position(t.Context(), "console")
		if err != nil {
			t.Fatal(err)
		}
		return position
	}
	if got := at(); got != "" {
		t.Errorf("at first it is %q", got)
	}
	receive(t, db, "p1", "$a")
	receive(t, db, "", "$b")
	if got := at(); got != "p1" {
		t.Errorf("it is %q", got)
	}
	execRaw(t, raw(t, db), `CREATE TRIGGER broken BEFORE UPDATE ON position BEGIN SELECT raise(ABORT, 'broken'); END`)
	if _, err := db.Receive(t.Context(), "console", []Incoming{{ID: "$c"}}, "p2"); err == nil {
		t.Error("a position that wasn't written was taken for written")
	}
	if got, want := waiting(t, db, "console"), "[$a!yardhello $b!yardhello]"; got != want || at() != "p1" {
		t.Errorf("at %s waiting are %s", at(), got)
	}
}

func TestNoMessageIsFinishedTwice(t *testing.T) {
	db := openTemp(t)
	receive(t, db, "", "$a")
	do(t, db, func(tx *Tx) error { return tx.Finish("$a", false) })
	for _, id := range []string{"$a", "$unknown"} {
		err := db.Do(t.Context(), func(tx *Tx) error {
			_ = tx.Finish(id, false)
			return tx.Say("again", id, "!yard", nil)
		})
		if err == nil {
			t.Errorf("%s was finished", id)
		}
	}
	if n := count(t, db, `SELECT count(*) FROM outbox`); n != 0 {
		t.Error("it was answered again")
	}
}

func TestTheFifthFailureSetsAside(t *testing.T) {
	db := openTemp(t)
	receive(t, db, "", "$a", "$b")
	for try := 1; try <= 6; try++ {
		aside, err := db.Failed(t.Context(), "$a")
		if err != nil || aside != (try >= 5) {
			t.Errorf("try %d: %v, %v", try, aside, err)
		}
	}
	if got, want := waiting(t, db, "console"), "[$b!yardhello]"; got != want {
		t.Errorf("waiting are %s", got)
	}
	view(t, db, func(tx *Tx) error {
		aside, err := tx.Aside()
		if len(aside) != 1 || aside[0].ID != "$a" || string(aside[0].Body) != "hello" {
			t.Errorf("aside are %v", aside)
		}
		return err
	})
	do(t, db, func(tx *Tx) error { return tx.Finish("$b", false) })
	if aside, err := db.Failed(t.Context(), "$b"); aside || err != nil {
		t.Errorf("what is done failed: %v, %v", aside, err)
	}
}

func TestAnEmptyMessageWaitsToo(t *testing.T) {
	db := openTemp(t)
	if _, err := db.Receive(t.Context(), "console", []Incoming{{ID: "$a"}}, ""); err != nil {
		t.Fatal(err)
	}
	if got := waiting(t, db, "console"); got != "[$a]" {
		t.Errorf("waiting are %s", got)
	}
}

// TestReceiveRepeatable: the end of the program loses nothing of it, and a known message isn't taken twice.
func TestReceiveRepeatable(t *testing.T) {
	file := filepath.Join(t.TempDir(), "one.db")
	for n, want := range []bool{true, false} {
		db, err := Open(t.Context(), file, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		if position, err := db.Position(t.Context(), "matrix"); err != nil || n > 0 && position != "p1" {
			t.Errorf("opened again, the position is %q: %v", position, err)
		}
		fresh, err := db.ReceiveRepeatable(t.Context(), "matrix", []Incoming{{ID: "$a", Room: "!yard", Body: []byte("hello")}}, "p1")
		if err != nil || !slices.Equal(fresh, []bool{want}) {
			t.Errorf("fresh were %v: %v", fresh, err)
		}
		if got := waiting(t, db, "matrix"); got != "[$a!yardhello]" {
			t.Errorf("waiting are %s", got)
		}
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
