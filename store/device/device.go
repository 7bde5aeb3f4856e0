// Package device holds what belongs to one login of one device: its keys, and what is on its way out and in under them.
// It is no part of the record. It is never backed up or restored: keys from an old copy would be used twice. When it is
// lost, a new device logs in.
package device

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"net/url"
	"os"
	"strings"

	"go.mau.fi/util/dbutil"
	_ "modernc.org/sqlite" // the driver
)

//go:embed upgrades/*.sql
var upgradeFiles embed.FS

// DB is the device's own file. Any number of goroutines may use it.
type DB struct {
	whole *dbutil.Database // with the tables of the library that encrypts
	own   *dbutil.Database
}

// Beside is where the keys of the device lie that speaks from a record.
func Beside(record string) string { return record + "-matrix" }

// Open opens the file, makes it if it isn't there, and brings an older one up to date.
func Open(ctx context.Context, file string) (*DB, error) {
	// Keys are for nobody else to read.
	f, err := os.OpenFile(file, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("the keys of this device can't be kept: %w", err)
	}
	if err := f.Close(); err != nil {
		return nil, fmt.Errorf("the keys of this device can't be kept in %s: %w", file, err)
	}
	escaped := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(file)
	options := url.Values{
		"_txlock": {"immediate"},
		"_pragma": {"busy_timeout(5000)", "foreign_keys(1)", "journal_mode(WAL)", "synchronous(FULL)"},
	}
	raw, err := sql.Open("sqlite", "file:"+escaped+"?"+options.Encode())
	if err != nil {
		return nil, fmt.Errorf("opening the keys of this device in %s: %w", file, err)
	}
	whole, err := dbutil.NewWithDB(raw, "sqlite")
	if err != nil {
		return nil, errors.Join(fmt.Errorf("opening the keys of this device in %s: %w", file, err), raw.Close())
	}
	own := whole.Child("device_version", dbutil.BuildUpgradeTable().WithFSPath(upgradeFiles, "upgrades").Finish(), nil)
	if err := own.Upgrade(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("%s doesn't hold the keys of a device that this edition knows: %w", file, err), raw.Close())
	}
	return &DB{whole: whole, own: own}, nil
}

// Keys is where a library that encrypts keeps its own tables.
func (db *DB) Keys() *dbutil.Database { return db.whole }

// Close lets go of the file.
func (db *DB) Close() error { return db.whole.RawDB.Close() }

// put writes; what goes wrong is said once, in plain words.
func (db *DB) put(ctx context.Context, query string, args ...any) error {
	if _, err := db.own.Exec(ctx, query, args...); err != nil {
		return fmt.Errorf("writing to the device's own file: %w", err)
	}
	return nil
}

// get reads one row and tells whether there was one.
func (db *DB) get(ctx context.Context, query string, args []any, into ...any) (bool, error) {
	err := db.own.QueryRow(ctx, query, args...).Scan(into...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("reading the device's own file: %w", err)
	}
	return true, nil
}

// rows reads all rows of a query.
func rows[T any](ctx context.Context, db *DB, scan func(dbutil.Scannable) (T, error), query string, args ...any) ([]T, error) {
	found, err := db.own.Query(ctx, query, args...)
	all, err := dbutil.NewRowIterWithError(found, scan, err).AsList()
	if err != nil {
		return nil, fmt.Errorf("reading the device's own file: %w", err)
	}
	return all, nil
}
