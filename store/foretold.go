package store

import (
	"becket/flows/due"
	"becket/flows/wear"
)

// Foretold says by which day an item's readings would have it measured again, since one of its places may be at its limit then. It
// counts until the next of its kind, and brings the item's due day nearer where it is sooner; nothing of it moves a day back.
type Foretold struct {
	Mark       string   `json:"mark"`
	Inspection string   `json:"inspection"`      // after which it was worked out
	Day        due.Date `json:"day,omitzero"`    // zero: nothing is foretold any more
	Place      string   `json:"place,omitempty"` // the reading's id in its script
	// Course is what it follows from, so that it can be worked out again; nil: nothing is foretold.
	Course *wear.Course `json:"course,omitempty"`
}

func (Foretold) Kind() string      { return "foretold" }
func (f Foretold) Subject() string { return ItemSubject(f.Mark) }

func (f Foretold) apply(tx *Tx, e Entry) error {
	err := tx.put(`INSERT INTO foretold(room, mark, inspection, day, place) VALUES(?, ?, ?, ?, ?)
		ON CONFLICT(room, mark) DO UPDATE SET inspection = excluded.inspection, day = excluded.day, place = excluded.place`,
		e.Room, f.Mark, f.Inspection, f.Day.String(), f.Place)
	if err != nil {
		return err
	}
	return tx.reckon(e.Room, f.Mark)
}

// Foretold is what is foretold of an item now, without its course; the zero value where nothing is.
func (tx *Tx) Foretold(room, mark string) (Foretold, error) {
	f := Foretold{Mark: mark}
	var day string
	found, err := tx.get(`SELECT inspection, day, place FROM foretold WHERE room = ? AND mark = ?`, []any{room, mark}, &f.Inspection, &day, &f.Place)
	if err != nil || !found || day == "" {
		return f, err
	}
	f.Day, err = due.Parse(day)
	return f, err
}

// Measured lists the marks of a room's items that have at least so many signed inspections in which something was measured.
func (tx *Tx) Measured(room string, least int) ([]string, error) {
	return tx.marks(`SELECT mark FROM inspection WHERE room = ? AND state IN ('signed', 'supervised') AND measured = 1 GROUP BY mark COLLATE NOCASE HAVING count(*) >= ? ORDER BY mark`, room, least)
}
