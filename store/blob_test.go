package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// abc and its sha256: FIPS 180-2, appendix B.1.
const abcHash = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

func photos(t *testing.T, db *DB) []string {
	t.Helper()
	entries, err := os.ReadDir(db.photoFolder())
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func readBlob(db *DB, hash string) (string, error) {
	r, err := db.Blob(hash)
	if err != nil {
		return "", err
	}
	all, err := io.ReadAll(r)
	return string(all), errors.Join(err, r.Close())
}

func TestBlobsAreKeptUnderTheirHash(t *testing.T) {
	db := openTemp(t)
	for range 2 {
		hash, size, err := db.PutBlob(t.Context(), strings.NewReader("abc"), 3)
		if hash != abcHash || size != 3 || err != nil {
			t.Errorf("%s, %d, %v", hash, size, err)
		}
	}
	if got := photos(t, db); fmt.Sprint(got) != "["+abcHash+"]" {
		t.Errorf("there are %v", got)
	}
	if got, err := readBlob(db, abcHash); got != "abc" || err != nil {
		t.Errorf("%q, %v", got, err)
	}
}

func TestBlobsThatAreRefusedLeaveNothing(t *testing.T) {
	db := openTemp(t)
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	broken := errors.New("the line broke")
	for name, put := range map[string]func() error{
		"too large": func() error {
			_, _, err := db.PutBlob(t.Context(), strings.NewReader("abcd"), 3)
			if want := "The photo is larger than 3 bytes. Send a smaller one; nothing was kept."; !errors.As(err, new(Problem)) || err.Error() != want {
				t.Errorf("it says %v", err)
			}
			return err
		},
		"a broken line": func() error {
			_, _, err := db.PutBlob(t.Context(), io.MultiReader(strings.NewReader("ab"), brokenReader{broken}), 3)
			if !errors.Is(err, broken) {
				t.Errorf("it says %v", err)
			}
			return err
		},
		"nobody waiting": func() error {
			_, _, err := db.PutBlob(gone, strings.NewReader("abc"), 3)
			return err
		},
	} {
		if put() == nil {
			t.Errorf("%s: it was kept", name)
		}
		if left := photos(t, db); len(left) > 0 {
			t.Errorf("%s: it left %v", name, left)
		}
	}
}

type brokenReader struct{ err error }

func (b brokenReader) Read([]byte) (int, error) { return 0, b.err }

func TestADamagedBlobIsNeitherTrustedNorOverwritten(t *testing.T) {
	db := openTemp(t)
	if _, _, err := db.PutBlob(t.Context(), strings.NewReader("abc"), 3); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(db.photoFolder(), abcHash)
	if err := os.WriteFile(file, []byte("abx"), 0o600); err != nil {
		t.Fatal(err)
	}
	want := "The photo " + file + " is damaged. Restore it from a backup."
	if _, err := readBlob(db, abcHash); err == nil || err.Error() != want {
		t.Errorf("reading says %v", err)
	}
	if _, _, err := db.PutBlob(t.Context(), strings.NewReader("abc"), 3); err == nil || err.Error() != want {
		t.Errorf("putting says %v", err)
	}
	if after, _ := os.ReadFile(file); string(after) != "abx" {
		t.Errorf("it was overwritten with %q", after)
	}
}

func TestBlobNames(t *testing.T) {
	db := openTemp(t)
	if _, err := db.Blob(abcHash); !errors.As(err, new(Problem)) || !strings.Contains(err.Error(), "missing") {
		t.Errorf("a photo that isn't there: %v", err)
	}
	for _, name := range []string{"", "..", "../becket.db", strings.ToUpper(abcHash), abcHash + "00", strings.Repeat("../", 20) + "etc"} {
		if _, err := db.Blob(name); err == nil || errors.Is(err, os.ErrNotExist) {
			t.Errorf("%q was looked for: %v", name, err)
		}
	}
}

func TestHalfPhotosAreClearedWhenOpened(t *testing.T) {
	db := openTemp(t)
	if _, _, err := db.PutBlob(t.Context(), strings.NewReader("abc"), 3); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(db.photoFolder(), halfPhoto+"123"), []byte("ab"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if got := photos(t, reopen(t, db.file)); fmt.Sprint(got) != "["+abcHash+"]" {
		t.Errorf("there are %v", got)
	}
}
