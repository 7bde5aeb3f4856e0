package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"

	"go.mau.fi/util/dbutil"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

//go:embed upgrades/*.sql
var upgradeFiles embed.FS

// owner marks a database as Becket's, so that another program's file is never filled with our tables.
const owner = "becket"

// schema is every step from an empty database to the tables of this program, in the order of their version numbers.
func schema() dbutil.UpgradeTable {
	return dbutil.BuildUpgradeTable().WithFSPath(upgradeFiles, "upgrades").Finish()
}

// upgrade brings the database behind the pool to the given schema. A newer database, or somebody else's, it
// refuses and leaves alone.
func upgrade(ctx context.Context, pool *sql.DB, to dbutil.UpgradeTable) error {
	if err := recognise(ctx, pool); err != nil {
		return err
	}
	db, err := dbutil.NewWithDB(pool, "sqlite")
	if err != nil {
		return err
	}
	db.Owner, db.UpgradeTable = owner, to
	return db.Upgrade(ctx)
}

// recognise refuses a file that has something in it, but not Becket's mark.
func recognise(ctx context.Context, pool *sql.DB) error {
	var tables, ours int
	err := pool.QueryRowContext(ctx, `SELECT count(*), count(*) FILTER (WHERE name = 'database_owner') FROM sqlite_schema`).
		Scan(&tables, &ours)
	var refused *sqlite.Error
	switch {
	case errors.As(err, &refused) && refused.Code() == sqlite3.SQLITE_ERROR:
		return fmt.Errorf("%w: %w", dbutil.ErrNotOwned, err) // a file format of no known edition of SQLite
	case err != nil:
		return err
	case tables > 0 && ours == 0:
		return fmt.Errorf("%w: another program", dbutil.ErrNotOwned)
	}
	return nil
}
