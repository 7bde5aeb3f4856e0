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
	// Good is the entry of its last good check, or of its listing: what was measured before that stands.
	Good int64 `json:"good,omitempty"`
	// Out says how far out it was found; empty: it wasn't, or it has been checked again since.
	Out string `json:"out,omitempty"`
}

// InDate tells whether the instrument's own check still holds on a day.
func (i Instrument) InDate(day due.Date) bool {
	return i.Out == "" && !i.CheckBy.IsZero() && !day.After(i.CheckBy)
}

// InstrumentListed lists an instrument, or lists it anew with another doubt or check date.
type InstrumentListed struct{ Instrument }

func (InstrumentListed) Kind() string      { return "instrument" }
func (i InstrumentListed) Subject() string { return "instrument:" + i.Mark }

func (i InstrumentListed) apply(tx *Tx, e Entry) error {
	was, _, err := tx.Instrument(e.Room, i.Mark)
	if err != nil {
		return err
	}
	i.Good, i.Out = was.Good, was.Out // being listed anew is no check
	return tx.putInstrument(e.Room, i.Instrument)
}

func (tx *Tx) putInstrument(room string, i Instrument) error {
	body, err := json.Marshal(i)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO instrument(room, mark, body) VALUES(?, ?, ?)
		ON CONFLICT(room, mark) DO UPDATE SET body = excluded.body`, room, i.Mark, string(body))
}

// InstrumentChecked says that an instrument read what it should, and until when that holds.
type InstrumentChecked struct {
	Mark    string       `json:"mark"`
	Against flows.Number `json:"against"` // mm, what it was checked against
	Reads   flows.Number `json:"reads"`   // mm
	With    string       `json:"with"`    // the gauge block or ring, in words
	CheckBy due.Date     `json:"check_by"`
}

func (InstrumentChecked) Kind() string      { return "instrument checked" }
func (c InstrumentChecked) Subject() string { return "instrument:" + c.Mark }

func (c InstrumentChecked) apply(tx *Tx, e Entry) error {
	in, found, err := tx.Instrument(e.Room, c.Mark)
	if err != nil || !found {
		return err
	}
	in.CheckBy, in.Good, in.Out = c.CheckBy, e.Seq, ""
	return tx.putInstrument(e.Room, in)
}

// InstrumentOut says that an instrument was found out. What was measured with it since its last good check is to be
// measured again.
type InstrumentOut struct {
	Mark string `json:"mark"`
	By   string `json:"by"` // how far, in words with a unit
}

func (InstrumentOut) Kind() string      { return "instrument out" }
func (o InstrumentOut) Subject() string { return "instrument:" + o.Mark }

func (o InstrumentOut) apply(tx *Tx, e Entry) error {
	in, found, err := tx.Instrument(e.Room, o.Mark)
	if err != nil || !found {
		return err
	}
	leaned, err := tx.LeanedOn(e.Room, in.Mark, in.Good)
	if err != nil {
		return err
	}
	in.Out = o.By
	if err := tx.putInstrument(e.Room, in); err != nil {
		return err
	}
	for _, i := range leaned {
		err := tx.put(`INSERT INTO misread(room, mark, n, instrument) VALUES(?, ?, ?, ?)
			ON CONFLICT(room, mark) DO UPDATE SET n = excluded.n, instrument = excluded.instrument`, e.Room, i.Mark, e.Seq, in.Mark)
		if err != nil {
			return err
		}
		if err := tx.reckon(e.Room, i.Mark); err != nil {
			return err
		}
	}
	return nil
}

// LeanedOn lists, by item, the latest inspection that took readings with an instrument after an entry of the record: signed ones,
// and ones that aren't closed yet.
func (tx *Tx) LeanedOn(room, instrument string, since int64) ([]Inspection, error) {
	return tx.inspections(`WHERE room = ? AND instrument = ? COLLATE NOCASE AND measured = 1 AND seq > ? AND state IN ('open', 'paused', 'signed')
		AND seq = (SELECT max(seq) FROM inspection AS later WHERE later.room = inspection.room AND later.mark = inspection.mark AND later.state IN ('open', 'paused', 'signed'))
		ORDER BY mark`, room, instrument, since)
}

// Misread says that an item was last measured with an instrument that was found out: which, and the entry that says so;
// false where it wasn't, or where it has been inspected since.
func (tx *Tx) Misread(room, mark string, last Inspection) (instrument string, n int64, found bool, err error) {
	found, err = tx.get(`SELECT instrument, n FROM misread WHERE room = ? AND mark = ?`, []any{room, mark}, &instrument, &n)
	return instrument, n, found && n > last.Seq, err
}

// Instrument finds an instrument by its mark, letters' case aside.
func (tx *Tx) Instrument(room, mark string) (Instrument, bool, error) {
	return one[Instrument](tx, `SELECT body FROM instrument WHERE room = ? AND mark = ?`, room, mark)
}

// Instruments lists a room's instruments by mark.
func (tx *Tx) Instruments(room string) ([]Instrument, error) {
	return all[Instrument](tx, `SELECT body FROM instrument WHERE room = ? ORDER BY mark`, room)
}
