package store

import (
	"encoding/json"
	"strings"
	"time"

	"becket/flows"
	"becket/flows/due"
)

// Item is one piece of kit in the register.
type Item struct {
	flows.Item
	Flow   string `json:"flow"`
	Maker  string `json:"maker,omitempty"`
	Model  string `json:"model,omitempty"`
	Holder string `json:"holder,omitempty"` // a person's id; empty: in the store
	Place  string `json:"place,omitempty"`
	// SafeLoad is the safe working load as it is marked, or the words that none is; Standard the one marked on it, with its year.
	SafeLoad string `json:"safe_load,omitempty"`
	Standard string `json:"standard,omitempty"`
	// Scheme names the written scheme by which it is examined (LOLER 1998 reg 9(3)(a)); empty or "none": there is none.
	Scheme string   `json:"scheme,omitempty"`
	Bought due.Date `json:"bought,omitzero"`
	// Examined is the day of its last thorough examination before this record, or "never"; empty: nobody said.
	Examined string            `json:"examined,omitempty"`
	Facts    map[string]string `json:"facts,omitempty"` // facts of the item itself, beside its sheet's
	Loan     *Loan             `json:"loan,omitempty"`  // nil: the team's own
	// Length is of what is cut to length, in metres; zero where nobody said. CutFrom is the mark of the item that this is a
	// piece of.
	Length  flows.Number `json:"length,omitzero"`
	CutFrom string       `json:"cut_from,omitempty"`
	KeptDue *KeptDue     `json:"kept_due,omitempty"`
	// TakenIn is who entered it; FirstReadings what it measured then.
	FirstReadings map[string][]flows.Number `json:"first_readings,omitempty"`
}

// Model name as people say it.
func (i Item) ModelName() string { return strings.TrimSpace(i.Maker + " " + i.Model) }

// ItemSubject names an item's entries in the journal.
func ItemSubject(mark string) string { return "item:" + mark }

// ItemTaken takes an item into the register. Its mark is never used again.
type ItemTaken struct{ Item }

func (ItemTaken) Kind() string      { return "item" }
func (i ItemTaken) Subject() string { return "item:" + i.Mark }

func (i ItemTaken) apply(tx *Tx, e Entry) error {
	body, err := json.Marshal(i.Item)
	if err != nil {
		return err
	}
	err = tx.put(`INSERT INTO item(room, mark, flow, maker, model, serial, body) VALUES(?, ?, ?, ?, ?, ?, ?)`,
		e.Room, i.Mark, i.Flow, i.Maker, i.Model, i.Serial, string(body))
	if err != nil {
		return err
	}
	if err := tx.reword(e.Room, i.Item); err != nil {
		return err
	}
	return tx.reckon(e.Room, i.Mark)
}

// GoodsOnly takes an item down to goods, for good: nothing makes it carry people again. Nobody puts a date off by it: the day
// on which it was due stays, until it is inspected again.
type GoodsOnly struct {
	Mark string   `json:"mark"`
	Why  string   `json:"why"`
	Due  *KeptDue `json:"due,omitempty"` // nil: it had no such day, or it was written before this was kept
}

// KeptDue is a day that an inspection gave, and that stands for as long as that inspection is the last.
type KeptDue struct {
	Last int64    `json:"last"` // the entry with which the inspection began
	Day  due.Date `json:"day"`
}

func (GoodsOnly) Kind() string      { return "goods only" }
func (g GoodsOnly) Subject() string { return "item:" + g.Mark }

func (g GoodsOnly) apply(tx *Tx, e Entry) error {
	item, found, err := tx.Item(e.Room, g.Mark)
	if err != nil || !found {
		return err
	}
	item.Use, item.KeptDue = flows.Goods, g.Due
	return tx.putItem(e.Room, item)
}

