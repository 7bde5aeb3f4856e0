package store

import (
	"database/sql"

	"becket/flows/due"
)

// Called is an item that is not for use until it is inspected, whatever its date: it was dropped, it came out of grit,
// or its neighbour was retired.
type Called struct {
	N     int64 // the number of its entry; an inspection begun after it ends it
	Mark  string
	Why   string
	Day   due.Date // when it happened
	Until due.Date // zero, or the last day of work that calls it in every day
}

// CalledIn makes an inspection due at once. It never makes one due later.
type CalledIn struct {
	Mark  string   `json:"mark"`
	Why   string   `json:"why"`
	Day   due.Date `json:"day"`
	Until due.Date `json:"until,omitzero"`
	About int64    `json:"about,omitempty"` // the entry of the incident, the conditions or the retirement
}

func (CalledIn) Kind() string      { return "called in" }
func (c CalledIn) Subject() string { return "item:" + c.Mark }

func (c CalledIn) apply(tx *Tx, e Entry) error {
	until := ""
	if !c.Until.IsZero() {
		until = c.Until.String()
	}
	if err := tx.put(`INSERT INTO called(n, room, mark, why, day, until) VALUES(?, ?, ?, ?, ?, ?)`, e.Seq, e.Room, c.Mark, c.Why, c.Day.String(), until); err != nil {
		return err
	}
	return tx.reckon(e.Room, c.Mark)
}

// Called lists the calls for an item, oldest first, answered ones included.
func (tx *Tx) Called(room, mark string) ([]Called, error) {
	return list(tx, scanCalled, `SELECT n, mark, why, day, until FROM called WHERE room = ? AND mark = ? ORDER BY n`, room, mark)
}

func scanCalled(row *sql.Rows) (Called, error) {
	var c Called
	var day, until string
	if err := row.Scan(&c.N, &c.Mark, &c.Why, &day, &until); err != nil {
		return c, err
	}
	var err error
	if c.Day, err = due.Parse(day); err != nil || until == "" {
		return c, err
	}
	c.Until, err = due.Parse(until)
	return c, err
}

// ConditionsLogged is what a day was like, and for which kit. What follows for each item is an entry of its own.
type ConditionsLogged struct {
	What  string   `json:"what"`
	Day   due.Date `json:"day"`
	Until due.Date `json:"until,omitzero"`
	Marks []string `json:"marks"`
	Text  string   `json:"text"` // as it was said
}

func (ConditionsLogged) Kind() string             { return "conditions" }
func (ConditionsLogged) Subject() string          { return "conditions" }
func (c ConditionsLogged) apply(*Tx, Entry) error { return nil }
