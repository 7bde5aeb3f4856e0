package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.mau.fi/util/dbutil"
)

// noteSet is an event for tests: a text under a key, in a table of its own.
type noteSet struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

func (noteSet) Kind() string      { return "test.note" }
func (n noteSet) Subject() string { return "note:" + n.Key }

func (n noteSet) apply(tx *Tx, e Entry) error {
	_, err := tx.exec(`INSERT INTO note (key, text) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET text = excluded.text`, n.Key, n.Text)
	if n.Text == "never" {
		return errors.New("this is never entered")
	}
	return err
}

func decodeNote(kind string, body []byte) (Event, error) {
	var n noteSet
	if kind != n.Kind() {
		return decode(kind, body)
	}
	err := json.Unmarshal(body, &n)
	return n, err
}

// withNotes is the schema and one table more.
func withNotes() dbutil.UpgradeTable {
	tables := schema()
	return dbutil.WIPUpgradeTable(tables).With(dbutil.WrapUpgrade(len(tables), len(tables)+1, 0, "Notes", dbutil.TxnModeOn,
		func(ctx context.Context, db *dbutil.Database) error {
			_, err := db.Exec(ctx, `CREATE TABLE note (key TEXT PRIMARY KEY, text TEXT NOT NULL) STRICT`)
			return err
		})).Finish()
}

func atNine() time.Time { return time.Date(2026, 3, 2, 9, 15, 0, 0, time.UTC) }

func openFile(file string) (*DB, error) {
	return open(context.Background(), file, atNine, decodeNote, withNotes())
}

// openTemp opens a new database that is closed when the test ends.
func openTemp(t testing.TB) *DB {
	t.Helper()
	return reopen(t, filepath.Join(t.TempDir(), "becket.db"))
}

func reopen(t testing.TB, file string) *DB {
	t.Helper()
	db, err := openFile(file)
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

func do(t testing.TB, db *DB, fn func(*Tx) error) {
	t.Helper()
	if err := db.Do(t.Context(), fn); err != nil {
		t.Fatal(err)
	}
}

func view(t testing.TB, db *DB, fn func(*Tx) error) {
	t.Helper()
	if err := db.View(t.Context(), fn); err != nil {
		t.Fatal(err)
	}
}

// note appends one note in a transaction of its own.
func note(t testing.TB, db *DB, key, text string) {
	t.Helper()
	do(t, db, func(tx *Tx) error {
		_, err := tx.Append("!yard", "@ana", "$1", noteSet{key, text})
		return err
	})
}

// raw opens the same file past the store, as somebody with another tool would.
func raw(t testing.TB, db *DB) *sql.DB {
	t.Helper()
	other, err := sql.Open("sqlite", "file:"+db.file+"?_pragma=busy_timeout(5000)")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { other.Close() })
	return other
}

func execRaw(t testing.TB, other *sql.DB, query string, args ...any) {
	t.Helper()
	if _, err := other.Exec(query, args...); err != nil {
		t.Fatal(err)
	}
}

func count(t testing.TB, db *DB, query string, args ...any) (n int) {
	t.Helper()
	view(t, db, func(tx *Tx) error {
		_, err := tx.get(query, args, &n)
		return err
	})
	return n
}

func TestDoHappensWholeOrNotAtAll(t *testing.T) {
	stop := errors.New("stop")
	for name, fn := range map[string]func(*Tx) error{
		"an error": func(*Tx) error { return stop },
		"a panic":  func(*Tx) error { panic("stop") },
		"a failed write that nobody heeded": func(tx *Tx) error {
			_ = tx.put(`INSERT INTO note (key) VALUES ('no text')`)
			_ = tx.Say("after", "", "", nil)
			return nil
		},
		"a failed event that nobody heeded": func(tx *Tx) error {
			_, _ = tx.Append("", "", "", noteSet{"x", "never"})
			return nil
		},
	} {
		t.Run(name, func(t *testing.T) {
			db := openTemp(t)
			err := func() (err error) {
				defer func() {
					if p := recover(); p != nil {
						err = stop
					}
				}()
				return db.Do(t.Context(), func(tx *Tx) error {
					if _, err := tx.Append("!yard", "@ana", "$1", noteSet{"a", "first"}); err != nil {
						return err
					}
					if err := tx.Say("k", "$1", "!yard", []byte("x")); err != nil {
						return err
					}
					return fn(tx)
				})
			}()
			if err == nil {
				t.Error("the transaction was taken")
			}
			for _, table := range []string{"journal", "note", "outbox"} {
				if n := count(t, db, `SELECT count(*) FROM `+table); n != 0 {
					t.Errorf("%d rows in %s", n, table)
				}
			}
			note(t, db, "b", "goes on afterwards")
		})
	}
}

