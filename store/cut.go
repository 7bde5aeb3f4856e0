package store

import "becket/flows"

// Cut says that an item was cut into shorter ones. Its own mark ends there, as a retired one with the source CutUp; each
// piece is an item of its own, with what was known of the whole.
type Cut struct {
	Mark   string  `json:"mark"`
	Pieces []Piece `json:"pieces"`
}

// Piece is what came of a cut; its length is in metres.
type Piece struct {
	Mark   string       `json:"mark"`
	Length flows.Number `json:"length"`
}

// CutUp is the source of a retirement by which an item became others: nothing is to be destroyed or replaced.
const CutUp Source = "cut"

func (Cut) Kind() string             { return "cut" }
func (c Cut) Subject() string        { return ItemSubject(c.Mark) }
func (c Cut) apply(*Tx, Entry) error { return nil }
