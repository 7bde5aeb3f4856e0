package store

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"time"

	"go.mau.fi/util/dbutil"
)

// OpenToRead opens a database file that is there, for reading alone: beside another program that writes, and an older
// edition's file as it stands. Do on it is an error. now is the only clock. Its errors are Problems.
func OpenToRead(ctx context.Context, name string, now func() time.Time) (*DB, error) {
	return openToRead(ctx, name, now, decode, schema())
}

func openToRead(
	ctx context.Context, name string, now func() time.Time,
	decode func(kind string, body []byte) (Event, error), tables dbutil.UpgradeTable,
) (*DB, error) {
	file, err := locate(name)
	if err != nil {
		return nil, err
	}
	// SQLite would say that it can't write a file that isn't there.
	if _, err := os.Stat(file); err != nil {
		return nil, notThere(name, err)
	}
	db := &DB{
		file: file, name: name, now: now, decode: decode, schema: tables,
		writer: newPool(name, 1), readers: newPool(name, 1),
	}
	// Who may only read leaves SQLite's own files behind when nobody else has the record open, and they look as if it
	// hadn't been closed in good order. Nothing is written here all the same: Do has no connection, and View refuses.
	reader, err := dial(ctx, file, name, url.Values{"mode": {"rw"}, "_pragma": {"busy_timeout(5000)"}}, func(raw *sql.DB) error {
		return readable(ctx, raw, len(tables))
	})
	if err != nil {
		return nil, err
	}
	db.readers.add(reader)
	return db, db.writer.close()
}

// readable refuses what is no record, holds none yet, or was written by a newer edition than ours.
func readable(ctx context.Context, pool *sql.DB, newest int) error {
	if err := recognise(ctx, pool); err != nil {
		return err
	}
	var compatible int
	err := pool.QueryRowContext(ctx, `SELECT coalesce(compat, version) FROM version`).Scan(&compatible)
	switch {
	case err != nil:
		return fmt.Errorf("%w: %w", dbutil.ErrNotOwned, err) // made, and nothing entered
	case compatible > newest:
		return fmt.Errorf("%w: %d", dbutil.ErrUnsupportedDatabaseVersion, compatible)
	}
	return nil
}

func notThere(name string, cause error) error {
	if os.IsNotExist(cause) {
		return Problem{name + " isn't there. Name another file; nothing was changed.", fs.ErrNotExist}
	}
	return inPlainWords(name, cause)
}
