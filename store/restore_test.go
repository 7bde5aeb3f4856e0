package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"
)

// atTen is an hour after atNine.
func atTen() time.Time { return atNine().Add(time.Hour) }

// teamed is a record with two teams, opened as the program does.
func teamed(t *testing.T) *DB {
	t.Helper()
	db, err := Open(t.Context(), filepath.Join(t.TempDir(), "becket.db"), atNine)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	do(t, db, func(tx *Tx) error {
		_, err := tx.Append("!yard", "@ana", "$1", TeamNamed{Name: "Yard"})
		_, again := tx.Append("!shed", "@ben", "$2", TeamNamed{Name: "Shed"})
		return errors.Join(err, again)
	})
	return db
}

// goOn restores a copy and gives what was entered, with the record opened.
func goOn(t *testing.T, copied string) (Restored, *DB) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "new.db")
	var entered Restored
	err := Restore(t.Context(), copied, file, atTen, func(db *DB) error {
		return db.Do(t.Context(), func(tx *Tx) (err error) {
			entered, _, err = tx.GoOn("restore", "restore")
			return err
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	db, err := Open(t.Context(), file, atTen)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	faults, err := db.Verify(t.Context(), Projected(), nil)
	if err != nil || len(faults) > 0 {
		t.Errorf("after restoring: %v, %v", faults, err)
	}
	return entered, db
}

func TestGoingOnFromACopy(t *testing.T) {
	db := teamed(t)
	db.now = func() time.Time { return atNine().Add(time.Minute) }
	copied := filepath.Join(t.TempDir(), "copy.db")
	if err := db.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	entered, restored := goOn(t, copied)
	if entered.Entries != 2 || !entered.Since.Equal(atNine().Add(time.Minute)) {
		t.Errorf("entered is %+v", entered)
	}
	view(t, restored, func(tx *Tx) error {
		if _, is, err := tx.CopyMade(); is || err != nil {
			t.Errorf("it is still a copy: %v, %v", is, err)
		}
		for _, room := range []string{"!yard", "!shed"} {
			since, open, err := tx.Unaccounted(room)
			if !open || !since.Equal(entered.Since) || err != nil {
				t.Errorf("%s: open %v, since %v, %v", room, open, since, err)
			}
		}
		_, open, err := tx.Unaccounted("!elsewhere")
		if open {
			t.Error("a room that isn't known is asked")
		}
		return err
	})
	do(t, restored, func(tx *Tx) error {
		_, err := tx.Append("!yard", "@ana", "$3", Accounted{entered.Since})
		return err
	})
	if n := count(t, restored, `SELECT count(*) FROM unaccounted WHERE room = '!shed'`); n != 1 {
		t.Error("one room answered for the other")
	}
	// The copy stays as it was.
	again, err := OpenToRead(t.Context(), copied, atTen)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	view(t, again, func(tx *Tx) error {
		made, is, err := tx.CopyMade()
		if !is || !made.Equal(entered.Since) {
			t.Errorf("the copy was made %v, %v", made, is)
		}
		return err
	})
}

// backToEdition takes away what later steps of the schema added, the latest first.
func backToEdition(t *testing.T, db *sql.DB, edition int) {
	t.Helper()
	steps, err := filepath.Glob("upgrades/*.sql")
	if err != nil {
		t.Fatal(err)
	}
	added := regexp.MustCompile(`(?m)^(?:CREATE (?:VIRTUAL )?(TABLE|INDEX) (\w+)|ALTER TABLE (\w+) ADD COLUMN (\w+))`)
	for _, step := range slices.Backward(steps) {
		var n int
		if _, err := fmt.Sscanf(filepath.Base(step), "%02d-", &n); err != nil || n <= edition {
			continue
		}
		text, err := os.ReadFile(step)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range slices.Backward(added.FindAllStringSubmatch(string(text), -1)) {
			if a[1] != "" {
				execRaw(t, db, "DROP "+a[1]+" IF EXISTS "+a[2])
			} else {
				execRaw(t, db, "ALTER TABLE "+a[3]+" DROP COLUMN "+a[4])
			}
		}
	}
	execRaw(t, db, fmt.Sprintf("UPDATE version SET version = %d, compat = %[1]d; PRAGMA user_version = %[1]d", edition))
}

// TestACopyByAnOlderEdition has no place for saying that it is one: the last entry's time counts.
func TestACopyByAnOlderEdition(t *testing.T) {
	db := teamed(t)
	backToEdition(t, raw(t, db), 8)
	older, err := OpenToRead(t.Context(), db.file, atTen)
	if err != nil {
		t.Fatal(err)
	}
	defer older.Close()
	copied := filepath.Join(t.TempDir(), "copy.db")
	if err := older.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	if n := count(t, older, `SELECT version FROM version`); n != 8 {
		t.Errorf("copying made it edition %d", n)
	}
	entered, restored := goOn(t, copied)
	if !entered.Since.Equal(atNine()) {
		t.Errorf("since %v", entered.Since)
	}
	if n := count(t, restored, `SELECT count(*) FROM unaccounted`); n != 2 {
		t.Errorf("%d rooms are asked", n)
	}
}

func TestARestoringThatFailsLeavesNothing(t *testing.T) {
	db := teamed(t)
	folder := t.TempDir()
	file := filepath.Join(folder, "new.db")
	err := Restore(t.Context(), db.file, file, atTen, func(*DB) error { return nil })
	if want := db.file + " is in use by another program. Close that one first, or name another file; nothing was changed."; err == nil || err.Error() != want {
		t.Errorf("a record that somebody speaks from: %v", err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	no := errors.New("no")
	if err := Restore(t.Context(), db.file, file, atTen, func(*DB) error { return no }); !errors.Is(err, no) {
		t.Errorf("it says %v", err)
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if err := Restore(gone, db.file, file, atTen, func(*DB) error { return nil }); !errors.Is(err, context.Canceled) {
		t.Errorf("nobody waiting: %v", err)
	}
	if left, _ := os.ReadDir(folder); len(left) > 0 {
		t.Errorf("it left %v", left)
	}
	for _, taken := range []string{"new.db", "new.db-wal", "new.db-photos"} {
		if err := os.WriteFile(filepath.Join(folder, taken), []byte("mine"), 0o600); err != nil {
			t.Fatal(err)
		}
		err := Restore(t.Context(), db.file, file, atTen, func(*DB) error { return nil })
		if want := filepath.Join(folder, taken) + " is already there. Name another file; nothing was changed."; err == nil || err.Error() != want {
			t.Errorf("it says %v", err)
		}
		if err := os.Remove(filepath.Join(folder, taken)); err != nil {
			t.Fatal(err)
		}
	}
}

func TestAPhotoThatIsSpokenOfAndMissing(t *testing.T) {
	db := teamed(t)
	do(t, db, func(tx *Tx) error {
		_, err := tx.Append("!yard", "@ana", "$3", Photographed{Mark: "D-07", Hash: abcHash})
		return err
	})
	faults, err := db.Verify(t.Context(), Projected(), nil)
	if err != nil || len(faults) != 1 || faults[0].String() != "entry 3 speaks of a photo that is missing: "+abcHash {
		t.Errorf("%v, %v", faults, err)
	}
}
