package store

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"go.mau.fi/util/dbutil"
)

// problem tells what opening the file is refused with; anything but a Problem fails the test.
func problem(t *testing.T, file string) string {
	t.Helper()
	db, err := openFile(file)
	if err == nil {
		db.Close()
		t.Fatal("it was opened")
	}
	var told Problem
	if !errors.As(err, &told) || err.Error() != told.Sentence {
		t.Fatalf("%T: %v", err, err)
	}
	return told.Sentence
}

func TestFilesThatAreNoDatabase(t *testing.T) {
	whole := openTemp(t)
	note(t, whole, "a", "first")
	if err := whole.Close(); err != nil {
		t.Fatal(err)
	}
	good, err := os.ReadFile(whole.file)
	if err != nil {
		t.Fatal(err)
	}
	foreign := filepath.Join(t.TempDir(), "foreign.db")
	other := raw(t, &DB{file: foreign})
	execRaw(t, other, `CREATE TABLE song (title TEXT)`)
	other.Close()
	theirs, err := os.ReadFile(foreign)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096 // SQLite's usual page size
	for name, content := range map[string][]byte{
		"a text":            bytes.Repeat([]byte("Dear diary, today "), 100),
		"a short text":      []byte("hello"),
		"half a header":     append(slicesClone(good[:40]), bytes.Repeat([]byte{0xff}, len(good)-40)...),
		"cut off":           good[:page+100],
		"another program's": theirs,
		"a damaged schema":  append(append(slicesClone(good[:100]), bytes.Repeat([]byte{0xff}, page-100)...), good[page:]...),
	} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "becket.db")
			if err := os.WriteFile(file, content, 0o600); err != nil {
				t.Fatal(err)
			}
			want := file + " is not a Becket database, or is damaged. Restore it from a backup; nothing was changed."
			if got := problem(t, file); got != want {
				t.Errorf("it says %q", got)
			}
			if after, err := os.ReadFile(file); err != nil || !bytes.Equal(after, content) {
				t.Error("the file was changed")
			}
			if left, _ := filepath.Glob(file + "*"); len(left) != 1 {
				t.Errorf("there are now %v", left)
			}
		})
	}
}

func slicesClone(b []byte) []byte { return append([]byte(nil), b...) }

func TestDamageFoundLater(t *testing.T) {
	db := openTemp(t)
	for range 200 {
		if _, err := appendNote(db, "a"); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(db.file, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	info, _ := f.Stat()
	const page = 4096
	// Behind the schema every page is spoilt.
	if _, err := f.WriteAt(bytes.Repeat([]byte{0xff}, int(info.Size())-30*page), 30*page); err != nil {
		t.Fatal(err)
	}
	f.Close()
	again, err := openFile(db.file)
	if err == nil {
		defer again.Close()
		err = again.View(t.Context(), func(tx *Tx) error {
			_, err := tx.EntriesAfter(0, 1000)
			return err
		})
	}
	if !errors.As(err, new(Problem)) || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("it says %v", err)
	}
}

func TestMissingFolder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "nowhere")
	file := filepath.Join(folder, "becket.db")
	if got, want := problem(t, file), "There is no folder "+folder+" for "+file+". Make the folder first, or name another file; nothing was changed."; got != want {
		t.Errorf("it says %q", got)
	}
}

func TestAFolderInPlaceOfTheFile(t *testing.T) {
	folder := t.TempDir()
	if got := problem(t, folder); !strings.HasPrefix(got, folder+" is a folder, not a file.") {
		t.Errorf("it says %q", got)
	}
}

func TestAFutureDatabase(t *testing.T) {
	file := filepath.Join(t.TempDir(), "becket.db")
	future := withNotes()
	future = dbutil.WIPUpgradeTable(future).With(dbutil.WrapUpgrade(len(future), len(future)+1, 0, "Next year", dbutil.TxnModeOn,
		func(ctx context.Context, db *dbutil.Database) error {
			_, err := db.Exec(ctx, `ALTER TABLE note ADD COLUMN wish TEXT`)
			return err
		})).Finish()
	db, err := open(t.Context(), file, atNine, decodeNote, future)
	if err != nil {
		t.Fatal(err)
	}
	note(t, db, "a", "first")
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	before, _ := os.ReadFile(file)
	want := file + " was written by a newer Becket than this one. Use the newer program; nothing was changed."
	if got := problem(t, file); got != want {
		t.Errorf("it says %q", got)
	}
	if after, _ := os.ReadFile(file); !bytes.Equal(before, after) {
		t.Error("the file was changed")
	}
}

