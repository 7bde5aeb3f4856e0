package store

import (
	"cmp"
	"database/sql"
	"strings"
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
	Ended      int64 // the number of the entry that ended it; zero while it stands
	// Moved: it was put on the wrong mark and ended without an inspection, so the item is to be looked at.
	Moved  bool
	Rule   string // the rule of that inspection
	Source Source
	About  int64  // the number of the incident's or the notice's entry, for a hold that came of one
	Place  string // where the item is kept meanwhile; empty: nobody said
}

// Source is what a hold comes from. It decides what its release takes.
type Source string

// Arrest and Notice need the maker's document; Decision was placed so that somebody decides, and nothing was found
// that could be gone.
const (
	Finding  Source = "finding"
	Untold   Source = "can't tell"
	Decision Source = "decision"
	Reported Source = "report"
	Arrest   Source = "stopped fall"
	Shock    Source = "shock load"
	Exposure Source = "exposure"
	Noticed  Source = "maker's notice"
	// NewFigures and NewScript: judged again by what the maker or the script says now, what was found last time holds. The
	// next inspection is judged by it anyway.
	NewFigures Source = "change of the maker's figures"
	NewScript  Source = "newer edition of the script"
)

// NeedsDocument tells whether only the maker's word ends the hold.
func (s Source) NeedsDocument() bool { return s == Arrest || s == Noticed }

// Findable tells whether the hold speaks of something that an inspection can find again or find gone.
func (s Source) Findable() bool { return s == Finding || s == Untold || s == Reported || s == Exposure }

// sourceOf is what an entry that doesn't say it comes from.
func sourceOf(rule, inspection string) Source {
	switch {
	case inspection == "":
		return Reported
	case rule == "history.arrest":
		return Arrest
	case rule == "history.notice":
		return Noticed
	case strings.HasSuffix(rule, ".unknown"):
		return Untold
	case strings.HasSuffix(rule, ".again"), strings.HasSuffix(rule, ".grown"), strings.HasSuffix(rule, ".same"):
		return Decision
	}
	return Finding
}

// HoldPlaced takes an item out of use.
type HoldPlaced struct {
	Mark       string        `json:"mark"`
	Verdict    flows.Verdict `json:"verdict"`
	Why        string        `json:"why"`
	Rule       string        `json:"rule,omitempty"`
	Inspection string        `json:"inspection,omitempty"`
	// Source is what it comes from, where the rule and the inspection don't say it.
	Source Source `json:"source,omitempty"`
	About  int64  `json:"about,omitempty"` // the entry of the incident or the notice
	// Reporter is who reported it first, where somebody else puts it on this item.
	Reporter string `json:"reporter,omitempty"`
	Place    string `json:"place,omitempty"`
}

func (HoldPlaced) Kind() string      { return "hold" }
func (h HoldPlaced) Subject() string { return "item:" + h.Mark }

func (h HoldPlaced) apply(tx *Tx, e Entry) error {
	err := tx.put(`INSERT INTO hold(n, room, mark, verdict, why, by, at, inspection, source, rule, about, place) VALUES(?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		e.Seq, e.Room, h.Mark, h.Verdict.String(), h.Why, cmp.Or(h.Reporter, e.By), e.At.UnixMicro(), h.Inspection, string(h.Source), h.Rule, h.About, h.Place)
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
	// Document is the maker's, as the statement names it, where only the maker's word ends the hold.
	Document string `json:"document,omitempty"`
	// Outside is the competent person from elsewhere on whose written statement a keeper released it, for a team in
	// which nobody else could; SentBy is who sent that statement.
	Outside string `json:"outside,omitempty"`
	SentBy  string `json:"sent_by,omitempty"`
}

func (HoldReleased) Kind() string      { return "release" }
func (h HoldReleased) Subject() string { return "item:" + h.Mark }

func (h HoldReleased) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE hold SET released = ? WHERE n = ? AND room = ? AND mark = ? AND verdict <> 'retire'`,
		e.Seq, h.Hold, e.Room, h.Mark)
}

// StatementSent is the written statement of a competent person from elsewhere that a held item may go back. By itself
// it releases nothing.
type StatementSent struct {
	Mark       string `json:"mark"`
	Hold       int64  `json:"hold"`
	Outside    string `json:"outside"` // who wrote it, by name
	Statement  string `json:"statement"`
	Inspection string `json:"inspection"`
	Document   string `json:"document,omitempty"` // the maker's, where the hold needs it
}

func (StatementSent) Kind() string             { return "outside statement" }
func (s StatementSent) Subject() string        { return "item:" + s.Mark }
func (s StatementSent) apply(*Tx, Entry) error { return nil }

// PaperKept is a document that belongs to an item, the maker's letter above all, under the name that people call it by.
type PaperKept struct {
	Mark  string `json:"mark"`
	Title string `json:"title"`
	Hash  string `json:"hash"`
	Name  string `json:"name"`
	Type  string `json:"type"`
	Size  int64  `json:"size"`
}

func (PaperKept) Kind() string             { return "paper" }
func (p PaperKept) Subject() string        { return "item:" + p.Mark }
func (p PaperKept) apply(*Tx, Entry) error { return nil }

// HoldKept says where a held item is kept meanwhile.
type HoldKept struct {
	Mark  string `json:"mark"`
	Place string `json:"place"`
}

func (HoldKept) Kind() string      { return "hold kept" }
func (h HoldKept) Subject() string { return "item:" + h.Mark }

func (h HoldKept) apply(tx *Tx, e Entry) error {
	if err := tx.put(`UPDATE unmarked SET place = ? WHERE room = ? AND mark = ? AND settled IS NULL`, h.Place, e.Room, h.Mark); err != nil {
		return err
	}
	return tx.put(`UPDATE hold SET place = ? WHERE room = ? AND mark = ? AND released IS NULL`, h.Place, e.Room, h.Mark)
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
	return list(tx, scanHold, `SELECT n, mark, verdict, why, by, at, inspection, released, moved, source, rule, about, place FROM hold `+where, args...)
}

func scanHold(row *sql.Rows) (Hold, error) {
	var h Hold
	var verdict, source string
	var at int64
	var released sql.NullInt64
	if err := row.Scan(&h.N, &h.Mark, &verdict, &h.Why, &h.By, &at, &h.Inspection, &released, &h.Moved, &source, &h.Rule, &h.About, &h.Place); err != nil {
		return h, err
	}
	h.Source = cmp.Or(Source(source), sourceOf(h.Rule, h.Inspection))
	h.At, h.Released, h.Ended = time.UnixMicro(at).UTC(), released.Valid, released.Int64
	var err error
	h.Verdict, err = flows.ParseVerdict(verdict)
	return h, err
}
