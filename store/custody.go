package store

import (
	"encoding/json"
	"time"

	"becket/flows"
	"becket/flows/due"
)

// Custody is what is known of where an item has been, beside its holder and its place.
type Custody struct {
	Since   time.Time `json:"since,omitzero"`    // since when its holder has it; zero in the store
	Visitor string    `json:"visitor,omitempty"` // who uses it, where that is nobody of the team
	For     flows.Use `json:"for,omitempty"`     // what it was issued for
	Unseen  due.Date  `json:"unseen,omitzero"`   // the day from which it wasn't seen; zero: it is where it should be
	Gone    due.Date  `json:"gone,omitzero"`     // the day on which it went back to its owner
	Look    *Look     `json:"look,omitempty"`
}

// Look is a reason to look at an item before it is used: its history between two days isn't known. An inspection that
// began after it ends it.
type Look struct {
	Seq  int64    `json:"seq"` // the entry that gave the reason
	Kind LookKind `json:"kind"`
	From due.Date `json:"from,omitzero"`
	Day  due.Date `json:"day"`
}

// After tells whether there is such a reason, younger than an item's last signed inspection.
func (l *Look) After(last Inspection) bool { return l != nil && l.Seq > last.Seq }

// LookKind says why an item's history isn't known.
type LookKind string

// LookFound: it was out of sight from From, and found again on Day.
const LookFound LookKind = "found"

// Issued hands an item out. Who has it answers for it, also where a visitor uses it.
type Issued struct {
	Mark    string    `json:"mark"`
	To      string    `json:"to"`
	From    string    `json:"from,omitempty"` // who had it; empty: the store
	Visitor string    `json:"visitor,omitempty"`
	For     flows.Use `json:"for"`
	Bundle  string    `json:"bundle,omitempty"` // the set or bag with which it was issued
}

func (Issued) Kind() string      { return "issue" }
func (i Issued) Subject() string { return "item:" + i.Mark }

func (i Issued) apply(tx *Tx, e Entry) error {
	return tx.move(e.Room, i.Mark, func(item *Item, c *Custody) {
		item.Holder = i.To
		c.Since, c.Visitor, c.For = e.At, i.Visitor, i.For
	})
}

// Returned takes an item back into the store.
type Returned struct {
	Mark  string `json:"mark"`
	From  string `json:"from,omitempty"`  // who had it
	Place string `json:"place,omitempty"` // empty: where it was kept before
}

func (Returned) Kind() string      { return "return" }
func (r Returned) Subject() string { return "item:" + r.Mark }

func (r Returned) apply(tx *Tx, e Entry) error {
	return tx.move(e.Room, r.Mark, func(item *Item, c *Custody) {
		item.Holder = ""
		c.Since, c.Visitor, c.For = time.Time{}, "", ""
		if r.Place != "" {
			item.Place = r.Place
		}
	})
}

// NotSeen says that an item wasn't where it should be when somebody looked, on a day. It stays due.
type NotSeen struct {
	Mark string   `json:"mark"`
	Day  due.Date `json:"day"`
	Why  string   `json:"why,omitempty"`
}

func (NotSeen) Kind() string      { return "not seen" }
func (n NotSeen) Subject() string { return "item:" + n.Mark }

func (n NotSeen) apply(tx *Tx, e Entry) error {
	return tx.move(e.Room, n.Mark, func(_ *Item, c *Custody) {
		if c.Unseen.IsZero() { // looked for again, it is missing since the first time
			c.Unseen = n.Day
		}
	})
}

// Found says where an item that wasn't seen turned up, on a day. What happened to it meanwhile nobody knows.
type Found struct {
	Mark  string   `json:"mark"`
	Place string   `json:"place"`
	Day   due.Date `json:"day"`
}

func (Found) Kind() string      { return "found" }
func (f Found) Subject() string { return "item:" + f.Mark }

func (f Found) apply(tx *Tx, e Entry) error {
	return tx.move(e.Room, f.Mark, func(item *Item, c *Custody) {
		c.Look = &Look{Seq: e.Seq, Kind: LookFound, From: c.Unseen, Day: f.Day}
		c.Unseen = due.Date{}
		item.Place = f.Place
	})
}

// move changes where an item is, and what follows from that.
func (tx *Tx) move(room, mark string, change func(*Item, *Custody)) error {
	item, found, err := tx.Item(room, mark)
	if err != nil || !found {
		return err
	}
	c, err := tx.Custody(room, item.Mark)
	if err != nil {
		return err
	}
	change(&item, &c)
	body, err := json.Marshal(c)
	if err != nil {
		return err
	}
	err = tx.put(`INSERT INTO custody(room, mark, body) VALUES(?, ?, ?)
		ON CONFLICT(room, mark) DO UPDATE SET body = excluded.body`, room, item.Mark, string(body))
	if err != nil {
		return err
	}
	return tx.putItem(room, item)
}

// Custody finds what is known of where an item has been; zero for one that never moved.
func (tx *Tx) Custody(room, mark string) (Custody, error) {
	c, _, err := one[Custody](tx, `SELECT body FROM custody WHERE room = ? AND mark = ?`, room, mark)
	return c, err
}

// Moved tells whether an item was issued, taken back, not seen or found since it was taken in.
func (tx *Tx) Moved(room, mark string) (bool, error) {
	_, moved, err := one[Custody](tx, `SELECT body FROM custody WHERE room = ? AND mark = ?`, room, mark)
	return moved, err
}

// IssuedTo lists the items that somebody has, by mark.
func (tx *Tx) IssuedTo(room, person string) ([]Item, error) {
	return all[Item](tx, `SELECT body FROM item WHERE room = ? AND body ->> '$.holder' = ? ORDER BY mark`, room, person)
}

// NotSeenNow lists the marks of a room's items that weren't seen and haven't been found.
func (tx *Tx) NotSeenNow(room string) ([]string, error) {
	return tx.marks(`SELECT mark FROM custody WHERE room = ? AND body ->> '$.unseen' IS NOT NULL ORDER BY mark`, room)
}
