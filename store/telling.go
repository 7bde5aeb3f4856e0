package store

import (
	"encoding/json"
	"time"
)

// Telling is when a team is told what is open, and when it is left in peace. Times are wall times like "07:30".
type Telling struct {
	Days      []string `json:"days,omitempty"` // in English, like "Monday"; none: there is no digest
	At        string   `json:"at,omitempty"`
	Zone      string   `json:"zone,omitempty"` // IANA name
	QuietFrom string   `json:"quiet_from,omitempty"`
	QuietTo   string   `json:"quiet_to,omitempty"`
}

// DigestSet has the team told everything that is open, on those days of each week.
type DigestSet struct {
	Days []string `json:"days"`
	At   string   `json:"at"`
	Zone string   `json:"zone"`
}

func (DigestSet) Kind() string    { return "digest" }
func (DigestSet) Subject() string { return "telling" }

func (d DigestSet) apply(tx *Tx, e Entry) error {
	return tx.retell(e.Room, func(t *Telling) { t.Days, t.At, t.Zone = d.Days, d.At, d.Zone })
}

// DigestEnded ends the digest.
type DigestEnded struct{}

func (DigestEnded) Kind() string    { return "digest off" }
func (DigestEnded) Subject() string { return "telling" }

func (DigestEnded) apply(tx *Tx, e Entry) error {
	return tx.retell(e.Room, func(t *Telling) { t.Days, t.At, t.Zone = nil, "", "" })
}

// QuietSet holds back what Becket says by itself, holds aside, between two wall times of the team's zone. Both empty:
// never.
type QuietSet struct {
	From string `json:"from"`
	To   string `json:"to"`
}

func (QuietSet) Kind() string    { return "quiet" }
func (QuietSet) Subject() string { return "telling" }

func (q QuietSet) apply(tx *Tx, e Entry) error {
	return tx.retell(e.Room, func(t *Telling) { t.QuietFrom, t.QuietTo = q.From, q.To })
}

// HeadPosted keeps the end of the record as it was posted in the room, where whoever rewrites the file can't reach it.
type HeadPosted struct {
	Entries int64  `json:"entries"`
	Ends    string `json:"ends"`             // the first digits of the last one's hash, in hexadecimal, as posted
	Number  string `json:"number,omitempty"` // of the last signed inspection
}

func (HeadPosted) Kind() string           { return "head posted" }
func (HeadPosted) Subject() string        { return "telling" }
func (HeadPosted) apply(*Tx, Entry) error { return nil }

// PutOff is somebody's word that they will see to a matter later. It is asked again then; nothing else changes.
type PutOff struct {
	Matter string    `json:"matter"`
	Until  time.Time `json:"until"`
}

func (PutOff) Kind() string      { return "put off" }
func (p PutOff) Subject() string { return "matter:" + p.Matter }

func (PutOff) apply(*Tx, Entry) error { return nil }

func (tx *Tx) retell(room string, change func(*Telling)) error {
	t, err := tx.Telling(room)
	if err != nil {
		return err
	}
	change(&t)
	body, err := json.Marshal(t)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO telling(room, body) VALUES(?, ?) ON CONFLICT(room) DO UPDATE SET body = excluded.body`, room, string(body))
}

// Telling finds when a team is told what is open; zero for one that is never.
func (tx *Tx) Telling(room string) (Telling, error) {
	t, _, err := one[Telling](tx, `SELECT body FROM telling WHERE room = ?`, room)
	return t, err
}

// LastNumber is the number of the room's last signed inspection; empty before the first.
func (tx *Tx) LastNumber(room string) (number string, err error) {
	_, err = tx.get(`SELECT number FROM inspection WHERE room = ? AND number > '' ORDER BY number DESC LIMIT 1`, []any{room}, &number)
	return number, err
}
