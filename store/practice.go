package store

import (
	"slices"
	"time"
)

// Practised is what came of a round of practice on invented kit, under whoever did it. Nothing of that kit is in any
// register; what was shown and answered stands here by the exercises' names.
type Practised struct {
	Planted int      `json:"planted"` // how many had a fault
	Caught  int      `json:"caught"`
	Clear   int      `json:"clear"`            // how many had none
	False   int      `json:"false"`            // how many of those were called faulty
	Missed  []string `json:"missed,omitempty"` // exercises
}

func (Practised) Kind() string    { return "practice" }
func (Practised) Subject() string { return "practice" }

func (p Practised) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO practice(n, room, who, at, planted, caught) VALUES(?, ?, ?, ?, ?, ?)`, e.Seq, e.Room, e.By, e.At.UnixMicro(), p.Planted, p.Caught)
}

// Practice adds up the faults that somebody was set in practice since a moment, and how many of them they caught.
func (tx *Tx) Practice(room, who string, since time.Time) (caught, planted int, err error) {
	_, err = tx.get(`SELECT coalesce(sum(caught), 0), coalesce(sum(planted), 0) FROM practice WHERE room = ? AND who = ? AND at >= ?`,
		[]any{room, who, since.UnixMicro()}, &caught, &planted)
	return caught, planted, err
}

// PairsOf lists the pairs of a room in which somebody made one of the two inspections, begun since a moment.
func (tx *Tx) PairsOf(room, who string, since time.Time) ([]Pair, error) {
	all, err := tx.RepeatPairs(room, "")
	return slices.DeleteFunc(all, func(p Pair) bool {
		return p.First.Inspector != who && p.Second.Inspector != who || p.Second.Started.Before(since)
	}), err
}
