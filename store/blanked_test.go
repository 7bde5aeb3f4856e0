package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"becket/flows"
)

// blanked opens a database with notes in its journal, of which these are blanked.
func blanked(t *testing.T, notes int, which ...int64) *DB {
	t.Helper()
	db := written(t, notes)
	for _, seq := range which {
		blank(t, db, seq)
	}
	return db
}

// blank blanks one note.
func blank(t *testing.T, db *DB, seq int64) {
	t.Helper()
	do(t, db, func(tx *Tx) error {
		e, _, err := tx.Entry(seq)
		if err != nil {
			return err
		}
		ev, err := decodeNote(e.Kind, e.Body)
		if err != nil {
			return err
		}
		left := ev.(noteSet)
		left.Text = Blank
		return tx.Blank(e, "@ana", "$delete", left)
	})
}

// chains tests that the journal is what was written. The table of notes shows words that no event of ours blanks.
func chains(t *testing.T, db *DB) {
	t.Helper()
	if faults, err := db.Verify(t.Context(), nil, nil); err != nil || len(faults) > 0 {
		t.Errorf("it isn't whole: %v, %v", faults, err)
	}
}

func TestBlankedEntryKeepsItsPlaceAndNotItsWords(t *testing.T) {
	db := blanked(t, 12, 5, 6, 12)
	note(t, db, "x", "it goes on afterwards")
	chains(t, db)
	view(t, db, func(tx *Tx) error {
		e, _, err := tx.Entry(5)
		if string(e.Body) != `{"key":"4","text":"(deleted)"}` || e.By != "@ana" || e.Cause != "$4" || !e.At.Equal(atNine()) {
			t.Errorf("left is %+v, %s", e, e.Body)
		}
		return err
	})
	blank(t, db, 5) // again: nothing more goes
	chains(t, db)
}

func TestOnlyWhatIsBlankedMayChange(t *testing.T) {
	db := blanked(t, 3, 2)
	other := raw(t, db)
	for query, allowed := range map[string]bool{
		`UPDATE journal SET body = body WHERE seq = 2`:           true,
		`UPDATE journal SET body = body WHERE seq = 1`:           false,
		`UPDATE journal SET body = body WHERE seq = 4`:           false,
		`UPDATE journal SET room = '!other' WHERE seq = 2`:       false,
		`UPDATE journal SET by_whom = '@other' WHERE seq = 2`:    false,
		`UPDATE journal SET at = at + 1 WHERE seq = 2`:           false,
		`UPDATE journal SET hash = zeroblob(32) WHERE seq = 2`:   false,
		`UPDATE journal SET seq = 9 WHERE seq = 2`:               false,
		`UPDATE journal SET body = x'00', seq = 9 WHERE seq = 2`: false,
		`DELETE FROM journal WHERE seq = 2`:                      false,
	} {
		if _, err := other.Exec(query); (err == nil) != allowed {
			t.Errorf("%s: %v", query, err)
		}
	}
	note(t, db, "x", "something else")
	if _, err := other.Exec(`UPDATE journal SET body = body WHERE seq = 2`); err == nil {
		t.Error("it may be changed for ever")
	}
	chains(t, db)
}

func TestWhatIsLeftIsTheSameKindOfEntry(t *testing.T) {
	db := written(t, 1)
	for _, left := range []Event{noteSet{"another", Blank}, Noted{Inspection: "0", Text: Blank}} {
		err := db.Do(t.Context(), func(tx *Tx) error {
			e, _, err := tx.Entry(1)
			return errors.Join(err, tx.Blank(e, "@ana", "$delete", left))
		})
		if err == nil {
			t.Errorf("%+v was left", left)
		}
	}
	chains(t, db)
}

