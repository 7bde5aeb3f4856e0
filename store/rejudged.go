package store

import "becket/flows"

// JudgedAgain is an item's last signed inspection judged by a sheet that came to count after it. It is written only where that
// is stricter than what was signed; a hold follows it. What was signed stays as it is.
type JudgedAgain struct {
	Mark       string        `json:"mark"`
	Inspection string        `json:"inspection"`
	Sheet      NewerSheet    `json:"sheet"`
	Outcome    flows.Outcome `json:"outcome"`
}

func (JudgedAgain) Kind() string             { return "judged again" }
func (j JudgedAgain) Subject() string        { return "item:" + j.Mark }
func (j JudgedAgain) apply(*Tx, Entry) error { return nil }

// ItemsOf lists a room's items of one model by mark. Case in its name counts for nothing.
func (tx *Tx) ItemsOf(room, maker, model string) ([]Item, error) {
	return all[Item](tx, `SELECT body FROM item WHERE room = ? AND maker = ? COLLATE NOCASE AND model = ? COLLATE NOCASE ORDER BY mark`, room, maker, model)
}