func TestASecondProcess(t *testing.T) {
	file := filepath.Join(t.TempDir(), "becket.db")
	link := filepath.Join(t.TempDir(), "link.db")
	holder := child(t, "hold", file)
	lines := started(t, holder)
	if !lines.Scan() || lines.Text() != "open" {
		t.Fatalf("the other process said %q", lines.Text())
	}
	if err := os.Symlink(file, link); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{file, link} {
		began := time.Now()
		want := name + " is in use by another program. Close that one first, or name another file; nothing was changed."
		if got := problem(t, name); got != want {
			t.Errorf("it says %q", got)
		}
		if took := time.Since(began); took > time.Second {
			t.Errorf("it took %v to say so", took)
		}
	}
	if err := holder.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = holder.Wait()
	db := reopen(t, file)
	note(t, db, "a", "the lock is gone with its holder")
	if out, err := child(t, "open", file).Output(); err == nil || !strings.Contains(string(out), "in use by another program") {
		t.Errorf("another process was told %q, %v", out, err)
	}
}

func TestWhereNothingMayBeWritten(t *testing.T) {
	// A folder that anybody may pass through; that of t.TempDir only its owner may.
	folder, err := os.MkdirTemp("", "becket")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = os.Chmod(folder, 0o700)
		os.RemoveAll(folder)
	})
	kept := filepath.Join(folder, "kept.db")
	db, err := openFile(kept)
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	locked := filepath.Join(folder, "locked.db")
	for _, left := range []string{locked, locked + ".lock"} {
		if err := errors.Join(os.WriteFile(left, nil, 0o666), os.Chmod(left, 0o666)); err != nil {
			t.Fatal(err)
		}
	}
	for _, may := range []struct {
		name         string
		folder, file os.FileMode
		database     string
	}{
		{"a new file in a read-only folder", 0o555, 0o644, filepath.Join(folder, "new.db")},
		{"an old file in a read-only folder", 0o555, 0o666, kept},
		{"an old file there, its lock left by a killed process", 0o555, 0o666, locked},
		{"a read-only file", 0o777, 0o444, kept},
	} {
		t.Run(may.name, func(t *testing.T) {
			if err := errors.Join(os.Chmod(kept, may.file), os.Chmod(folder, may.folder)); err != nil {
				t.Fatal(err)
			}
			out, err := child(t, "open as nobody", may.database).Output()
			want := may.database + " can't be written. Allow writing to it and to its folder, or name another file; nothing was changed.\n"
			if err == nil || string(out) != want {
				t.Errorf("it says %q, %v", out, err)
			}
		})
	}
}

func TestAFullDisk(t *testing.T) {
	file := filepath.Join(t.TempDir(), "becket.db")
	out, err := child(t, "fill up", file).Output()
	want := file + " can't grow: the disk is full, or a limit on file size is reached. Make room and try again; nothing was changed.\n" +
		file + "-photos can't grow: the disk is full, or a limit on file size is reached. Make room and try again; nothing was changed.\n"
	if err != nil || string(out) != want {
		t.Errorf("it says %q, %v", out, err)
	}
	isClean(t, reopen(t, file))
}

func isClean(t *testing.T, db *DB) {
	t.Helper()
	faults, err := db.Verify(t.Context(), []string{"note"}, nil)
	if err != nil || len(faults) > 0 {
		t.Errorf("it isn't clean: %v %v", faults, err)
	}
}

func TestKilledWhileWriting(t *testing.T) {
	file := filepath.Join(t.TempDir(), "becket.db")
	var last int64
	for range 8 {
		writer := child(t, "write on and on", file)
		lines := started(t, writer)
		for n, until := 0, 1+rand.IntN(60); n < until && lines.Scan(); n++ {
			seq, err := strconv.ParseInt(lines.Text(), 10, 64)
			if err != nil || seq != last+1 {
				t.Fatalf("after entry %d it said %q", last, lines.Text())
			}
			last = seq
		}
		time.Sleep(time.Duration(rand.IntN(3000)) * time.Microsecond)
		if err := writer.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for lines.Scan() {
			if last, _ = strconv.ParseInt(lines.Text(), 10, 64); last == 0 {
				t.Fatalf("it said %q", lines.Text())
			}
		}
		_ = writer.Wait()

		db, err := openFile(file)
		if err != nil {
			t.Fatal(err)
		}
		isClean(t, db)
		var seq int64
		view(t, db, func(tx *Tx) (err error) {
			seq, _, err = tx.Head()
			return err
		})
		// One more than was said may be on disk: its "saved" was still to come.
		if seq != last && seq != last+1 {
			t.Errorf("%d entries were said to be saved, %d are there", last, seq)
		}
		if n := count(t, db, `SELECT count(*) FROM outbox`); int64(n) != seq {
			t.Errorf("%d replies for %d entries", n, seq)
		}
		last = seq
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