// TestVerifyNamesEachFlippedBitOfBlankedEntries changes a bit at a time, in entries that were blanked, those that say so, and
// their neighbours. An entry whose blanking was changed can't be checked, and is said so.
func TestVerifyNamesEachFlippedBitOfBlankedEntries(t *testing.T) {
	const notes = 8
	db := blanked(t, notes, 2, 5, 6)
	note(t, db, "x", "it goes on afterwards")
	other := unguarded(t, db)
	for i := range 160 {
		seq, column := rand.Int64N(notes+4)+1, columns()[i%len(columns())]
		before := flip(t, other, seq, column)
		faults, err := db.Verify(t.Context(), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		var changed []int64
		for _, f := range faults {
			switch {
			case f.What == notAsWritten:
				changed = append(changed, f.Seq)
			case strings.Contains(f.What, fmt.Sprintf("entry %d, which blanked it", seq)), strings.Contains(f.What, "can't be read"):
			default:
				t.Errorf("a bit of %s of entry %d: %v", column, seq, f)
			}
		}
		if !slices.Equal(changed, []int64{seq}) {
			t.Errorf("a bit of %s of entry %d: named were %v; %v", column, seq, changed, faults)
		}
		execRaw(t, other, `UPDATE journal SET `+column+` = ? WHERE seq = ?`, before, seq)
	}
	chains(t, db)
}

// TestBlankedHoldShowsNoWords: what the register shows follows, also when it is worked out anew.
func TestBlankedHoldShowsNoWords(t *testing.T) {
	db := openTemp(t)
	hold := HoldPlaced{Mark: "D-02", Verdict: flows.Quarantine, Why: "Ben dropped it"}
	do(t, db, func(tx *Tx) error {
		e, err := tx.Append("!yard", "@ana", "$1", hold)
		if err != nil {
			return err
		}
		hold.Why = Blank
		return tx.Blank(e, "@ana", "$2", hold)
	})
	want := func(db *DB) {
		t.Helper()
		view(t, db, func(tx *Tx) error {
			holds, err := tx.Standing("!yard", "D-02")
			if len(holds) != 1 || holds[0].Why != Blank || holds[0].By != "@ana" || holds[0].Verdict != flows.Quarantine {
				t.Errorf("held is %+v", holds)
			}
			return err
		})
		if faults, err := db.Verify(t.Context(), []string{"hold"}, nil); err != nil || len(faults) > 0 {
			t.Errorf("%v, %v", faults, err)
		}
	}
	want(db)
	execRaw(t, raw(t, db), `PRAGMA user_version = 1`) // as after an upgrade
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	want(reopen(t, db.file))
}

func TestBlankedWordsAreInNoFile(t *testing.T) {
	const words = "the climber was called Wilhelmina"
	db := openTemp(t)
	for n := range 40 {
		note(t, db, fmt.Sprint(n), strings.Repeat("other words ", 20))
	}
	if _, err := db.Receive(t.Context(), "test", []Incoming{{ID: "$1", Room: "!yard", Body: []byte(words)}}, ""); err != nil {
		t.Fatal(err)
	}
	do(t, db, func(tx *Tx) error {
		if err := tx.Say("$1/1", "$1", "!yard", []byte("noted: "+words)); err != nil {
			return err
		}
		if err := tx.Finish("$1", false); err != nil {
			return err
		}
		_, err := tx.Append("!yard", "@ana", "$1", HoldPlaced{Mark: "D-02", Verdict: flows.Quarantine, Why: words})
		return err
	})
	unsent, err := db.Unsent(t.Context(), 1)
	if err != nil || len(unsent) != 1 {
		t.Fatal(err)
	}
	if err := db.Sent(t.Context(), unsent[0].N); err != nil {
		t.Fatal(err)
	}
	inFile := func() (found bool) {
		all, err := filepath.Glob(db.file + "*")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range all {
			data, err := os.ReadFile(name)
			found = found || err == nil && bytes.Contains(data, []byte(words))
		}
		return found
	}
	if !inFile() {
		t.Fatal("the words aren't there to begin with")
	}
	do(t, db, func(tx *Tx) error {
		e, _, err := tx.Entry(41)
		if err != nil {
			return err
		}
		if err := tx.Blank(e, "@ana", "$2", HoldPlaced{Mark: "D-02", Verdict: flows.Quarantine, Why: Blank}); err != nil {
			return err
		}
		return tx.ForgetMessage("$1")
	})
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if inFile() {
		t.Error("the words are still in a file")
	}
}

func TestUnwantedPhotoGoesUnlessSpokenOf(t *testing.T) {
	for name, c := range map[string]struct {
		also func(tx *Tx, hash string) error
		gone bool
		then bool // it goes with the next removal
	}{
		"spoken of by nothing": {func(*Tx, string) error { return nil }, true, true},
		"by another entry": {func(tx *Tx, hash string) error {
			_, err := tx.Append("!yard", "@ben", "$9", Photographed{Mark: "D-07", Hash: hash, Name: "same.png"})
			return err
		}, false, false},
		"by what is half typed": {func(tx *Tx, hash string) error {
			return tx.SetDialogue("!yard", "@ben", "", "import", []byte(`{"file":"`+hash+`"}`))
		}, false, true},
		"by a reply on its way": {func(tx *Tx, hash string) error { return tx.Say("$9/1", "$9", "!yard", []byte(hash)) }, false, true},
	} {
		t.Run(name, func(t *testing.T) {
			db := openTemp(t)
			hash, _, err := db.PutBlob(t.Context(), strings.NewReader("a photo"), 100)
			if err != nil {
				t.Fatal(err)
			}
			do(t, db, func(tx *Tx) error { return errors.Join(c.also(tx, hash), tx.Unwanted(hash), tx.Unwanted(hash)) })
			want := func(gone bool) {
				t.Helper()
				if err := db.RemoveUnwanted(t.Context()); err != nil {
					t.Fatal(err)
				}
				_, err := os.Stat(filepath.Join(db.photoFolder(), hash))
				if errors.Is(err, fs.ErrNotExist) != gone {
					t.Errorf("gone should be %v: %v", gone, err)
				}
			}
			want(c.gone)
			unsent, err := db.Unsent(t.Context(), 9)
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range unsent {
				if err := db.Sent(t.Context(), o.N); err != nil {
					t.Fatal(err)
				}
			}
			do(t, db, func(tx *Tx) error { return tx.EndDialogue("!yard", "@ben", "") })
			want(c.then)
			chains(t, db)
		})
	}
}

// TestPhotoThatCameAgainStays: the same picture, received and not yet taken.
func TestPhotoThatCameAgainStays(t *testing.T) {
	db := openTemp(t)
	hash, _, err := db.PutBlob(t.Context(), strings.NewReader("a photo"), 100)
	if err != nil {
		t.Fatal(err)
	}
	do(t, db, func(tx *Tx) error { return tx.Unwanted(hash) })
	if _, err := db.Receive(t.Context(), "test", []Incoming{{ID: "$2", Room: "!yard", Body: []byte(`{"hash":"` + hash + `"}`)}}, ""); err != nil {
		t.Fatal(err)
	}
	if err := db.RemoveUnwanted(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(db.photoFolder(), hash)); err != nil {
		t.Error(err)
	}
}
