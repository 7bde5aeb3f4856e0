package store

import (
	"database/sql"
	"strings"
)

// WornBy says what wore an item, and on which side, as whoever had it in the hand sees it. Said again, it takes the place of what was
// said before, which stays in the record. No rule judges by it.
type WornBy struct {
	Mark  string `json:"mark"`
	Cause string `json:"cause,omitempty"`
	Side  string `json:"side,omitempty"`
}

func (WornBy) Kind() string      { return "worn by" }
func (w WornBy) Subject() string { return "item:" + w.Mark }

func (w WornBy) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO worn(room, mark, cause, side) VALUES(?, ?, ?, ?)
		ON CONFLICT(room, mark) DO UPDATE SET cause = excluded.cause, side = excluded.side`, e.Room, w.Mark, w.Cause, w.Side)
}

// Worn is what was last said of each item of a room that wore, by its mark in capitals.
func (tx *Tx) Worn(room string) (map[string]WornBy, error) {
	said, err := list(tx, func(row *sql.Rows) (w WornBy, err error) {
		err = row.Scan(&w.Mark, &w.Cause, &w.Side)
		return w, err
	}, `SELECT mark, cause, side FROM worn WHERE room = ? ORDER BY mark`, room)
	worn := map[string]WornBy{}
	for _, w := range said {
		worn[strings.ToUpper(w.Mark)] = w
	}
	return worn, err
}

// Exposed lists the days' conditions that were told of kit, oldest first.
func (tx *Tx) Exposed(room string) ([]ConditionsLogged, error) {
	entries, err := tx.EntriesIn(room, ConditionsLogged{}.Subject())
	if err != nil {
		return nil, err
	}
	var days []ConditionsLogged
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return nil, err
		}
		if c, is := ev.(*ConditionsLogged); is {
			days = append(days, *c)
		}
	}
	return days, nil
}
