package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// written opens a new database with that many notes in its journal.
func written(t *testing.T, notes int) *DB {
	t.Helper()
	db := openTemp(t)
	do(t, db, func(tx *Tx) error {
		for i := range notes {
			if _, err := tx.Append("!yard", "@ana", fmt.Sprint("$", i), noteSet{fmt.Sprint(i % 7), fmt.Sprint("text ", i)}); err != nil {
				return err
			}
		}
		return nil
	})
	return db
}

// unguarded is the file without the triggers that refuse changes.
func unguarded(t *testing.T, db *DB) *sql.DB {
	t.Helper()
	other := raw(t, db)
	for _, name := range []string{"journal_is_never_changed", "journal_is_never_shortened", "journal_grows_by_one"} {
		execRaw(t, other, `DROP TRIGGER `+name)
	}
	return other
}

// named are the numbers of the entries that have a fault, in order, each once.
func named(t *testing.T, db *DB) []int64 {
	t.Helper()
	faults, err := db.Verify(t.Context(), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	var seqs []int64
	for _, f := range faults {
		seqs = append(seqs, f.Seq)
	}
	slices.Sort(seqs)
	return slices.Compact(seqs)
}

// flip changes one bit of one column of an entry, and gives what was there.
func flip(t *testing.T, other *sql.DB, seq int64, column string) (before any) {
	t.Helper()
	if err := other.QueryRow(`SELECT `+column+` FROM journal WHERE seq = ?`, seq).Scan(&before); err != nil {
		t.Fatal(err)
	}
	spoil := func(b []byte) []byte {
		b = slices.Clone(b)
		b[rand.IntN(len(b))] ^= 1 << rand.IntN(8)
		return b
	}
	var after any
	switch was := before.(type) {
	case int64:
		after = was ^ 1<<rand.IntN(64)
	case string:
		after = string(spoil([]byte(was)))
	case []byte:
		after = spoil(was)
	}
	execRaw(t, other, `UPDATE journal SET `+column+` = ? WHERE seq = ?`, after, seq)
	return before
}

func columns() []string {
	return []string{"at", "room", "subject", "kind", "by_whom", "cause", "body", "hash"}
}

func TestVerifyFindsNothingWhereNothingIs(t *testing.T) {
	isClean(t, openTemp(t))
	db := written(t, 2*atOnce+1)
	isClean(t, db)
	note(t, db, "x", "it goes on afterwards")
	isClean(t, db)
}

func TestVerifyNamesEachFlippedBit(t *testing.T) {
	const notes = 30
	db := written(t, notes)
	other := unguarded(t, db)
	for i := range 300 {
		seq, column := rand.Int64N(notes)+1, columns()[i%len(columns())]
		before := flip(t, other, seq, column)
		if got := named(t, db); !slices.Equal(got, []int64{seq}) {
			t.Errorf("a bit of %s of entry %d: named were %v", column, seq, got)
		}
		execRaw(t, other, `UPDATE journal SET `+column+` = ? WHERE seq = ?`, before, seq)
	}
	isClean(t, db)
}

func TestVerifyNamesManyFlippedBitsAtOnce(t *testing.T) {
	const notes = 1500
	db := written(t, notes)
	other := unguarded(t, db)
	var want []int64
	for _, n := range rand.Perm(notes)[:300] {
		seq := int64(n + 1)
		flip(t, other, seq, columns()[rand.IntN(len(columns()))])
		want = append(want, seq)
	}
	slices.Sort(want)
	if got := named(t, db); !slices.Equal(got, want) {
		t.Errorf("named were %v, want %v", got, want)
	}
}

func TestVerifyNamesFlippedHashesInARow(t *testing.T) {
	db := written(t, 12)
	other := unguarded(t, db)
	for seq := int64(4); seq <= 8; seq++ {
		flip(t, other, seq, "hash")
	}
	if got := named(t, db); !slices.Equal(got, []int64{4, 5, 6, 7, 8}) {
		t.Errorf("named were %v", got)
	}
}

func TestVerifyNamesMissingAndMisnumberedEntries(t *testing.T) {
	for _, c := range []struct {
		change string
		want   []Fault
	}{
		{`DELETE FROM journal WHERE seq = 5`, []Fault{{5, "is missing, so entry 6 can't be checked"}}},
		{`DELETE FROM journal WHERE seq IN (1, 2)`, []Fault{{1, "and all up to entry 2 are missing, so entry 3 can't be checked"}}},
		{`DELETE FROM journal WHERE seq > 8`, []Fault{{9, "and all up to entry 10 are missing at the end of the journal"}}},
		{`DELETE FROM journal`, []Fault{{1, "and all up to entry 10 are missing at the end of the journal"}}},
		{`UPDATE journal SET seq = -3 WHERE seq = 10`, []Fault{
			{-3, "has a number that none can have"}, {10, "and all up to entry 10 are missing at the end of the journal"},
		}},
		{`UPDATE journal SET seq = 12 WHERE seq = 10`, []Fault{{10, "and all up to entry 11 are missing, so entry 12 can't be checked"}}},
	} {
		db := written(t, 10)
		execRaw(t, unguarded(t, db), c.change)
		got, err := db.Verify(t.Context(), nil, nil)
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, %v", c.change, got, err)
		}
	}
}

