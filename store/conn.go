package store

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"strings"
)

// conn is one connection to SQLite with the statements prepared on it so far. One goroutine uses it at a time.
//
// Statements run without the caller's context: a step takes milliseconds, and one that was cut short would
// leave it open whether it happened.
type conn struct {
	name     string // what people call the file
	db       *sql.DB
	sql      *sql.Conn
	prepared map[string]*sql.Stmt
}

// dial opens file, given absolutely; an empty one is a database of its own that lives as long as the connection.
// Before the connection is held for good, prepare may use db, which never has more than the one connection.
func dial(ctx context.Context, file, name string, options url.Values, prepare func(db *sql.DB) error) (*conn, error) {
	escaped := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(file)
	db, err := sql.Open("sqlite", "file:"+escaped+"?"+options.Encode())
	if err != nil {
		return nil, inPlainWords(name, err)
	}
	db.SetMaxOpenConns(1)
	if prepare != nil {
		err = prepare(db)
	}
	var held *sql.Conn
	if err == nil {
		held, err = db.Conn(ctx)
	}
	if err != nil {
		_ = db.Close()
		return nil, inPlainWords(name, err)
	}
	return &conn{name: name, db: db, sql: held, prepared: map[string]*sql.Stmt{}}, nil
}

func (c *conn) close() error {
	var errs []error
	for _, stmt := range c.prepared {
		errs = append(errs, stmt.Close())
	}
	errs = append(errs, c.sql.Close(), c.db.Close())
	return inPlainWords(c.name, errors.Join(errs...))
}

func (c *conn) stmt(query string) (*sql.Stmt, error) {
	if stmt, ok := c.prepared[query]; ok {
		return stmt, nil
	}
	stmt, err := c.sql.PrepareContext(context.Background(), query)
	if err != nil {
		return nil, inPlainWords(c.name, err)
	}
	c.prepared[query] = stmt
	return stmt, nil
}

func (c *conn) exec(query string, args ...any) (changed int64, err error) {
	stmt, err := c.stmt(query)
	if err != nil {
		return 0, err
	}
	result, err := stmt.ExecContext(context.Background(), args...)
	if err != nil {
		return 0, inPlainWords(c.name, err)
	}
	return result.RowsAffected()
}

// pragma sets a pragma. It is never kept prepared: most pragmas act when they are parsed.
func (c *conn) pragma(setting string) error {
	_, err := c.sql.ExecContext(context.Background(), "PRAGMA "+setting)
	return inPlainWords(c.name, err)
}

// transact runs fn between begin and commit. If fn or the commit fails, or fn panics, nothing has happened.
func (c *conn) transact(begin string, fn func() error) error {
	if _, err := c.exec(begin); err != nil {
		return err
	}
	committed := false
	defer func() {
		if !committed {
			// An error here only says that SQLite has rolled back by itself.
			_, _ = c.exec("ROLLBACK")
		}
	}()
	if err := fn(); err != nil {
		return err
	}
	if _, err := c.exec("COMMIT"); err != nil {
		return err
	}
	committed = true
	return nil
}

// pool lends out a fixed number of connections, each to one borrower at a time.
type pool struct {
	name   string // what people call the file
	idle   chan *conn
	size   int
	closed bool
}

func newPool(name string, most int) *pool { return &pool{name: name, idle: make(chan *conn, most)} }

func (p *pool) add(c *conn) {
	p.size++
	p.idle <- c
}

// borrow waits for a connection until ctx ends, lends it to fn and takes it back.
func (p *pool) borrow(ctx context.Context, fn func(*conn) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	select {
	case c, open := <-p.idle:
		if !open {
			return closed(p.name)
		}
		defer func() { p.idle <- c }()
		return fn(c)
	case <-ctx.Done():
		return ctx.Err()
	}
}

// close waits until every connection has come back, and closes it.
func (p *pool) close() error {
	var errs []error
	for range p.size {
		errs = append(errs, (<-p.idle).close())
	}
	p.size = 0
	if !p.closed {
		close(p.idle)
	}
	p.closed = true
	return errors.Join(errs...)
}
