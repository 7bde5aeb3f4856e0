package store

import (
	"bytes"
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"strings"
)

// compare names each row of a table that differs between what is kept and what the journal gives again. It reads both
// in the order of the table's key, side by side, so that it needs no memory for them.
func (v *verification) compare(table string) error {
	query, keys, err := v.again.inOrder(table)
	if err != nil {
		return err
	}
	kept, err := v.kept.conn.walk(query)
	if err != nil {
		return err
	}
	defer kept.rows.Close()
	again, err := v.again.walk(query)
	if err != nil {
		return err
	}
	defer again.rows.Close()
	differs := func(row []any, how string) {
		v.find(0, fmt.Sprintf("in the register, table %s, %s: %s", table, inWords(row[:keys]), how))
	}
	for kept.row != nil || again.row != nil {
		side := compareRows(kept.row, again.row, keys)
		switch {
		case side < 0:
			differs(kept.row, "it is there, but the journal doesn't give it")
		case side > 0:
			differs(again.row, "the journal gives it, but it isn't there")
		case compareRows(kept.row, again.row, len(kept.row)) != 0:
			differs(kept.row, "it isn't what the journal gives")
		}
		if side <= 0 {
			if err := kept.next(); err != nil {
				return err
			}
		}
		if side >= 0 {
			if err := again.next(); err != nil {
				return err
			}
		}
	}
	return nil
}

// inOrder is a query for all rows of a table in the order of its key, whose columns come first. Without a key
// every column is part of it.
func (c *conn) inOrder(table string) (query string, keys int, err error) {
	columns, err := c.texts(`SELECT name FROM pragma_table_info(?) ORDER BY pk = 0, pk, cid`, table)
	if err != nil {
		return "", 0, err
	}
	key, err := c.texts(`SELECT name FROM pragma_table_info(?) WHERE pk > 0 ORDER BY pk`, table)
	if err != nil {
		return "", 0, err
	}
	if len(columns) == 0 {
		return "", 0, fmt.Errorf("there is no table %s to compare", table)
	}
	if len(key) == 0 {
		key = columns
	}
	quoted := func(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }
	var selected, order []string
	for _, name := range columns {
		selected = append(selected, quoted(name))
	}
	for _, name := range key {
		order = append(order, quoted(name)+" COLLATE BINARY")
	}
	query = "SELECT " + strings.Join(selected, ", ") + " FROM " + quoted(table) + " ORDER BY " + strings.Join(order, ", ")
	return query, len(key), nil
}

// texts reads a query's one column of text.
func (c *conn) texts(query string, args ...any) ([]string, error) {
	rows, err := c.sql.QueryContext(context.Background(), query, args...)
	if err != nil {
		return nil, inPlainWords(c.name, err)
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, inPlainWords(c.name, err)
		}
		all = append(all, text)
	}
	return all, inPlainWords(c.name, rows.Err())
}

// integrity is what SQLite finds wrong in the file; nothing when it is whole.
func (c *conn) integrity() ([]string, error) {
	said, err := c.texts("PRAGMA integrity_check(20)")
	if err == nil && len(said) == 1 && said[0] == "ok" {
		return nil, nil
	}
	return said, err
}

// walk is a way through a query's rows. row is nil at the end.
type walk struct {
	name string
	rows *sql.Rows
	row  []any
}

func (c *conn) walk(query string) (*walk, error) {
	rows, err := c.sql.QueryContext(context.Background(), query)
	if err != nil {
		return nil, inPlainWords(c.name, err)
	}
	columns, err := rows.Columns()
	if err != nil {
		return nil, inPlainWords(c.name, err)
	}
	w := &walk{name: c.name, rows: rows, row: make([]any, len(columns))}
	return w, w.next()
}

func (w *walk) next() error {
	if !w.rows.Next() {
		w.row = nil
		return inPlainWords(w.name, w.rows.Err())
	}
	places := make([]any, len(w.row))
	for i := range places {
		places[i] = &w.row[i]
	}
	return inPlainWords(w.name, w.rows.Scan(places...))
}

// compareRows compares the first n columns as SQLite orders them. No row comes after every row.
func compareRows(a, b []any, n int) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return 1
	case b == nil:
		return -1
	}
	for i := range n {
		if side := compareValues(a[i], b[i]); side != 0 {
			return side
		}
	}
	return 0
}

func compareValues(a, b any) int {
	switch a := a.(type) {
	case int64:
		if b, same := b.(int64); same {
			return cmp.Compare(a, b)
		}
	case float64:
		if b, same := b.(float64); same {
			return cmp.Compare(a, b)
		}
	case string:
		if b, same := b.(string); same {
			return strings.Compare(a, b)
		}
	case []byte:
		if b, same := b.([]byte); same {
			return bytes.Compare(a, b)
		}
	}
	return cmp.Compare(kindOf(a), kindOf(b))
}

// kindOf orders values of different kinds: null before numbers before texts before bytes.
func kindOf(v any) int {
	switch v.(type) {
	case nil:
		return 0
	case int64, float64:
		return 1
	case string:
		return 2
	}
	return 3
}

func inWords(key []any) string {
	var words []string
	for _, v := range key {
		if b, ok := v.([]byte); ok {
			v = fmt.Sprintf("%x", b)
		}
		words = append(words, fmt.Sprint(v))
	}
	return strings.Join(words, ", ")
}
