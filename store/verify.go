package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"net/url"
	"path/filepath"
	"slices"
)

// Fault is one thing that isn't as it was written. Seq is the number of the journal's entry, or 0 when it is none.
type Fault struct {
	Seq  int64
	What string
}

func (f Fault) String() string {
	if f.Seq == 0 {
		return f.What
	}
	return fmt.Sprintf("entry %d %s", f.Seq, f.What)
}

// atOnce is how many entries are held in memory at a time.
const atOnce = 1000

// Verify goes through everything that is remembered and names each thing that differs: it checks the file, hashes
// every entry again, applies all to empty tables and compares those named in tables row by row, hands each entry to
// check (which may be nil) for what it has to say, and reads every photo. An error means that it couldn't go on;
// faults found before are given all the same. Others can go on reading and writing.
//
// Who can rewrite an entry and all hashes after it goes unnoticed, unless Head was noted elsewhere.
func (db *DB) Verify(ctx context.Context, tables []string, check func(Entry, Event) []string) ([]Fault, error) {
	v := verification{db: db, check: check, spoken: map[string]int64{}}
	again, err := dial(ctx, "", db.name, url.Values{
		"_pragma": {"foreign_keys(1)", "synchronous(OFF)", "journal_mode(MEMORY)", "cache_size(-65536)"},
	}, func(raw *sql.DB) error { return upgrade(ctx, raw, db.schema) })
	if err != nil {
		return nil, err
	}
	v.again = again
	err = db.View(ctx, func(tx *Tx) error {
		v.kept = tx
		return v.run(ctx, tables)
	})
	if err == nil {
		err = v.photos(ctx)
	}
	return v.faults, errors.Join(err, again.close())
}

type verification struct {
	db     *DB
	kept   *Tx   // what is to be verified
	again  *conn // an empty database that everything is applied to again
	check  func(Entry, Event) []string
	chain  chain
	spoken map[string]int64 // photos by hash, and the last entry that speaks of each
	faults []Fault
}

func (v *verification) find(seq int64, what string) { v.faults = append(v.faults, Fault{seq, what}) }

func (v *verification) run(ctx context.Context, tables []string) error {
	said, err := v.kept.conn.integrity()
	if err != nil {
		return err
	}
	for _, what := range said {
		v.find(0, "the file is damaged: "+what)
	}
	if err := v.journal(ctx); err != nil {
		return err
	}
	for _, table := range tables {
		if err := errors.Join(ctx.Err(), v.compare(table)); err != nil {
			return err
		}
	}
	return nil
}

