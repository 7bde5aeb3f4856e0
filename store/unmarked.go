package store

import (
	"database/sql"
	"encoding/json"
	"time"
)

// Unmarked is something that was reported and whose mark nobody could read. It has a mark of its own until it is known
// which item it is; nothing in the register is held by it.
type Unmarked struct {
	Mark    string // like U-1, for its tag
	N       int64  // the number of its entry
	Text    string // how it was described
	By      string
	At      time.Time
	Could   []string // the marks that it could be, when it was reported
	Place   string   // where it is kept; empty: nobody said
	Settled bool
	Became  string // the mark that it was; empty for one that was destroyed unknown
}

// UnmarkedHeld takes something out of use that nobody can name.
type UnmarkedHeld struct {
	Mark  string   `json:"mark"`
	Text  string   `json:"text"`
	Could []string `json:"could,omitempty"`
}

func (UnmarkedHeld) Kind() string      { return "unmarked" }
func (u UnmarkedHeld) Subject() string { return "item:" + u.Mark }

func (u UnmarkedHeld) apply(tx *Tx, e Entry) error {
	could, err := json.Marshal(u.Could)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO unmarked(room, mark, n, text, by, at, could) VALUES(?, ?, ?, ?, ?, ?, ?)`,
		e.Room, u.Mark, e.Seq, u.Text, e.By, e.At.UnixMicro(), string(could))
}

// UnmarkedSettled says which item it was, once that item is held in its place; or that it was destroyed unknown.
type UnmarkedSettled struct {
	Mark   string `json:"mark"`
	Became string `json:"became,omitempty"`
	Why    string `json:"why,omitempty"`
}

func (UnmarkedSettled) Kind() string      { return "unmarked settled" }
func (u UnmarkedSettled) Subject() string { return "item:" + u.Mark }

func (u UnmarkedSettled) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE unmarked SET settled = ?, became = ? WHERE room = ? AND mark = ?`, e.Seq, u.Became, e.Room, u.Mark)
}

// Unmarked finds one by its mark, letters' case aside.
func (tx *Tx) Unmarked(room, mark string) (Unmarked, bool, error) {
	all, err := tx.unmarked(`WHERE room = ? AND mark = ?`, room, mark)
	if err != nil || len(all) == 0 {
		return Unmarked{}, false, err
	}
	return all[0], true, nil
}

// OpenUnmarked lists what nobody has named yet, oldest first.
func (tx *Tx) OpenUnmarked(room string) ([]Unmarked, error) {
	return tx.unmarked(`WHERE room = ? AND settled IS NULL ORDER BY n`, room)
}

// AllUnmarked lists all that was ever reported without a mark, oldest first.
func (tx *Tx) AllUnmarked(room string) ([]Unmarked, error) {
	return tx.unmarked(`WHERE room = ? ORDER BY n`, room)
}

// CountUnmarked is how many were ever reported in a room.
func (tx *Tx) CountUnmarked(room string) (n int, err error) {
	_, err = tx.get(`SELECT count(*) FROM unmarked WHERE room = ?`, []any{room}, &n)
	return n, err
}

func (tx *Tx) unmarked(where string, args ...any) ([]Unmarked, error) {
	return list(tx, func(row *sql.Rows) (Unmarked, error) {
		var u Unmarked
		var at int64
		var could string
		var settled sql.NullInt64
		if err := row.Scan(&u.Mark, &u.N, &u.Text, &u.By, &at, &could, &u.Place, &settled, &u.Became); err != nil {
			return u, err
		}
		u.At, u.Settled = time.UnixMicro(at).UTC(), settled.Valid
		return u, json.Unmarshal([]byte(could), &u.Could)
	}, `SELECT mark, n, text, by, at, could, place, settled, became FROM unmarked `+where, args...)
}