func TestVerifyNamesEntriesOutOfTheirPlace(t *testing.T) {
	db := written(t, 10)
	execRaw(t, unguarded(t, db), `UPDATE journal SET seq = -seq WHERE seq IN (4, 5);
		UPDATE journal SET seq = 9 + seq WHERE seq IN (-4, -5)`)
	// 4 is now 5 and 5 is 4. Both were written for another place; what follows the true 5 follows no one now.
	got := named(t, db)
	if !slices.Contains(got, 4) || !slices.Contains(got, 5) {
		t.Errorf("named were %v", got)
	}
}

func TestVerifyNamesABodyThatCannotBeRead(t *testing.T) {
	db := written(t, 3)
	execRaw(t, unguarded(t, db), `UPDATE journal SET body = CAST('{"key":' AS BLOB) WHERE seq = 2`)
	got, err := db.Verify(t.Context(), nil, nil)
	if err != nil || len(got) != 2 || got[0].Seq != 2 || got[1].Seq != 2 || !strings.HasPrefix(got[1].What, "can't be read: ") {
		t.Errorf("%v, %v", got, err)
	}
}

func TestVerifyNamesAnEntryThatCannotBeEntered(t *testing.T) {
	db := written(t, 3)
	execRaw(t, unguarded(t, db), `UPDATE journal SET body = CAST('{"key":"1","text":"never"}' AS BLOB) WHERE seq = 2`)
	got, err := db.Verify(t.Context(), []string{"note"}, nil)
	want := []Fault{
		{2, "can't be entered in the register again: this is never entered"},
		{0, "in the register, table note, 1: it is there, but the journal doesn't give it"},
	}
	if err != nil || len(got) != 3 || !slices.Equal(got[1:], want) {
		t.Errorf("%v, %v", got, err)
	}
}

func TestVerifyComparesTheRegister(t *testing.T) {
	for _, c := range []struct{ change, want string }{
		{`UPDATE note SET text = 'better' WHERE key = '3'`, "in the register, table note, 3: it isn't what the journal gives"},
		{`DELETE FROM note WHERE key = '0'`, "in the register, table note, 0: the journal gives it, but it isn't there"},
		{`DELETE FROM note WHERE key = '6'`, "in the register, table note, 6: the journal gives it, but it isn't there"},
		{`INSERT INTO note VALUES ('45', 'extra')`, "in the register, table note, 45: it is there, but the journal doesn't give it"},
		{`INSERT INTO note VALUES ('9', 'extra')`, "in the register, table note, 9: it is there, but the journal doesn't give it"},
	} {
		db := written(t, 20)
		execRaw(t, raw(t, db), c.change)
		got, err := db.Verify(t.Context(), []string{"note"}, nil)
		if err != nil || len(got) != 1 || got[0] != (Fault{0, c.want}) {
			t.Errorf("%s: %v, %v", c.change, got, err)
		}
	}
}

func TestVerifyKnowsEveryTable(t *testing.T) {
	db := written(t, 1)
	for _, table := range Projected() {
		if faults, err := db.Verify(t.Context(), []string{table}, nil); err != nil || len(faults) > 0 {
			t.Errorf("%s: %v, %v", table, faults, err)
		}
	}
	if _, err := db.Verify(t.Context(), []string{"nowhere"}, nil); err == nil {
		t.Error("a table that isn't there was compared")
	}
}

func TestVerifyAsksTheCheckAboutEveryEntry(t *testing.T) {
	db := written(t, 10)
	var asked []int64
	got, err := db.Verify(t.Context(), nil, func(e Entry, ev Event) []string {
		asked = append(asked, e.Seq)
		// The check may read for itself.
		view(t, db, func(tx *Tx) error {
			_, err := tx.Entries(e.Subject)
			return err
		})
		if ev.(noteSet).Text == "text 6" {
			return []string{"gives another verdict now"}
		}
		return nil
	})
	if err != nil || !slices.Equal(got, []Fault{{7, "gives another verdict now"}}) {
		t.Errorf("%v, %v", got, err)
	}
	if len(asked) != 10 {
		t.Errorf("asked were %v", asked)
	}
}

func TestVerifyReadsThePhotos(t *testing.T) {
	db := openTemp(t)
	hash, _, err := db.PutBlob(t.Context(), strings.NewReader("a photo"), 100)
	if err != nil {
		t.Fatal(err)
	}
	isClean(t, db)
	file := filepath.Join(db.photoFolder(), hash)
	if err := os.WriteFile(file, []byte("a phota"), 0o600); err != nil {
		t.Fatal(err)
	}
	got, err := db.Verify(t.Context(), nil, nil)
	if err != nil || !slices.Equal(got, []Fault{{0, "The photo " + file + " is damaged. Restore it from a backup."}}) {
		t.Errorf("%v, %v", got, err)
	}
}

func TestVerifyNamesADamagedIndex(t *testing.T) {
	db := written(t, 10)
	other := raw(t, db)
	execRaw(t, other, `PRAGMA writable_schema = ON;
		UPDATE sqlite_schema SET sql = 'CREATE INDEX journal_subject ON journal (cause, seq)' WHERE name = 'journal_subject'`)
	other.Close()
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	got, err := reopen(t, db.file).Verify(t.Context(), nil, nil)
	if err != nil || len(got) == 0 || !strings.HasPrefix(got[0].What, "the file is damaged: ") {
		t.Errorf("%v, %v", got, err)
	}
}

func TestVerifyEndsWithItsContext(t *testing.T) {
	db := written(t, 10)
	ctx, cancel := context.WithCancel(t.Context())
	_, err := db.Verify(ctx, nil, func(Entry, Event) []string {
		cancel()
		return nil
	})
	if !errors.Is(err, ctx.Err()) || err == nil {
		t.Errorf("got %v", err)
	}
}