// journal goes through all entries in order, some at a time.
func (v *verification) journal(ctx context.Context) (err error) {
	if v.chain.blanked, err = v.kept.blankings(); err != nil {
		return err
	}
	for after := int64(beforeAll); ; {
		entries, err := v.kept.EntriesAfter(after, atOnce)
		if err != nil {
			return err
		}
		if len(entries) == 0 {
			return v.end()
		}
		err = v.again.transact("BEGIN", func() error {
			for _, e := range entries {
				if err := errors.Join(ctx.Err(), v.entry(e)); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
		after = entries[len(entries)-1].Seq
	}
}

func (v *verification) entry(e Entry) error {
	v.faults = append(v.faults, v.chain.next(e)...)
	ev, err := v.db.decode(e.Kind, e.Body)
	if err != nil {
		v.find(e.Seq, "can't be read: "+err.Error())
		return nil
	}
	if err := v.apply(e, ev); err != nil {
		return err
	}
	if photo, is := ev.(*Photographed); is && photo.Hash != "" { // empty: deleted by its sender
		v.spoken[photo.Hash] = e.Seq
	}
	if v.check != nil {
		for _, what := range v.check(e, ev) {
			v.find(e.Seq, what)
		}
	}
	return nil
}

// apply applies an entry again, or not at all: one that can't be applied is a fault.
func (v *verification) apply(e Entry, ev Event) error {
	if _, err := v.again.exec("SAVEPOINT entry"); err != nil {
		return err
	}
	tx := &Tx{db: v.db, conn: v.again, now: e.At}
	if err := errors.Join(ev.apply(tx, e), tx.failed); err != nil {
		v.find(e.Seq, "can't be entered in the register again: "+err.Error())
		if _, err := v.again.exec("ROLLBACK TO entry"); err != nil {
			return err
		}
	}
	_, err := v.again.exec("RELEASE entry")
	return err
}

// end notices that the last entries are gone: SQLite remembers the highest number it gave.
func (v *verification) end() error {
	var highest int64
	if _, err := v.kept.get(`SELECT seq FROM sqlite_sequence WHERE name = 'journal'`, nil, &highest); err != nil {
		return err
	}
	if last := v.chain.seq; highest > last {
		v.find(last+1, "and all up to entry "+fmt.Sprint(highest)+" are missing at the end of the journal")
	}
	return nil
}

func (v *verification) photos(ctx context.Context) error {
	err := v.db.eachPhoto(func(file string) error {
		delete(v.spoken, filepath.Base(file))
		err := checkPhoto(file)
		var told Problem
		if errors.As(err, &told) {
			v.find(0, told.Sentence)
			err = nil
		}
		return errors.Join(ctx.Err(), err)
	})
	for _, hash := range slices.Sorted(maps.Keys(v.spoken)) {
		v.find(v.spoken[hash], "speaks of a photo that is missing: "+hash)
	}
	return err
}

// chain follows the hashes from entry to entry.
type chain struct {
	seq int64
	// before is every hash that the entry before may have had when this one was written: the one it has now, and, once
	// that is doubtful, those that its text gives. So a change to a hash isn't blamed on the entry after it.
	before [][sha256.Size]byte
	// blanked are the entries whose words were taken out, so that their hash no longer follows from their text.
	blanked map[int64]blanking
}

const notAsWritten = "isn't what was written: its text and its hash don't agree"

// mostBefore bounds what is tried where many entries in a row were changed.
const mostBefore = 8

// next takes the entries in order of their numbers.
func (c *chain) next(e Entry) []Fault {
	if c.before == nil {
		c.before = [][sha256.Size]byte{{}}
	}
	if e.Seq <= c.seq {
		return []Fault{{e.Seq, "has a number that none can have"}}
	}
	if missing := c.seq + 1; e.Seq > missing {
		c.seq, c.before = e.Seq, [][sha256.Size]byte{e.Hash}
		if e.Seq == missing+1 {
			return []Fault{{missing, fmt.Sprintf("is missing, so entry %d can't be checked", e.Seq)}}
		}
		return []Fault{{missing, fmt.Sprintf("and all up to entry %d are missing, so entry %d can't be checked", e.Seq-1, e.Seq)}}
	}
	if b, is := c.blanked[e.Seq]; is {
		if faults, known := c.nextBlanked(e, b); known {
			return faults
		}
	}
	may := [][sha256.Size]byte{e.Hash}
	for _, previous := range c.before {
		may = append(may, e.hashAfter(previous))
	}
	c.seq, c.before = e.Seq, may[:1]
	if slices.Contains(may[1:], e.Hash) {
		return nil
	}
	c.before = may[:min(len(may), mostBefore)]
	return []Fault{{e.Seq, notAsWritten}}
}

// nextBlanked takes an entry that was blanked; false for one that only a damaged entry says was.
func (c *chain) nextBlanked(e Entry, b blanking) (faults []Fault, known bool) {
	switch {
	case e.Hash == b.hash && e.row() == b.row:
	case b.whole:
		faults = []Fault{{e.Seq, notAsWritten}}
	default:
		for _, previous := range c.before {
			if e.hashAfter(previous) == e.Hash {
				return nil, false
			}
		}
		faults = []Fault{{e.Seq, fmt.Sprintf("can't be checked: entry %d, which blanked it, isn't what was written", b.by)}}
	}
	c.seq, c.before = e.Seq, [][sha256.Size]byte{e.Hash, b.hash}
	return faults, true
}
