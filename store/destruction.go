package store

import (
	"database/sql"
	"time"

	"becket/flows/due"
)

// Destroyed says that a retired item was made useless before a witness.
type Destroyed struct {
	Mark    string   `json:"mark"`
	Day     due.Date `json:"day"`
	Witness string   `json:"witness"`
	NoPhoto string   `json:"no_photo,omitempty"` // why there is none
}

func (Destroyed) Kind() string      { return "destroyed" }
func (d Destroyed) Subject() string { return "item:" + d.Mark }

func (d Destroyed) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO destruction(room, mark, n, day, witness) VALUES(?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
		e.Room, d.Mark, e.Seq, d.Day.String(), d.Witness)
}

// Replaced says what took a retired item's place, or why nothing has to.
type Replaced struct {
	Mark string `json:"mark"`
	By   string `json:"by,omitempty"` // a mark of the register
	Why  string `json:"why,omitempty"`
}

func (Replaced) Kind() string      { return "replaced" }
func (r Replaced) Subject() string { return "item:" + r.Mark }

func (r Replaced) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO replacement(room, mark, n, by) VALUES(?, ?, ?, ?) ON CONFLICT(room, mark) DO UPDATE SET n = excluded.n, by = excluded.by`,
		e.Room, r.Mark, e.Seq, r.By)
}

// Retirement is a retired item for which something is still to be done.
type Retirement struct {
	Mark string
	Why  string
	At   time.Time
}

// retirements are those that stand, by the first hold of each item. What was cut up lives on in its pieces.
const retirements = `SELECT mark, why, min(at) FROM hold WHERE room = ? AND verdict = 'retire' AND released IS NULL AND source <> 'cut' `

// Undestroyed lists the retired items without proof that they were destroyed, oldest first.
func (tx *Tx) Undestroyed(room string) ([]Retirement, error) {
	return list(tx, scanRetirement, retirements+`AND NOT EXISTS (SELECT 1 FROM destruction d WHERE d.room = hold.room AND d.mark = hold.mark) GROUP BY mark ORDER BY min(at), mark`, room)
}

// ToReplace lists the retired items for which nobody has said what takes their place, oldest first.
func (tx *Tx) ToReplace(room string) ([]Retirement, error) {
	return list(tx, scanRetirement, retirements+`AND NOT EXISTS (SELECT 1 FROM replacement r WHERE r.room = hold.room AND r.mark = hold.mark) GROUP BY mark ORDER BY min(at), mark`, room)
}

// Destruction tells when an item was destroyed, and before whom.
func (tx *Tx) Destruction(room, mark string) (d Destroyed, found bool, err error) {
	var day string
	found, err = tx.get(`SELECT mark, day, witness FROM destruction WHERE room = ? AND mark = ?`, []any{room, mark}, &d.Mark, &day, &d.Witness)
	if err != nil || !found {
		return d, found, err
	}
	d.Day, err = due.Parse(day)
	return d, true, err
}

func scanRetirement(row *sql.Rows) (Retirement, error) {
	var r Retirement
	var at int64
	err := row.Scan(&r.Mark, &r.Why, &at)
	r.At = time.UnixMicro(at).UTC()
	return r, err
}