// putItem keeps an item as it is now.
func (tx *Tx) putItem(room string, item Item) error {
	body, err := json.Marshal(item)
	if err != nil {
		return err
	}
	err = tx.put(`UPDATE item SET maker = ?, model = ?, serial = ?, body = ? WHERE room = ? AND mark = ?`,
		item.Maker, item.Model, item.Serial, string(body), room, item.Mark)
	if err != nil {
		return err
	}
	if err := tx.reword(room, item); err != nil {
		return err
	}
	return tx.reckon(room, item.Mark)
}

// Maintained says that the entry's author worked on an item.
type Maintained struct {
	Mark string `json:"mark"`
	What string `json:"what"`
}

func (Maintained) Kind() string             { return "maintained" }
func (m Maintained) Subject() string        { return "item:" + m.Mark }
func (m Maintained) apply(*Tx, Entry) error { return nil }

// MaintainedBy is what somebody last did to an item since its last signed inspection began, and when.
func (tx *Tx) MaintainedBy(room, mark, by string) (what string, at time.Time, found bool, err error) {
	entries, err := tx.EntriesIn(room, "item:"+mark)
	if err != nil {
		return "", at, false, err
	}
	last, signed, err := tx.LastSigned(room, mark)
	if err != nil {
		return "", at, false, err
	}
	for _, e := range entries {
		if e.By != by || e.Kind != (Maintained{}).Kind() || signed && e.Seq < last.Seq {
			continue
		}
		ev, err := e.Event()
		if err != nil {
			return "", at, false, err
		}
		what, at, found = ev.(*Maintained).What, e.At, true
	}
	return what, at, found, nil
}

// Item finds an item by its mark, letters' case aside.
func (tx *Tx) Item(room, mark string) (Item, bool, error) {
	return one[Item](tx, `SELECT body FROM item WHERE room = ? AND mark = ? COLLATE NOCASE`, room, mark)
}

// ItemsAlike lists the items whose marks are easily taken for this one: letters' case, dashes and points, O and 0, and
// I, L and 1. The item of that very mark is among them.
func (tx *Tx) ItemsAlike(room, mark string) ([]Item, error) {
	return all[Item](tx, `SELECT body FROM item WHERE room = ? AND `+alike("mark")+` = `+alike("?")+` ORDER BY mark`, room, mark)
}

// Items lists a room's items by mark.
func (tx *Tx) Items(room string) ([]Item, error) {
	return all[Item](tx, `SELECT body FROM item WHERE room = ? ORDER BY mark`, room)
}

// CountItems counts a room's items, retired ones included.
func (tx *Tx) CountItems(room string) (n int, err error) {
	_, err = tx.get(`SELECT count(*) FROM item WHERE room = ?`, []any{room}, &n)
	return n, err
}

// ItemsLike lists the items of one maker, model and serial: what a new mark could be hiding. Letters' case, and
// spaces, dashes and points in a serial, are how people write; O and 0, and I, L and 1, are how they misread.
func (tx *Tx) ItemsLike(room, maker, model, serial string) ([]Item, error) {
	return all[Item](tx, `SELECT body FROM item WHERE room = ? AND maker = ? COLLATE NOCASE AND model = ? COLLATE NOCASE
		AND `+alike("serial")+` = `+alike("?")+` ORDER BY mark`, room, maker, model, serial)
}

// ItemsOfSerial lists the items of a serial, whoever made them; serials are the same as for ItemsLike.
func (tx *Tx) ItemsOfSerial(room, serial string) ([]Item, error) {
	return all[Item](tx, `SELECT body FROM item WHERE room = ? AND `+alike("serial")+` = `+alike("?")+` ORDER BY mark`, room, serial)
}

// alike is a serial or a mark in SQL with what is written or misread differently made the same. The indexes of
// the register hold the same text.
func alike(serial string) string {
	same := "upper(" + serial + ")"
	for _, pair := range [][2]string{{" ", ""}, {"-", ""}, {".", ""}, {"O", "0"}, {"I", "1"}, {"L", "1"}} {
		same = "replace(" + same + ", '" + pair[0] + "', '" + pair[1] + "')"
	}
	return same
}
