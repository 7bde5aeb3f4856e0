package store

import (
	"context"
	"fmt"
)

// project works out every projected table again from the journal, where this program's tables aren't those with which
// the file was last open. So an upgrade says what its tables look like, and never how to fill them. It happens whole
// or not at all.
func (db *DB) project(c *conn) error {
	var built int
	if err := c.sql.QueryRowContext(context.Background(), `PRAGMA user_version`).Scan(&built); err != nil {
		return inPlainWords(c.name, err)
	}
	if built == len(db.schema) {
		return nil
	}
	return c.transact("BEGIN IMMEDIATE", func() error {
		for _, table := range Projected() {
			if _, err := c.exec(`DELETE FROM ` + table); err != nil {
				return err
			}
		}
		if err := db.applyAll(c); err != nil {
			return err
		}
		return c.pragma(fmt.Sprintf("user_version = %d", len(db.schema)))
	})
}

// applyAll applies every entry to the tables, as Append did when it was written.
func (db *DB) applyAll(c *conn) error {
	all := &Tx{db: db, conn: c}
	for after := int64(beforeAll); ; {
		entries, err := all.EntriesAfter(after, atOnce)
		if err != nil || len(entries) == 0 {
			return err
		}
		for _, e := range entries {
			ev, err := db.decode(e.Kind, e.Body)
			if err == nil {
				err = ev.apply(&Tx{db: db, conn: c, now: e.At}, e)
			}
			if err != nil {
				return cantProject(c.name, e.Seq, err)
			}
		}
		after = entries[len(entries)-1].Seq
	}
}
