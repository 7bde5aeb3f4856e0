package store

import (
	"encoding/hex"
	"strings"
	"testing"
)

func TestAppendChains(t *testing.T) {
	db := openTemp(t)
	do(t, db, func(tx *Tx) error {
		if _, err := tx.Append("!yard", "@ana", "$1", noteSet{"a", "first"}); err != nil {
			return err
		}
		_, err := tx.Append("!yard", "@ben", "$2", noteSet{"b", "second"})
		return err
	})
	// Worked out by hand from the rule at hashAfter, with the sha256 of another language's library.
	want := []string{
		"ec8420e3bbd3009858f1d35d8c5b9677afe24735ad834bac31dceeaf26449b4a",
		"0ba8dfec8c6b048b7419ab798505bc59f9986f32eb43ba06ef4bc9f76905dc7c",
	}
	view(t, db, func(tx *Tx) error {
		entries, err := tx.EntriesAfter(0, 10)
		if err != nil {
			return err
		}
		if len(entries) != 2 {
			t.Fatalf("%d entries", len(entries))
		}
		for i, e := range entries {
			if got := hex.EncodeToString(e.Hash[:]); got != want[i] {
				t.Errorf("entry %d has the hash %s", e.Seq, got)
			}
			if e.Seq != int64(i+1) || !e.At.Equal(atNine()) || e.Room != "!yard" || e.Kind != "test.note" {
				t.Errorf("entry %d is %+v", i+1, e)
			}
		}
		if e := entries[1]; e.By != "@ben" || e.Cause != "$2" || e.Subject != "note:b" || string(e.Body) != `{"key":"b","text":"second"}` {
			t.Errorf("the second is %+v", e)
		}
		seq, hash, err := tx.Head()
		if seq != 2 || hex.EncodeToString(hash[:]) != want[1] {
			t.Errorf("the head is %d, %x", seq, hash)
		}
		return err
	})
}

func TestAnEmptyJournal(t *testing.T) {
	db := openTemp(t)
	view(t, db, func(tx *Tx) error {
		seq, hash, err := tx.Head()
		if seq != 0 || hash != [32]byte{} {
			t.Errorf("the head is %d, %x", seq, hash)
		}
		if _, found, err := tx.Entry(1); found || err != nil {
			t.Errorf("entry 1: %v, %v", found, err)
		}
		return err
	})
}

// Moving a byte from one field to the next must give another hash.
func TestHashTellsFieldsApart(t *testing.T) {
	base := Entry{Seq: 1, Room: "ab", Subject: "cd", Kind: "ef", By: "gh", Cause: "ij", Body: []byte("kl")}
	seen := map[[32]byte]string{base.hashAfter([32]byte{}): "the entry itself"}
	for name, other := range map[string]Entry{
		"room and subject": {Seq: 1, Room: "a", Subject: "bcd", Kind: "ef", By: "gh", Cause: "ij", Body: []byte("kl")},
		"subject and kind": {Seq: 1, Room: "ab", Subject: "c", Kind: "def", By: "gh", Cause: "ij", Body: []byte("kl")},
		"kind and by":      {Seq: 1, Room: "ab", Subject: "cd", Kind: "e", By: "fgh", Cause: "ij", Body: []byte("kl")},
		"by and cause":     {Seq: 1, Room: "ab", Subject: "cd", Kind: "ef", By: "g", Cause: "hij", Body: []byte("kl")},
		"cause and body":   {Seq: 1, Room: "ab", Subject: "cd", Kind: "ef", By: "gh", Cause: "i", Body: []byte("jkl")},
		"number":           {Seq: 2, Room: "ab", Subject: "cd", Kind: "ef", By: "gh", Cause: "ij", Body: []byte("kl")},
		"time":             {Seq: 1, At: atNine(), Room: "ab", Subject: "cd", Kind: "ef", By: "gh", Cause: "ij", Body: []byte("kl")},
	} {
		hash := other.hashAfter([32]byte{})
		if twin, taken := seen[hash]; taken {
			t.Errorf("%s: the same hash as %s", name, twin)
		}
		seen[hash] = name
	}
	if base.hashAfter([32]byte{1}) == base.hashAfter([32]byte{}) {
		t.Error("the entry before doesn't count")
	}
}

func TestEntriesAreFoundBySubjectAndNumber(t *testing.T) {
	db := openTemp(t)
	for _, key := range []string{"a", "b", "a", "c", "a"} {
		note(t, db, key, "x")
	}
	numbers := func(entries []Entry) string {
		var all []string
		for _, e := range entries {
			all = append(all, string(rune('0'+e.Seq)))
		}
		return strings.Join(all, " ")
	}
	view(t, db, func(tx *Tx) error {
		about, err := tx.Entries("note:a")
		if err != nil {
			return err
		}
		if got := numbers(about); got != "1 3 5" {
			t.Errorf("about a: %s", got)
		}
		after, err := tx.EntriesAfter(2, 2)
		if err != nil {
			return err
		}
		if got := numbers(after); got != "3 4" {
			t.Errorf("after 2: %s", got)
		}
		e, found, err := tx.Entry(4)
		if !found || e.Subject != "note:c" {
			t.Errorf("entry 4: %v %+v", found, e)
		}
		return err
	})
}

func TestTheFileItselfRefusesToChangeTheJournal(t *testing.T) {
	db := openTemp(t)
	note(t, db, "a", "first")
	note(t, db, "b", "second")
	other := raw(t, db)
	for _, query := range []string{
		`UPDATE journal SET body = x'00' WHERE seq = 1`,
		`DELETE FROM journal WHERE seq = 2`,
		`INSERT OR REPLACE INTO journal SELECT 1, at, room, subject, kind, by_whom, cause, body, hash FROM journal WHERE seq = 2`,
		`INSERT INTO journal SELECT 4, at, room, subject, kind, by_whom, cause, body, hash FROM journal WHERE seq = 2`,
	} {
		if _, err := other.Exec(query); err == nil {
			t.Errorf("it took %s", query)
		}
	}
	isClean(t, db)
}

func TestWhatCannotBeReadAgainIsNeverWritten(t *testing.T) {
	db := openTemp(t)
	err := db.Do(t.Context(), func(tx *Tx) error {
		_, err := tx.Append("!yard", "@ana", "$1", unknownEvent{})
		return err
	})
	if err == nil {
		t.Error("it was written")
	}
	if n := count(t, db, `SELECT count(*) FROM journal`); n != 0 {
		t.Errorf("%d entries", n)
	}
}

type unknownEvent struct{}

func (unknownEvent) Kind() string           { return "test.unknown" }
func (unknownEvent) Subject() string        { return "" }
func (unknownEvent) apply(*Tx, Entry) error { return nil }
