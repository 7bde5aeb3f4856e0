package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Tx is one transaction: everything done with it is on disk together, or none of it is. It is good only inside the
// function it was handed to. Once a write, or an Append, has failed the whole transaction fails.
type Tx struct {
	db     *DB
	conn   *conn
	now    time.Time
	reads  bool  // it may only read
	head   *head // the end of the journal, once known
	failed error
}

// Now is when the transaction began, to the microsecond, in the zone of the clock handed to Open. It never changes
// within the transaction.
func (tx *Tx) Now() time.Time { return tx.now }

func (tx *Tx) fail(err error) error {
	if tx.failed == nil {
		tx.failed = err
	}
	return err
}

// exec runs one statement that writes and tells how many rows it changed.
func (tx *Tx) exec(query string, args ...any) (changed int64, err error) {
	if tx.failed != nil {
		return 0, tx.failed
	}
	if tx.reads {
		return 0, errors.New("a View only reads: write inside Do")
	}
	changed, err = tx.conn.exec(query, args...)
	if err != nil {
		// SQLite may have rolled back by itself; what came next would be written outside any transaction.
		return 0, tx.fail(err)
	}
	return changed, nil
}

// Try runs fn as a part of the transaction that may fail by itself: when it returns an error nothing of it has happened, and the
// rest goes on. lost is why it can't: SQLite has given up the whole transaction.
func (tx *Tx) Try(fn func() error) (failed, lost error) {
	if _, err := tx.exec(`SAVEPOINT part`); err != nil {
		return nil, err
	}
	was := tx.head
	failed = fn()
	if failed == nil {
		failed = tx.failed
	}
	if failed != nil {
		tx.failed, tx.head = nil, was
		if _, err := tx.exec(`ROLLBACK TO part`); err != nil {
			return failed, err
		}
	}
	_, lost = tx.exec(`RELEASE part`)
	return failed, lost
}

// get reads one row into the places given, and tells whether there was one.
func (tx *Tx) get(query string, args []any, into ...any) (found bool, err error) {
	stmt, err := tx.conn.stmt(query)
	if err != nil {
		return false, err
	}
	err = stmt.QueryRowContext(context.Background(), args...).Scan(into...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, inPlainWords(tx.conn.name, err)
}

// list reads all rows of a query. scan must not run the same query again.
func list[T any](tx *Tx, scan func(row *sql.Rows) (T, error), query string, args ...any) ([]T, error) {
	stmt, err := tx.conn.stmt(query)
	if err != nil {
		return nil, err
	}
	rows, err := stmt.QueryContext(context.Background(), args...)
	if err != nil {
		return nil, inPlainWords(tx.conn.name, err)
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		one, err := scan(rows)
		if err != nil {
			return nil, inPlainWords(tx.conn.name, err)
		}
		all = append(all, one)
	}
	return all, inPlainWords(tx.conn.name, rows.Err())
}
