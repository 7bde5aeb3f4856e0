package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
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
