package store

import (
	"encoding/json"

	"becket/flows"
	"becket/flows/due"
)

// Instrument is something that readings are taken with.
type Instrument struct {
	Mark  string       `json:"mark"`
	Kind  string       `json:"kind"`
	Doubt flows.Number `json:"doubt"` // mm
	// Errors are the components that Doubt was worked out from, where they were given.
	Errors  *flows.Errors `json:"errors,omitempty"`
	CheckBy due.Date      `json:"check_by,omitzero"` // the last day on which its check holds; zero: never checked
}

// InDate tells whether the instrument's own check still holds on a day.
func (i Instrument) InDate(day due.Date) bool { return !i.CheckBy.IsZero() && !day.After(i.CheckBy) }

// InstrumentListed lists an instrument, or lists it anew with another doubt or check date.
type InstrumentListed struct{ Instrument }

func (InstrumentListed) Kind() string      { return "instrument" }
func (i InstrumentListed) Subject() string { return "instrument:" + i.Mark }

func (i InstrumentListed) apply(tx *Tx, e Entry) error {
	body, err := json.Marshal(i.Instrument)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO instrument(room, mark, body) VALUES(?, ?, ?)
		ON CONFLICT(room, mark) DO UPDATE SET body = excluded.body`, e.Room, i.Mark, string(body))
}

// Instruments lists a room's instruments by mark.
func (tx *Tx) Instruments(room string) ([]Instrument, error) {
	return all[Instrument](tx, `SELECT body FROM instrument WHERE room = ? ORDER BY mark`, room)
}
