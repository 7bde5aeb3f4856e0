package store

import (
	"database/sql"
	"time"
)

// Repeat is an inspection that somebody else is asked to do again, blind.
type Repeat struct {
	First string // the inspection to be repeated
	Mark  string
	Who   string
	Asked time.Time
}

// RepeatsSet says of how many items signed in a round one is inspected again; 0: none.
type RepeatsSet struct {
	OneIn int `json:"one_in"`
}

func (RepeatsSet) Kind() string    { return "repeats" }
func (RepeatsSet) Subject() string { return "team" }

func (r RepeatsSet) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO repeat_rule(room, one_in) VALUES(?, ?) ON CONFLICT(room) DO UPDATE SET one_in = excluded.one_in`, e.Room, r.OneIn)
}

// RepeatAsked asks somebody to inspect an item again, blind, or somebody else in their place.
type RepeatAsked struct {
	First string `json:"first"`
	Mark  string `json:"mark"`
	Who   string `json:"who"`
}

func (RepeatAsked) Kind() string      { return "repeat" }
func (r RepeatAsked) Subject() string { return "item:" + r.Mark }

func (r RepeatAsked) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO repeat(first, room, mark, who, asked) VALUES(?, ?, ?, ?, ?)
		ON CONFLICT(first) DO UPDATE SET who = excluded.who`, r.First, e.Room, r.Mark, r.Who, e.At.UnixMicro())
}

// RepeatsOneIn is of how many items signed in a round one is inspected again; false where the team hasn't said.
func (tx *Tx) RepeatsOneIn(room string) (oneIn int, set bool, err error) {
	set, err = tx.get(`SELECT one_in FROM repeat_rule WHERE room = ?`, []any{room}, &oneIn)
	return oneIn, set, err
}

// OpenRepeats lists what is asked for and not done, oldest first. An item that was signed again since the first
// inspection, by whomever, isn't asked for any more.
func (tx *Tx) OpenRepeats(room string) ([]Repeat, error) {
	return list(tx, func(row *sql.Rows) (Repeat, error) {
		var r Repeat
		var asked int64
		err := row.Scan(&r.First, &r.Mark, &r.Who, &asked)
		r.Asked = time.UnixMicro(asked).UTC()
		return r, err
	}, `SELECT r.first, r.mark, r.who, r.asked FROM repeat r JOIN inspection f ON f.id = r.first
		WHERE r.room = ? AND NOT EXISTS (SELECT 1 FROM inspection i WHERE i.room = r.room AND i.mark = r.mark AND i.state = 'signed' AND i.seq > f.seq)
		ORDER BY r.asked, r.first`, room)
}

// Pair is one item inspected twice, the second time blind and by somebody else: the raw table of any statistics on
// how well people agree.
type Pair struct{ First, Second Inspection }

// RepeatPairs lists a room's pairs, or those of one item where a mark is given, in the order in which the second was
// begun. Both are signed.
func (tx *Tx) RepeatPairs(room, mark string) ([]Pair, error) {
	seconds, err := tx.inspections(`WHERE room = ? AND (? = '' OR mark = ?) AND repeats <> '' AND state = 'signed' ORDER BY seq`, room, mark, mark)
	if err != nil {
		return nil, err
	}
	var pairs []Pair
	for _, second := range seconds {
		first, found, err := tx.Inspection(second.Repeats)
		if err != nil {
			return nil, err
		}
		if found {
			pairs = append(pairs, Pair{First: first, Second: second})
		}
	}
	return pairs, nil
}
