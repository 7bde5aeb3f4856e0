package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// smallOf is the small copy of a photo, empty where there is none.
func smallOf(t *testing.T, db *DB, hash string) (text string) {
	t.Helper()
	if err := db.View(t.Context(), func(tx *Tx) error {
		if data, whole := tx.Small(hash); whole {
			text = string(data)
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	return text
}

func TestSmallCopiesAreWholeOrNone(t *testing.T) {
	db := openTemp(t)
	if got := smallOf(t, db, abcHash); got != "" {
		t.Errorf("before it is kept there is %q", got)
	}
	for _, text := range []string{"a", "ab"} { // the later one counts
		if err := db.KeepSmall(abcHash, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got := smallOf(t, db, abcHash); got != text {
			t.Errorf("%q is kept as %q", text, got)
		}
	}
	file := filepath.Join(db.smallFolder(), abcHash)
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for n := range len(whole) {
		changed := []byte(string(whole))
		changed[n] ^= 1
		for _, spoilt := range [][]byte{changed, whole[:n]} {
			if err := os.WriteFile(file, spoilt, 0o600); err != nil {
				t.Fatal(err)
			}
			if got := smallOf(t, db, abcHash); got != "" {
				t.Errorf("%d of %d bytes, or byte %d changed, are taken for %q", n, len(whole), n, got)
			}
		}
	}
	for _, name := range []string{"../" + abcHash, strings.ToUpper(abcHash), "a"} {
		if err := db.KeepSmall(name, []byte("a")); err == nil {
			t.Errorf("%s is taken for a photo's hash", name)
		}
	}
}

// TestSmallCopiesGoWithTheirPhotos, and no copy of the record has them.
func TestSmallCopiesGoWithTheirPhotos(t *testing.T) {
	db := openTemp(t)
	keep := func(photo string) (hash string) {
		hash, _, err := db.PutBlob(t.Context(), strings.NewReader(photo), 100)
		if err != nil {
			t.Fatal(err)
		}
		if err := db.KeepSmall(hash, []byte("small "+photo)); err != nil {
			t.Fatal(err)
		}
		return hash
	}
	deleted, kept, lost := keep("deleted"), keep("kept"), keep("lost")
	do(t, db, func(tx *Tx) error { return tx.Unwanted(deleted) })
	if err := db.RemoveUnwanted(t.Context()); err != nil {
		t.Fatal(err)
	}
	if smallOf(t, db, deleted) != "" || smallOf(t, db, kept) != "small kept" {
		t.Error("of a deleted photo the small copy stays, or of another it went")
	}
	if err := os.Remove(filepath.Join(db.photoFolder(), lost)); err != nil {
		t.Fatal(err)
	}
	half := filepath.Join(db.smallFolder(), halfPhoto+"1")
	if err := os.WriteFile(half, []byte("ab"), 0o600); err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(t.TempDir(), "copy.db")
	if err := db.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	if left, err := filepath.Glob(copied + "*small*"); err != nil || len(left) > 0 {
		t.Errorf("the copy of the record has %v, %v", left, err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	again := reopen(t, db.file)
	if smallOf(t, again, lost) != "" || smallOf(t, again, kept) != "small kept" {
		t.Error("the small copy of a photo that isn't there any more stays, or another went")
	}
	if _, err := os.Lstat(half); err == nil {
		t.Error("what was half written stays")
	}
}

// TestNoSmallCopyOfAPhotoThatIsGone: it may be deleted while its copy is made.
func TestNoSmallCopyOfAPhotoThatIsGone(t *testing.T) {
	db := openTemp(t)
	if err := db.KeepSmallLater(abcHash, []byte("a")); err != nil || smallOf(t, db, abcHash) != "" {
		t.Errorf("of a photo that isn't there a small copy is kept, %v", err)
	}
	if _, _, err := db.PutBlob(t.Context(), strings.NewReader("abc"), 10); err != nil {
		t.Fatal(err)
	}
	if !db.LacksSmall(abcHash, 2) || db.LacksSmall(abcHash, 3) {
		t.Error("it isn't told that its small copy is missing, or so of one that is no larger than that")
	}
	if err := db.KeepSmallLater(abcHash, []byte("a")); err != nil || smallOf(t, db, abcHash) != "a" || db.LacksSmall(abcHash, 2) {
		t.Errorf("of a photo that is there no small copy is kept, %v", err)
	}
}
