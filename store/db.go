// Package store holds everything that is remembered: the journal, the register worked out from it, messages on their
// way in and out, and photos. All SQL is here. It has no clock and no network of its own.
package store

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"time"

	"go.mau.fi/util/dbutil"
)

// readers is how many may read beside the one who writes.
const readers = 2

// DB is one open database file with its folder of photos. Any number of goroutines may use it.
type DB struct {
	file, name string // absolute; as the person gave it
	now        func() time.Time
	decode     func(kind string, body []byte) (Event, error)
	schema     dbutil.UpgradeTable
	lock       *os.File // nil: opened to read
	closed     bool
	writer     *pool // of one
	readers    *pool
	photos     sync.Mutex // held while a photo is put in its place
}

// Open opens the database file, makes it if it isn't there, and brings an older one up to date. now is the only clock.
// Its errors are Problems. Only one process can have a file open.
func Open(ctx context.Context, file string, now func() time.Time) (*DB, error) {
	return open(ctx, file, now, decode, schema())
}

func open(
	ctx context.Context, name string, now func() time.Time,
	decode func(kind string, body []byte) (Event, error), tables dbutil.UpgradeTable,
) (*DB, error) {
	file, err := locate(name)
	if err != nil {
		return nil, err
	}
	lock, err := lockFile(file, name)
	if err != nil {
		return nil, err
	}
	db := &DB{
		file: file, name: name, now: now, decode: decode, schema: tables, lock: lock,
		writer: newPool(name, 1), readers: newPool(name, readers),
	}
	if err := db.connect(ctx); err != nil {
		_ = db.Close() // what went wrong first is what to tell
		return nil, err
	}
	return db, nil
}

// locate finds the file behind a name, so that two names of one file are locked as one.
func locate(name string) (string, error) {
	file, err := filepath.Abs(name)
	if err != nil {
		return "", inPlainWords(name, err)
	}
	folder := filepath.Dir(file)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return "", missingFolder(name, folder, err)
	}
	if real, err := filepath.EvalSymlinks(file); err == nil {
		file = real
	}
	if info, err := os.Stat(file); err == nil && info.IsDir() {
		return "", notAFile(name)
	}
	return file, nil
}

func (db *DB) connect(ctx context.Context) error {
	// SQLite would open a file that it can't write read-only, and say so only at the first answer.
	f, err := os.OpenFile(db.file, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return inPlainWords(db.name, err)
	}
	if err := f.Close(); err != nil {
		return inPlainWords(db.name, err)
	}
	writer, err := dial(ctx, db.file, db.name, url.Values{
		"_txlock": {"immediate"},
		"_pragma": {"busy_timeout(5000)", "foreign_keys(1)", "synchronous(FULL)", "secure_delete(FAST)"}, // what is deleted is written over
	}, func(raw *sql.DB) error {
		if err := upgrade(ctx, raw, db.schema); err != nil {
			return err
		}
		_, err := raw.ExecContext(ctx, "PRAGMA journal_mode = WAL")
		return err
	})
	if err != nil {
		return err
	}
	db.writer.add(writer)
	if err := db.project(writer); err != nil {
		return err
	}
	for range readers {
		reader, err := dial(ctx, db.file, db.name, url.Values{"mode": {"ro"}, "_pragma": {"busy_timeout(5000)"}}, nil)
		if err != nil {
			return err
		}
		db.readers.add(reader)
	}
	return errors.Join(db.clearHalfPhotos(), db.clearSmall())
}

// Close waits for transactions under way and lets go of the file. Closing again does nothing.
func (db *DB) Close() error {
	if db.closed {
		return nil
	}
	db.closed = true
	err := errors.Join(db.readers.close(), db.writer.close())
	if db.lock != nil {
		err = errors.Join(err, unlock(db.lock))
	}
	return err
}

// Do runs fn in a transaction and commits it: when Do returns nil everything is on disk, and when it returns an error
// nothing has happened. It is the only way to write. Writers come one after the other; ctx ends the wait for one's
// turn, never a transaction that has begun. Don't call Do inside Do.
func (db *DB) Do(ctx context.Context, fn func(*Tx) error) error {
	return db.writer.borrow(ctx, func(c *conn) error { return db.do(c, fn) })
}

// doLazily is Do for what may be lost when the power fails: it is on disk with the next Do at the latest. The end of
// the process alone doesn't lose it.
func (db *DB) doLazily(ctx context.Context, fn func(*Tx) error) error {
	return db.writer.borrow(ctx, func(c *conn) error {
		if err := c.pragma("synchronous = NORMAL"); err != nil {
			return err
		}
		return errors.Join(db.do(c, fn), c.pragma("synchronous = FULL"))
	})
}

func (db *DB) do(c *conn, fn func(*Tx) error) error {
	tx := db.begin(c)
	return c.transact("BEGIN IMMEDIATE", func() error {
		if err := fn(tx); err != nil {
			return err
		}
		return tx.failed
	})
}

func (db *DB) begin(c *conn) *Tx {
	return &Tx{db: db, conn: c, now: db.now().Truncate(time.Microsecond)}
}

// View runs fn on the database as it stands when fn first reads; what is written meanwhile fn doesn't see.
func (db *DB) View(ctx context.Context, fn func(*Tx) error) error {
	return db.readers.borrow(ctx, func(c *conn) error {
		tx := db.begin(c)
		tx.reads = true
		return c.transact("BEGIN", func() error { return fn(tx) })
	})
}