func TestWhatIsDoneIsThereAfterReopening(t *testing.T) {
	db := openTemp(t)
	note(t, db, "a", "first")
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := db.Unsent(t.Context(), 1); !errors.As(err, new(Problem)) {
		t.Errorf("a closed database said %v", err)
	}
	again := reopen(t, db.file)
	if n := count(t, again, `SELECT count(*) FROM note WHERE key = 'a' AND text = 'first'`); n != 1 {
		t.Errorf("%d notes", n)
	}
}

func TestAViewOnlyReads(t *testing.T) {
	db := openTemp(t)
	err := db.View(t.Context(), func(tx *Tx) error {
		return tx.Say("k", "", "", nil)
	})
	if err == nil || !strings.Contains(err.Error(), "only reads") {
		t.Errorf("got %v", err)
	}
	if n := count(t, db, `SELECT count(*) FROM outbox`); n != 0 {
		t.Error("it was written")
	}
}

func TestAViewDoesNotSeeWhatIsWrittenMeanwhile(t *testing.T) {
	db := openTemp(t)
	note(t, db, "a", "first")
	view(t, db, func(tx *Tx) error {
		before, _, _ := tx.Head()
		note(t, db, "b", "second")
		tx.head = nil
		if after, _, _ := tx.Head(); before != 1 || after != 1 {
			t.Errorf("the head went from %d to %d", before, after)
		}
		return nil
	})
}

func TestNowIsFixedAndKeepsItsZone(t *testing.T) {
	zone := time.FixedZone("", 2*60*60)
	reading := time.Date(2026, 3, 2, 9, 15, 0, 123456789, zone)
	db, err := Open(t.Context(), filepath.Join(t.TempDir(), "becket.db"), func() time.Time {
		reading = reading.Add(time.Hour)
		return reading
	})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	do(t, db, func(tx *Tx) error {
		want := time.Date(2026, 3, 2, 10, 15, 0, 123456000, zone)
		if a, b := tx.Now(), tx.Now(); a != b || !a.Equal(want) || a.Location() != zone {
			t.Errorf("now is %v, then %v", a, b)
		}
		return nil
	})
}

func TestAWaitingWriterGivesUpWithItsContext(t *testing.T) {
	db := openTemp(t)
	do(t, db, func(*Tx) error {
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Millisecond)
		defer cancel()
		err := db.Do(ctx, func(*Tx) error { return nil })
		if !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("got %v", err)
		}
		return nil
	})
}

func TestEveryCommitWaitsForTheDisk(t *testing.T) {
	const full = 2 // PRAGMA synchronous, SQLite's documentation
	db := openTemp(t)
	do(t, db, func(tx *Tx) error { return tx.Say("k", "", "", nil) })
	if err := db.Sent(t.Context(), 1); err != nil {
		t.Fatal(err)
	}
	err := db.writer.borrow(t.Context(), func(c *conn) error {
		said, err := c.texts("PRAGMA synchronous")
		if err != nil || len(said) != 1 || said[0] != "2" {
			t.Errorf("synchronous is %v, want %d", said, full)
		}
		said, err = c.texts("PRAGMA journal_mode")
		if err != nil || len(said) != 1 || said[0] != "wal" {
			t.Errorf("the journal mode is %v", said)
		}
		said, err = c.texts("PRAGMA foreign_keys")
		if err != nil || len(said) != 1 || said[0] != "1" {
			t.Errorf("foreign keys are %v", said)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestOddFileNames(t *testing.T) {
	for _, name := range []string{"two words.db", "100%3f?.db", "a#b.db", "ö.db"} {
		file := filepath.Join(t.TempDir(), name)
		db := reopen(t, file)
		note(t, db, "a", "first")
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		left, err := os.ReadDir(filepath.Dir(file))
		if err != nil || len(left) != 1 || left[0].Name() != name {
			t.Errorf("%s: there are %v, %v", name, left, err)
		}
	}
}
