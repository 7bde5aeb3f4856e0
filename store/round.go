package store

import (
	"database/sql"
	"encoding/json"
	"strings"
	"time"
)

// Round is many inspections that one person goes through with the bench set up once. What was answered stands in
// the inspections; a round says which items are in it, in which order, and with what.
type Round struct {
	ID     string
	Room   string
	Thread string
	Person string // whose it is now
	Open   bool   // further items may be begun in it
	Begun  time.Time
	RoundPlan
}

// RoundPlan is what a round was begun with, and what has become of it besides its inspections.
type RoundPlan struct {
	Marks []string `json:"marks"` // in the order of asking
	Seed  uint64   `json:"seed"`
	Bench Setup    `json:"bench"`
	// Unseen are the marks that nobody found.
	Unseen []string `json:"unseen,omitempty"`
}

// Setup is what the bench was said to have before a round's first item.
type Setup struct {
	Light        bool   `json:"light"`
	Instructions bool   `json:"instructions"`         // the makers', to hand
	Instrument   string `json:"instrument,omitempty"` // its mark; empty: none, and no readings are taken
	Rope         string `json:"rope,omitempty"`       // the test rope's mark; empty: none, and nothing goes on a rope
	Second       string `json:"second,omitempty"`     // who stands by while something is on the rope
}

const subjectOfRound = "round:"

// RoundBegun begins a round.
type RoundBegun struct {
	Round  string `json:"round"`
	Thread string `json:"thread"`
	RoundPlan
}

func (RoundBegun) Kind() string      { return "round" }
func (r RoundBegun) Subject() string { return subjectOfRound + r.Round }

func (r RoundBegun) apply(tx *Tx, e Entry) error {
	body, err := json.Marshal(r.RoundPlan)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO round(id, room, thread, person, state, begun, body) VALUES(?, ?, ?, ?, 'open', ?, ?)`,
		r.Round, e.Room, r.Thread, e.By, e.At.UnixMicro(), string(body))
}

// RoundRope names another test rope for the rest of a round, and who stands by.
type RoundRope struct {
	Round  string `json:"round"`
	Rope   string `json:"rope"`
	Second string `json:"second"`
}

func (RoundRope) Kind() string      { return "round rope" }
func (r RoundRope) Subject() string { return subjectOfRound + r.Round }

func (r RoundRope) apply(tx *Tx, _ Entry) error {
	return tx.changeRound(r.Round, func(p *RoundPlan) { p.Bench.Rope, p.Bench.Second = r.Rope, r.Second })
}

// RoundNotSeen says that nobody found an item of a round.
type RoundNotSeen struct {
	Round string `json:"round"`
	Mark  string `json:"mark"`
}

func (RoundNotSeen) Kind() string      { return "round not seen" }
func (r RoundNotSeen) Subject() string { return subjectOfRound + r.Round }

func (r RoundNotSeen) apply(tx *Tx, _ Entry) error {
	return tx.changeRound(r.Round, func(p *RoundPlan) { p.Unseen = append(p.Unseen, r.Mark) })
}

// RoundTakenOver gives the rest of a round to the entry's author. What the other has answered stays theirs to sign.
type RoundTakenOver struct {
	Round string `json:"round"`
	From  string `json:"from"`
}

func (RoundTakenOver) Kind() string      { return "round taken over" }
func (r RoundTakenOver) Subject() string { return subjectOfRound + r.Round }

func (r RoundTakenOver) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE round SET person = ? WHERE id = ?`, e.By, r.Round)
}

// RoundClosed ends a round: no further item is begun in it. What waits for a signature still does.
type RoundClosed struct {
	Round   string   `json:"round"`
	Unseen  []string `json:"unseen,omitempty"`
	NotDone []string `json:"not_done,omitempty"` // seen or not, without a complete inspection
}

func (RoundClosed) Kind() string      { return "round closed" }
func (r RoundClosed) Subject() string { return subjectOfRound + r.Round }

