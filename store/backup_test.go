package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestABackupIsTheSameDatabase(t *testing.T) {
	db := written(t, 50)
	if _, _, err := db.PutBlob(t.Context(), strings.NewReader("abc"), 3); err != nil {
		t.Fatal(err)
	}
	receive(t, db, "p", "$a")
	file := filepath.Join(t.TempDir(), "copy.db")
	if err := db.Backup(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	if left, _ := filepath.Glob(file + "*"); len(left) != 2 {
		t.Errorf("there are %v", left)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others may read it: %v, %v", info.Mode(), err)
	}
	note(t, db, "later", "not in the copy")
	copied := reopen(t, file)
	isClean(t, copied)
	if n := count(t, copied, `SELECT count(*) FROM journal`); n != 50 {
		t.Errorf("%d entries", n)
	}
	if got, err := readBlob(copied, abcHash); got != "abc" || err != nil {
		t.Errorf("the photo is %q, %v", got, err)
	}
	if fresh := receive(t, copied, "", "$a"); fresh[0] {
		t.Error("the copy doesn't know a message")
	}
	note(t, copied, "x", "it goes on")
	isClean(t, copied)
}

func TestABackupOverwritesNothing(t *testing.T) {
	db := written(t, 1)
	for _, name := range []string{"copy.db", "copy.db-photos"} {
		folder := t.TempDir()
		taken := filepath.Join(folder, name)
		if err := os.WriteFile(taken, []byte("mine"), 0o600); err != nil {
			t.Fatal(err)
		}
		err := db.Backup(t.Context(), filepath.Join(folder, "copy.db"))
		if want := taken + " is already there. Name another file; nothing was changed."; !errors.As(err, new(Problem)) || err.Error() != want {
			t.Errorf("it says %v", err)
		}
		if after, _ := os.ReadFile(taken); string(after) != "mine" {
			t.Error("it was overwritten")
		}
	}
	if err := db.Backup(t.Context(), db.file); err == nil {
		t.Error("a database was copied onto itself")
	}
}

func TestABackupThatFailsLeavesNothing(t *testing.T) {
	db := written(t, 1)
	hash, _, err := db.PutBlob(t.Context(), strings.NewReader("abc"), 3)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(db.photoFolder(), hash), []byte("abx"), 0o600); err != nil {
		t.Fatal(err)
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	folder := t.TempDir()
	file := filepath.Join(folder, "copy.db")
	if err := db.Backup(t.Context(), file); !errors.As(err, new(Problem)) || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("a damaged photo: %v", err)
	}
	if err := db.Backup(gone, file); !errors.Is(err, context.Canceled) {
		t.Errorf("nobody waiting: %v", err)
	}
	if left, _ := os.ReadDir(folder); len(left) > 0 {
		t.Errorf("it left %v", left)
	}
	if err := db.Backup(t.Context(), filepath.Join(folder, "nowhere", "copy.db")); !errors.As(err, new(Problem)) {
		t.Errorf("a missing folder: %v", err)
	}
}

