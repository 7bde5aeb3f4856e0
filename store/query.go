package store

import (
	"database/sql"
	"encoding/json"
)

// put runs one statement that writes, however many rows it changes.
func (tx *Tx) put(query string, args ...any) error {
	_, err := tx.exec(query, args...)
	return err
}

// one reads a row's body; false where there is no row.
func one[T any](tx *Tx, query string, args ...any) (T, bool, error) {
	var v T
	var body string
	found, err := tx.get(query, args, &body)
	if err != nil || !found {
		return v, false, err
	}
	return v, true, json.Unmarshal([]byte(body), &v)
}

// all reads the bodies of all rows.
func all[T any](tx *Tx, query string, args ...any) ([]T, error) {
	return list(tx, func(row *sql.Rows) (T, error) {
		var v T
		var body string
		if err := row.Scan(&body); err != nil {
			return v, err
		}
		return v, json.Unmarshal([]byte(body), &v)
	}, query, args...)
}
