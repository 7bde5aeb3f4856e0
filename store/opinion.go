package store

import (
	"cmp"
	"encoding/json"
	"slices"

	"becket/flows"
)

// Opinion is one point of an inspection that somebody else was asked to look at.
type Opinion struct {
	ID         string   `json:"id"`
	Inspection string   `json:"inspection"`
	Mark       string   `json:"mark"`
	Steps      []string `json:"steps"`
	First      string   `json:"first"`          // who asks
	View       string   `json:"view,omitempty"` // what they see themselves, kept from whoever is asked
	Asked      []string `json:"asked"`          // who may answer
	// Blind: what the first found wasn't there to be read when the others were asked.
	Blind bool `json:"blind"`
	// Third: two differed before, and this one decides.
	Third bool `json:"third,omitempty"`
	// Asker is who asked, where that isn't who inspected.
	Asker string `json:"asker,omitempty"`
	// Request is the first of several points asked for together, one after the other of the same person; empty: this one
	// alone. Nth counts them from 1, and Rest are those still to come.
	Request string     `json:"request,omitempty"`
	Nth     int        `json:"nth,omitempty"`
	Rest    [][]string `json:"rest,omitempty"`
	// Label is what an answer begins with where more than one is open; empty: the mark.
	Label string `json:"label,omitempty"`
	// What follows is empty until somebody has answered.
	By       string         `json:"by,omitempty"`
	Answers  []flows.Answer `json:"answers,omitempty"`
	Verdict  flows.Verdict  `json:"verdict,omitempty"` // the worst that they found
	Differs  bool           `json:"differs,omitempty"`
	Answered bool           `json:"answered,omitempty"`
}

// OpinionAsked asks for a second opinion. Until it is answered the item isn't for use.
type OpinionAsked struct{ Opinion }

func (OpinionAsked) Kind() string      { return "opinion asked" }
func (o OpinionAsked) Subject() string { return subjectOfI + o.Inspection }

func (o OpinionAsked) apply(tx *Tx, e Entry) error { return tx.putOpinion(e, o.Opinion) }

// OpinionGiven answers one.
type OpinionGiven struct{ Opinion }

func (OpinionGiven) Kind() string      { return "opinion given" }
func (o OpinionGiven) Subject() string { return subjectOfI + o.Inspection }

func (o OpinionGiven) apply(tx *Tx, e Entry) error { return tx.putOpinion(e, o.Opinion) }

func (tx *Tx) putOpinion(e Entry, o Opinion) error {
	body, err := json.Marshal(o)
	if err != nil {
		return err
	}
	err = tx.put(`INSERT INTO opinion(id, room, mark, n, answered, body) VALUES(?, ?, ?, ?, ?, ?)
		ON CONFLICT(id) DO UPDATE SET answered = excluded.answered, body = excluded.body`, o.ID, e.Room, o.Mark, e.Seq, o.Answered, string(body))
	if err != nil {
		return err
	}
	return tx.reckon(e.Room, o.Mark)
}

// Unanswered lists a room's opinions that nobody has given yet, oldest first.
func (tx *Tx) Unanswered(room string) ([]Opinion, error) {
	return all[Opinion](tx, `SELECT body FROM opinion WHERE room = ? AND answered = 0 ORDER BY n`, room)
}

// UnansweredOf lists the opinions on an item that nobody has given yet.
func (tx *Tx) UnansweredOf(room, mark string) ([]Opinion, error) {
	return all[Opinion](tx, `SELECT body FROM opinion WHERE room = ? AND mark = ? AND answered = 0 ORDER BY n`, room, mark)
}

// WaitFor lists the opinions that somebody is asked for and nobody has given yet.
func (tx *Tx) WaitFor(room, person string) ([]Opinion, error) {
	open, err := tx.Unanswered(room)
	return slices.DeleteFunc(open, func(o Opinion) bool { return !slices.Contains(o.Asked, person) }), err
}

// LastAsked is the latest opinion that somebody was asked for, given or not; false where that is longer ago than the
// room's last thirty.
func (tx *Tx) LastAsked(room, person string) (Opinion, bool, error) {
	latest, err := all[Opinion](tx, `SELECT body FROM opinion WHERE room = ? ORDER BY n DESC LIMIT 30`, room)
	for _, o := range latest {
		if slices.Contains(o.Asked, person) {
			return o, true, err
		}
	}
	return Opinion{}, false, err
}

// OpinionsOf lists the opinions on an item, asked for and given, oldest first.
func (tx *Tx) OpinionsOf(room, mark string) ([]Opinion, error) {
	return all[Opinion](tx, `SELECT body FROM opinion WHERE room = ? AND mark = ? ORDER BY n`, room, mark)
}

// Together is the id that the points asked for in one go have in common.
func (o Opinion) Together() string { return cmp.Or(o.Request, o.ID) }

// Called is what an answer to it begins with where more than one is open.
func (o Opinion) Called() string { return cmp.Or(o.Label, o.Mark) }

// AskedBy is who asked for it.
func (o Opinion) AskedBy() string { return cmp.Or(o.Asker, o.First) }

// About tells whether it asks about a point, now or later in the same request.
func (o Opinion) About(steps []string) bool {
	return slices.Equal(o.Steps, steps) || slices.ContainsFunc(o.Rest, func(r []string) bool { return slices.Equal(r, steps) })
}

// Settled tells whether somebody has said what they see there. Can't tell settles nothing: better photos may.
func (o Opinion) Settled() bool {
	return o.Answered && !slices.ContainsFunc(o.Answers, func(a flows.Answer) bool { return a.Unknown && len(a.Readings) == 0 })
}
