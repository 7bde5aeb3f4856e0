package store

import (
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

// LastOpinion is the latest opinion on an item that was given; false where there is none.
func (tx *Tx) LastOpinion(room, mark string) (Opinion, bool, error) {
	return one[Opinion](tx, `SELECT body FROM opinion WHERE room = ? AND mark = ? AND answered = 1 ORDER BY n DESC LIMIT 1`, room, mark)
}