func (r RoundClosed) apply(tx *Tx, _ Entry) error {
	return tx.put(`UPDATE round SET state = 'closed' WHERE id = ?`, r.Round)
}

// SetDown lays an inspection by in its round: complete, so that only the signature is missing, or for another
// item to be done first.
type SetDown struct {
	Inspection string `json:"inspection"`
	Complete   bool   `json:"complete,omitempty"`
}

func (SetDown) Kind() string      { return "set down" }
func (s SetDown) Subject() string { return subjectOfI + s.Inspection }

func (s SetDown) apply(tx *Tx, e Entry) error {
	if s.Complete {
		return tx.setState(s.Inspection, Complete, e.At)
	}
	return tx.setState(s.Inspection, Waiting, e.At)
}

func (tx *Tx) changeRound(id string, change func(*RoundPlan)) error {
	plan, found, err := one[RoundPlan](tx, `SELECT body FROM round WHERE id = ?`, id)
	if err != nil || !found {
		return err
	}
	change(&plan)
	body, err := json.Marshal(plan)
	if err != nil {
		return err
	}
	return tx.put(`UPDATE round SET body = ? WHERE id = ?`, string(body), id)
}

// Round finds a round by id.
func (tx *Tx) Round(id string) (Round, bool, error) {
	return firstRound(tx.rounds(`WHERE id = ?`, id))
}

// OpenRound is the round that somebody is going through. A person has one at most in a room.
func (tx *Tx) OpenRound(room, person string) (Round, bool, error) {
	return firstRound(tx.rounds(`WHERE room = ? AND state = 'open' AND person = ? ORDER BY begun DESC, id LIMIT 1`, room, person))
}

// LastRound is the round of a room that was begun last of those in which something is signed.
func (tx *Tx) LastRound(room string) (Round, bool, error) {
	return firstRound(tx.rounds(`WHERE room = ? AND EXISTS (SELECT 1 FROM inspection WHERE inspection.round = round.id AND inspection.round <> '' AND inspection.state = 'signed') ORDER BY begun DESC, id LIMIT 1`, room))
}

// RoundOf is the round with this conversation.
func (tx *Tx) RoundOf(room, thread string) (Round, bool, error) {
	return firstRound(tx.rounds(`WHERE room = ? AND thread = ? LIMIT 1`, room, thread))
}

// InRound lists a round's inspections in the order in which they were begun.
func (tx *Tx) InRound(round string) ([]Inspection, error) {
	return tx.inspections(`WHERE round = ? ORDER BY seq`, round)
}

// ToSign lists the inspections of rounds that are complete and wait for somebody's signature, oldest first.
func (tx *Tx) ToSign(room, person string) ([]Inspection, error) {
	return tx.inspections(`WHERE room = ? AND state = 'to be signed' AND inspector = ? ORDER BY seq`, room, person)
}

// Has finds a mark among the round's, letters' case aside.
func (r Round) Has(mark string) (string, bool) {
	for _, m := range r.Marks {
		if strings.EqualFold(m, mark) {
			return m, true
		}
	}
	return "", false
}

func firstRound(list []Round, err error) (Round, bool, error) {
	if err != nil || len(list) == 0 {
		return Round{}, false, err
	}
	return list[0], true, nil
}

func (tx *Tx) rounds(where string, args ...any) ([]Round, error) {
	return list(tx, func(row *sql.Rows) (Round, error) {
		var r Round
		var state, body string
		var begun int64
		if err := row.Scan(&r.ID, &r.Room, &r.Thread, &r.Person, &state, &begun, &body); err != nil {
			return r, err
		}
		r.Open, r.Begun = state == "open", time.UnixMicro(begun).UTC()
		return r, json.Unmarshal([]byte(body), &r.RoundPlan)
	}, `SELECT id, room, thread, person, state, begun, body FROM round `+where, args...)
}
