package store

import (
	"context"
	"encoding/hex"
	"errors"
	"net/url"
	"syscall"
	"time"
)

// Restored says that the record goes on from a copy of itself: what happened after Since isn't in it. Entries and Hash
// (hex) are those of the copy's end.
type Restored struct {
	Entries int64     `json:"entries"`
	Hash    string    `json:"hash"`
	Since   time.Time `json:"since"`
}

func (Restored) Kind() string    { return "restored" }
func (Restored) Subject() string { return "restored" }

// apply leaves every room's question open, from the earliest moment that it was asked for.
func (r Restored) apply(tx *Tx, _ Entry) error {
	return tx.put(`INSERT INTO unaccounted(room, since) SELECT room, ? FROM team WHERE true
		ON CONFLICT(room) DO UPDATE SET since = min(since, excluded.since)`, r.Since.UnixMicro())
}

// Accounted says that a room has told all that happened since the copy that its record goes on from.
type Accounted struct {
	Since time.Time `json:"since"`
}

func (Accounted) Kind() string    { return "accounted" }
func (Accounted) Subject() string { return "restored" }

func (a Accounted) apply(tx *Tx, e Entry) error {
	return tx.put(`DELETE FROM unaccounted WHERE room = ?`, e.Room)
}

// Unaccounted tells whether a room's record goes on from a copy, and its keeper hasn't said yet what happened since.
func (tx *Tx) Unaccounted(room string) (since time.Time, found bool, err error) {
	var at int64
	found, err = tx.get(`SELECT since FROM unaccounted WHERE room = ?`, []any{room}, &at)
	return time.UnixMicro(at).UTC(), found, err
}

// LastRestored tells when the record last went on from a copy of itself; false where it never did.
func (tx *Tx) LastRestored() (at time.Time, found bool, err error) {
	var micro int64
	found, err = tx.get(`SELECT at FROM journal WHERE subject = ? AND kind = ? ORDER BY seq DESC LIMIT 1`, []any{Restored{}.Subject(), Restored{}.Kind()}, &micro)
	return time.UnixMicro(micro).UTC(), found, err
}

// Restore makes the record in file out of a copy, as Backup makes a copy out of a record; settle has to check it and to
// enter that it goes on, and when it returns an error nothing is left. Neither file may be in use. now is the only clock.
func Restore(ctx context.Context, copied, file string, now func() time.Time, settle func(*DB) error) error {
	from, err := OpenToRead(ctx, copied, now)
	if err != nil {
		return err
	}
	defer from.Close()
	// A record that somebody speaks from goes on by itself; two that go on from one place would both be taken for it.
	lock, err := lockFile(from.file, copied)
	switch {
	case err == nil:
		defer func() { _ = unlock(lock) }()
	case errors.Is(err, syscall.EWOULDBLOCK):
		return err
	default: // a copy lies where nothing can be written, so nobody speaks from it
	}
	return from.copyTo(ctx, file, func(half *DB) error {
		db, err := open(ctx, half.file, now, half.decode, half.schema)
		if err != nil {
			return err
		}
		return errors.Join(settle(db), db.Close())
	})
}

// GoOn enters that the record goes on from the copy that this file is, in which it ends. Replies that were on their way
// then have been delivered since, or are out of date, so they are dropped and counted; and no transport goes on from where
// it was.
func (tx *Tx) GoOn(by, cause string) (r Restored, dropped int64, err error) {
	last, err := tx.last()
	if err != nil {
		return r, 0, err
	}
	r = Restored{Entries: last.seq, Hash: hex.EncodeToString(last.hash[:])}
	if r.Since, err = tx.end(); err != nil {
		return r, 0, err
	}
	dropped, err = tx.exec(`UPDATE outbox SET sent = ? WHERE sent IS NULL`, tx.now.UnixMicro())
	if err != nil {
		return r, 0, err
	}
	err = errors.Join(tx.put(`DELETE FROM position`), tx.put(`DELETE FROM copied`))
	if err != nil {
		return r, 0, err
	}
	_, err = tx.Append("", by, cause, r)
	return r, dropped, err
}

// end is up to when this file knows what happened: when it was made as a copy; where that isn't known, when its last
// entry was written.
func (tx *Tx) end() (time.Time, error) {
	made, is, err := tx.CopyMade()
	if err != nil || is {
		return made, err
	}
	last, err := tx.last()
	if err != nil || last.seq == 0 {
		return tx.now.UTC(), err
	}
	e, _, err := tx.Entry(last.seq)
	return e.At, err
}

// CopyMade tells whether this file was made as a copy, and when.
func (tx *Tx) CopyMade() (made time.Time, is bool, err error) {
	var at int64
	is, err = tx.get(`SELECT made FROM copied`, nil, &at)
	return time.UnixMicro(at).UTC(), is, err
}

// mark writes into a copy that it is one. One of an older edition's has no place for it.
func (half *DB) mark(ctx context.Context, made time.Time) error {
	c, err := dial(ctx, half.file, half.name, url.Values{"_pragma": {"journal_mode(DELETE)"}}, nil)
	if err != nil {
		return err
	}
	return errors.Join(c.mark(made), c.close())
}

func (c *conn) mark(made time.Time) error {
	places, err := c.texts(`SELECT name FROM sqlite_schema WHERE name = 'copied'`)
	if err != nil || len(places) == 0 {
		return err
	}
	return c.transact("BEGIN IMMEDIATE", func() error {
		if _, err := c.exec(`DELETE FROM copied`); err != nil {
			return err
		}
		_, err := c.exec(`INSERT INTO copied(made) VALUES (?)`, made.UnixMicro())
		return err
	})
}
