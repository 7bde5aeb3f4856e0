package store

import (
	"database/sql"
	"time"

	"becket/flows"
)

// Hold is one reason why an item is out of use. Each is separate and released separately; a hold with the
// verdict retire is never released.
type Hold struct {
	N          int64 // the number of its entry in the record
	Mark       string
	Verdict    flows.Verdict
	Why        string
	By         string
	At         time.Time
	Inspection string // the inspection that found it; empty: reported
	Released   bool
	// Moved: it was put on the wrong mark and ended without an inspection, so the item is to be looked at.
	Moved bool
}

// HoldPlaced takes an item out of use.
type HoldPlaced struct {
	Mark       string        `json:"mark"`
	Verdict    flows.Verdict `json:"verdict"`
	Why        string        `json:"why"`
	Rule       string        `json:"rule,omitempty"`
	Inspection string        `json:"inspection,omitempty"`
}

func (HoldPlaced) Kind() string      { return "hold" }
func (h HoldPlaced) Subject() string { return "item:" + h.Mark }

func (h HoldPlaced) apply(tx *Tx, e Entry) error {
	err := tx.put(`INSERT INTO hold(n, room, mark, verdict, why, by, at, inspection) VALUES(?, ?, ?, ?, ?, ?, ?, ?)`,
		e.Seq, e.Room, h.Mark, h.Verdict.String(), h.Why, e.By, e.At.UnixMicro(), h.Inspection)
	if err != nil {
		return err
	}
	return tx.reckon(e.Room, h.Mark)
}

// HoldReleased ends one hold, in writing, after a complete new inspection.
type HoldReleased struct {
	Mark       string `json:"mark"`
	Hold       int64  `json:"hold"`
	Statement  string `json:"statement"`
	Inspection string `json:"inspection"`
}

func (HoldReleased) Kind() string      { return "release" }
func (h HoldReleased) Subject() string { return "item:" + h.Mark }

func (h HoldReleased) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE hold SET released = ? WHERE n = ? AND room = ? AND mark = ? AND verdict <> 'retire'`,
		e.Seq, h.Hold, e.Room, h.Mark)
}

// HoldMoved ends a reported hold that was put on the wrong mark, once the right one is held. The first stays not
// for use until it is inspected.
type HoldMoved struct {
	Mark string `json:"mark"`
	Hold int64  `json:"hold"`
	To   string `json:"to"`
}

func (HoldMoved) Kind() string      { return "hold moved" }
func (h HoldMoved) Subject() string { return "item:" + h.Mark }

func (h HoldMoved) apply(tx *Tx, e Entry) error {
	err := tx.put(`UPDATE hold SET released = ?, moved = 1 WHERE n = ? AND room = ? AND mark = ? AND verdict <> 'retire'`,
		e.Seq, h.Hold, e.Room, h.Mark)
	if err != nil {
		return err
	}
	return tx.reckon(e.Room, h.Mark)
}

// StrikeAsked is the first of two people who say that a retirement was put on the wrong mark.
type StrikeAsked struct {
	Mark string `json:"mark"`
	Hold int64  `json:"hold"`
	Why  string `json:"why"`
}

func (StrikeAsked) Kind() string             { return "strike asked" }
func (s StrikeAsked) Subject() string        { return "item:" + s.Mark }
func (s StrikeAsked) apply(*Tx, Entry) error { return nil }

// RetirementStruck is the second person's word. The retirement stays in the record, struck; the item is not for
// use until it is inspected.
type RetirementStruck struct {
	Mark  string `json:"mark"`
	Hold  int64  `json:"hold"`
	First string `json:"first"` // who asked
	Why   string `json:"why"`
}

func (RetirementStruck) Kind() string      { return "retirement struck" }
func (s RetirementStruck) Subject() string { return "item:" + s.Mark }

func (s RetirementStruck) apply(tx *Tx, e Entry) error {
	err := tx.put(`UPDATE hold SET released = ?, moved = 1 WHERE n = ? AND room = ? AND mark = ? AND verdict = 'retire'`,
		e.Seq, s.Hold, e.Room, s.Mark)
	if err != nil {
		return err
	}
	return tx.reckon(e.Room, s.Mark)
}

// Holds lists an item's holds in the order they were placed, released ones included.
func (tx *Tx) Holds(room, mark string) ([]Hold, error) {
	return tx.holds(`WHERE room = ? AND mark = ? ORDER BY n`, room, mark)
}

// Standing lists an item's holds that aren't released, in the order they were placed.
func (tx *Tx) Standing(room, mark string) ([]Hold, error) {
	return tx.holds(`WHERE room = ? AND mark = ? AND released IS NULL ORDER BY n`, room, mark)
}

// Held lists every hold of a room that stands, by item.
func (tx *Tx) Held(room string) ([]Hold, error) {
	return tx.holds(`WHERE room = ? AND released IS NULL ORDER BY mark, n`, room)
}

// Quarantined lists every hold of a room that stands on an item that isn't retired, by item.
func (tx *Tx) Quarantined(room string) ([]Hold, error) {
	return tx.holds(`WHERE room = ? AND released IS NULL AND NOT EXISTS (SELECT 1 FROM hold AS retired
		WHERE retired.room = hold.room AND retired.mark = hold.mark AND retired.verdict = 'retire' AND retired.moved = 0) ORDER BY mark, n`, room)
}

func (tx *Tx) holds(where string, args ...any) ([]Hold, error) {
	return list(tx, scanHold, `SELECT n, mark, verdict, why, by, at, inspection, released, moved FROM hold `+where, args...)
}

func scanHold(row *sql.Rows) (Hold, error) {
	var h Hold
	var verdict string
	var at int64
	var released sql.NullInt64
	if err := row.Scan(&h.N, &h.Mark, &verdict, &h.Why, &h.By, &at, &h.Inspection, &released, &h.Moved); err != nil {
		return h, err
	}
	h.At, h.Released = time.UnixMicro(at).UTC(), released.Valid
	var err error
	h.Verdict, err = flows.ParseVerdict(verdict)
	return h, err
}
