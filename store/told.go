package store

import "becket/flows/due"

// ToldUpTo is the day up to which a room has been told what fell due; false before the first time.
func (tx *Tx) ToldUpTo(room string) (day due.Date, found bool, err error) {
	var text string
	if found, err = tx.get(`SELECT day FROM told WHERE room = ?`, []any{room}, &text); err != nil || !found {
		return due.Date{}, false, err
	}
	day, err = due.Parse(text)
	return day, err == nil, err
}

// Tell remembers that a room has been told what fell due up to a day. It never goes back.
func (tx *Tx) Tell(room string, day due.Date) error {
	return tx.put(`INSERT INTO told (room, day) VALUES (?, ?)
		ON CONFLICT (room) DO UPDATE SET day = max(day, excluded.day)`, room, day.String())
}