func TestABackupInPlaceOfOneThatBrokeOff(t *testing.T) {
	db := written(t, 5)
	file := filepath.Join(t.TempDir(), "copy.db")
	if err := os.WriteFile(file+".part", []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := db.Backup(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	isClean(t, reopen(t, file))
}

func TestABackupWhileAnotherProcessWrites(t *testing.T) {
	file := filepath.Join(t.TempDir(), "becket.db")
	writer := child(t, "write with photos", file)
	lines := started(t, writer)
	written := make(chan int)
	go func() {
		n := 0
		for lines.Scan() {
			n++
		}
		written <- n
	}()
	t.Cleanup(func() { _ = writer.Process.Kill() })
	source := toRead(t, file)
	before, grown, copies := 0, 0, t.TempDir()
	for n := range 20 {
		copied := filepath.Join(copies, fmt.Sprint(n, ".db"))
		if err := source.Backup(t.Context(), copied); err != nil {
			t.Fatal(err)
		}
		db := reopen(t, copied)
		isClean(t, db)
		now := count(t, db, `SELECT count(*) FROM journal`)
		if now < before {
			t.Errorf("copy %d has %d entries, and the one before %d", n, now, before)
		}
		if now > before {
			grown++
		}
		before = now
		isPrefix(t, db, source)
		view(t, db, func(tx *Tx) error {
			entries, err := tx.EntriesAfter(0, now)
			for _, e := range entries {
				var spoken noteSet
				if err := json.Unmarshal(e.Body, &spoken); err != nil {
					return err
				}
				if _, err := readBlob(db, spoken.Text); err != nil {
					t.Errorf("copy %d lacks a photo that entry %d speaks of: %v", n, e.Seq, err)
				}
			}
			return err
		})
	}
	if grown < 10 {
		t.Errorf("the writer wrote during %d of 20 copies only, so this shows little", grown)
	}
	if err := writer.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if n := <-written; n < before {
		t.Errorf("the writer tells of %d entries, and the last copy has %d", n, before)
	}
	_ = writer.Wait()
	// Nobody has closed it: what the writer left behind is read, and nothing of it is changed.
	last := filepath.Join(copies, "last.db")
	if err := toRead(t, file).Backup(t.Context(), last); err != nil {
		t.Fatal(err)
	}
	isClean(t, reopen(t, last))
	isClean(t, reopen(t, file))
}

// toRead opens a file once there is something in it.
func toRead(t *testing.T, file string) *DB {
	t.Helper()
	var db *DB
	var err error
	for range 1000 {
		if db, err = openToRead(t.Context(), file, atNine, decodeNote, withNotes()); err == nil {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return db
}

// isPrefix tests that all entries of one are the first ones of the other.
func isPrefix(t *testing.T, of, whole *DB) {
	t.Helper()
	view(t, of, func(ours *Tx) error {
		entries, err := ours.EntriesAfter(beforeAll, 1<<30)
		if err != nil {
			return err
		}
		view(t, whole, func(theirs *Tx) error {
			for _, e := range entries {
				kept, found, err := theirs.Entry(e.Seq)
				if err != nil {
					return err
				}
				if !found || !e.same(kept) {
					t.Errorf("entry %d isn't the same in both", e.Seq)
				}
			}
			return nil
		})
		return nil
	})
}

func TestReadingAloneWritesNothing(t *testing.T) {
	file := written(t, 3).file
	db := toRead(t, file)
	err := db.Do(t.Context(), func(tx *Tx) error { return tx.Say("k", "$1", "!yard", nil) })
	if !errors.As(err, new(Problem)) {
		t.Errorf("writing: %v", err)
	}
	if n := count(t, db, `SELECT count(*) FROM journal`); n != 3 {
		t.Errorf("%d entries", n)
	}
}

func TestReadingAloneLeavesNothing(t *testing.T) {
	file := filepath.Join(t.TempDir(), "becket.db")
	first, err := openFile(file)
	if err != nil {
		t.Fatal(err)
	}
	note(t, first, "a", "first")
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	db, err := openToRead(t.Context(), file, atNine, decodeNote, withNotes())
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(db.Backup(t.Context(), file+".copy"), db.Close()); err != nil {
		t.Fatal(err)
	}
	if after, err := os.ReadFile(file); err != nil || !bytes.Equal(after, before) {
		t.Errorf("the file was changed: %v", err)
	}
	if left, _ := filepath.Glob(file + "*"); len(left) != 2 {
		t.Errorf("there are %v", left)
	}
}

func TestWhatCannotBeRead(t *testing.T) {
	folder := t.TempDir()
	empty := filepath.Join(folder, "empty.db")
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for file, want := range map[string]string{
		empty:                               empty + " is not a Becket database, or is damaged. Restore it from a backup; nothing was changed.",
		filepath.Join(folder, "nothing.db"): filepath.Join(folder, "nothing.db") + " isn't there. Name another file; nothing was changed.",
	} {
		if _, err := OpenToRead(t.Context(), file, atNine); !errors.As(err, new(Problem)) || err.Error() != want {
			t.Errorf("%s: it says %v", file, err)
		}
	}
	if left, _ := os.ReadDir(folder); len(left) != 1 {
		t.Errorf("it left %v", left)
	}
}

func TestACopyThatDiffersIsNoticed(t *testing.T) {
	db := written(t, 5)
	file := filepath.Join(t.TempDir(), "copy.db")
	if err := db.Backup(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	copied := reopen(t, file)
	if err := db.compareWith(t.Context(), &DB{file: copied.file, name: file}); err != nil {
		t.Errorf("a copy as it was made: %v", err)
	}
	execRaw(t, raw(t, copied), `DROP TRIGGER journal_is_never_changed; UPDATE journal SET room = '!shed' WHERE seq = 3`)
	if err := db.compareWith(t.Context(), &DB{file: copied.file, name: file}); err == nil || err.Error() != "the copy isn't whole: entry 3 isn't what the record has" {
		t.Errorf("one word changed: %v", err)
	}
	note(t, copied, "later", "only here")
	execRaw(t, raw(t, copied), `UPDATE journal SET room = '!yard' WHERE seq = 3`)
	if err := db.compareWith(t.Context(), &DB{file: copied.file, name: file}); err == nil || !strings.Contains(err.Error(), "entry 6") {
		t.Errorf("one entry more: %v", err)
	}
}

// TestACopyDuringADeletion: what is deleted while a copy is made is in neither, or in both; the copy is made anew.
func TestACopyDuringADeletion(t *testing.T) {
	db := written(t, 5)
	for _, differs := range []error{errDiffers, os.ErrNotExist} {
		tries := 0
		file := filepath.Join(t.TempDir(), "copy.db")
		err := db.copyTo(t.Context(), file, func(*DB) error {
			if tries++; tries == 1 {
				return differs
			}
			return nil
		})
		if err != nil || tries != 2 {
			t.Errorf("%d tries, %v", tries, err)
		}
		isClean(t, reopen(t, file))
	}
	tries, folder := 0, t.TempDir()
	err := db.copyTo(t.Context(), filepath.Join(folder, "copy.db"), func(*DB) error { tries++; return errDiffers })
	if !errors.Is(err, errDiffers) || tries != 3 {
		t.Errorf("%d tries, %v", tries, err)
	}
	if left, _ := os.ReadDir(folder); len(left) > 0 {
		t.Errorf("it left %v", left)
	}
}
