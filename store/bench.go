package store

import (
	"strings"
	"time"

	"becket/flows"
)

// Bench is how somebody has been working: it serves to offer a rest, and to notice readings that are rounded
// rather than read. No rule judges an item by it.
type Bench struct {
	Since  time.Time // since when without a rest
	Last   time.Time // the last answer
	Digits string    // the last digits of the readings since the keeper was last told, at most 50
}

// Rest is how long nothing has to be answered for it to count as a rest.
const Rest = 10 * time.Minute

// mostDigits is how many readings are looked back at.
const mostDigits = 50

// Bench finds how somebody has been working; zero for who hasn't.
func (tx *Tx) Bench(room, person string) (Bench, error) {
	var b Bench
	var since, last int64
	found, err := tx.get(`SELECT since, last, digits FROM bench WHERE room = ? AND person = ?`, []any{room, person}, &since, &last, &b.Digits)
	if found {
		b.Since, b.Last = time.UnixMicro(since).UTC(), time.UnixMicro(last).UTC()
	}
	return b, err
}

// work notes that somebody answered.
func (tx *Tx) work(e Entry, readings []flows.Number) error {
	var digits string
	for _, n := range readings {
		if n.IsZero() {
			continue // no groove is read, not rounded
		}
		text := n.String()
		digits += text[len(text)-1:]
	}
	at := e.At.UnixMicro()
	return tx.put(`INSERT INTO bench(room, person, since, last, digits) VALUES(?, ?, ?, ?, ?)
		ON CONFLICT(room, person) DO UPDATE SET last = excluded.last,
			since = iif(excluded.last - last > ?, excluded.last, since), digits = substr(digits || excluded.digits, ?)`,
		e.Room, e.By, at, at, digits, Rest.Microseconds(), -mostDigits)
}

// DigitsMarked tells the keeper that somebody's readings end in 0 more often than chance has it.
type DigitsMarked struct {
	Person   string `json:"person"`
	Readings int    `json:"readings"`
	Zeros    int    `json:"zeros"`
}

func (DigitsMarked) Kind() string      { return "end digits" }
func (d DigitsMarked) Subject() string { return "person:" + d.Person }

func (d DigitsMarked) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE bench SET digits = '' WHERE room = ? AND person = ?`, e.Room, d.Person)
}

// Zeros counts the readings that end in 0, and all.
func (b Bench) Zeros() (zeros, all int) { return strings.Count(b.Digits, "0"), len(b.Digits) }
