package store

import (
	"database/sql"

	"becket/flows"
)

// JudgedAgain is an item's last signed inspection judged by a sheet that came to count after it. It is written only where that
// is stricter than what was signed; a hold follows it. What was signed stays as it is.
type JudgedAgain struct {
	Mark       string     `json:"mark"`
	Inspection string     `json:"inspection"`
	Sheet      NewerSheet `json:"sheet"`
	// Flow is the hash of the script's newer edition, where it was judged by one; empty: by the one it was answered in.
	Flow    string        `json:"flow,omitempty"`
	Outcome flows.Outcome `json:"outcome"`
}

func (JudgedAgain) Kind() string             { return "judged again" }
func (j JudgedAgain) Subject() string        { return "item:" + j.Mark }
func (j JudgedAgain) apply(*Tx, Entry) error { return nil }

// ItemsOf lists a room's items of one model by mark. Case in its name counts for nothing.
func (tx *Tx) ItemsOf(room, maker, model string) ([]Item, error) {
	return all[Item](tx, `SELECT body FROM item WHERE room = ? AND maker = ? COLLATE NOCASE AND model = ? COLLATE NOCASE ORDER BY mark`, room, maker, model)
}

// StoreJudged says that every item of a room was judged by these editions of the scripts, by their hashes. What moved stands
// in entries of its own before it.
type StoreJudged struct {
	Editions map[string]string `json:"editions"` // FLOW: hash
	Items    int               `json:"items"`
	Held     []string          `json:"held,omitempty"` // marks
}

func (StoreJudged) Kind() string             { return "store judged" }
func (StoreJudged) Subject() string          { return "store judged" }
func (s StoreJudged) apply(*Tx, Entry) error { return nil }

// JudgedBy gives the editions by which a room's items were last judged all together, by their hashes; nil: they never were.
func (tx *Tx) JudgedBy(room string) (map[string]string, error) {
	entries, err := tx.EntriesIn(room, StoreJudged{}.Subject())
	if err != nil || len(entries) == 0 {
		return nil, err
	}
	ev, err := entries[len(entries)-1].Event()
	if err != nil {
		return nil, err
	}
	return ev.(*StoreJudged).Editions, nil
}

// EditionsUsed counts a room's items by the hash of the script in which each was last signed.
func (tx *Tx) EditionsUsed(room string) (map[string]int, error) {
	hashes, err := list(tx, func(row *sql.Rows) (hash string, err error) { return hash, row.Scan(&hash) }, `SELECT flow FROM inspection AS i WHERE room = ? AND state = 'signed' AND NOT EXISTS (SELECT 1 FROM inspection AS later
		WHERE later.room = i.room AND later.mark = i.mark AND later.state = 'signed' AND (later.day, later.touched, later.seq) > (i.day, i.touched, i.seq))`, room)
	used := map[string]int{}
	for _, hash := range hashes {
		used[hash]++
	}
	return used, err
}
