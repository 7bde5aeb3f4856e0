package store

import (
	"encoding/json"

	"becket/flows/due"
)

// Bundle is several items under a mark of its own: a set that is used as one, or a sealed bag. Each of its items keeps its
// own dates and records.
type Bundle struct {
	Mark   string     `json:"mark"`
	Kind   BundleKind `json:"kind"`
	Seal   string     `json:"seal,omitempty"`   // of a bag: the number on its seal
	Sealed due.Date   `json:"sealed,omitzero"`  // of a bag: since when
	Opened *Opened    `json:"opened,omitempty"` // of a bag: when it isn't sealed
}

// Opened is a bag's end as a sealed one, until it is sealed again.
type Opened struct {
	Seq    int64    `json:"seq"`
	Day    due.Date `json:"day"`
	Unlike bool     `json:"unlike,omitempty"` // the seal was broken, or another one
	Was    []string `json:"was"`              // what was in it
}

// BundleSubject names the entries of a set or bag in the journal.
func BundleSubject(mark string) string { return "bundle:" + mark }

// BundleKind tells sets and bags apart.
type BundleKind string

const (
	Set BundleKind = "set"
	Bag BundleKind = "bag"
)

// LookSeal: it was in a bag whose seal was broken or another one, found so on Day.
const LookSeal LookKind = "seal"

// SetMade makes a set of items. Its mark is never used again.
type SetMade struct {
	Mark  string   `json:"mark"`
	Parts []string `json:"parts"`
}

func (SetMade) Kind() string      { return "set" }
func (s SetMade) Subject() string { return BundleSubject(s.Mark) }

func (s SetMade) apply(tx *Tx, e Entry) error {
	if err := tx.putBundle(e.Room, Bundle{Mark: s.Mark, Kind: Set}); err != nil {
		return err
	}
	return tx.putParts(e.Room, s.Mark, s.Parts)
}

// PartsChanged takes parts out of a set and puts others in. The items taken out stay in the register by themselves.
type PartsChanged struct {
	Set string   `json:"set"`
	Out []string `json:"out,omitempty"`
	In  []string `json:"in,omitempty"`
	Why string   `json:"why,omitempty"`
}

func (PartsChanged) Kind() string      { return "parts" }
func (p PartsChanged) Subject() string { return BundleSubject(p.Set) }

func (p PartsChanged) apply(tx *Tx, e Entry) error {
	for _, mark := range p.Out {
		if err := tx.put(`DELETE FROM part WHERE room = ? AND mark = ? AND bundle = ?`, e.Room, mark, p.Set); err != nil {
			return err
		}
	}
	return tx.putParts(e.Room, p.Set, p.In)
}

// BagSealed says what is in a bag from a day on, and the number on its seal.
type BagSealed struct {
	Mark     string   `json:"mark"`
	Seal     string   `json:"seal"`
	Contents []string `json:"contents"`
	Day      due.Date `json:"day"`
}

func (BagSealed) Kind() string      { return "seal" }
func (b BagSealed) Subject() string { return BundleSubject(b.Mark) }

func (b BagSealed) apply(tx *Tx, e Entry) error {
	if err := tx.putBundle(e.Room, Bundle{Mark: b.Mark, Kind: Bag, Seal: b.Seal, Sealed: b.Day}); err != nil {
		return err
	}
	return tx.putParts(e.Room, b.Mark, b.Contents)
}

// BagOpened ends a seal. Where the seal was broken or another one, nobody knows what happened to what was in it.
type BagOpened struct {
	Mark   string   `json:"mark"`
	Seal   string   `json:"seal"` // as it was read; empty: broken, or gone
	Unlike bool     `json:"unlike,omitempty"`
	Day    due.Date `json:"day"`
}

func (BagOpened) Kind() string      { return "open" }
func (b BagOpened) Subject() string { return BundleSubject(b.Mark) }

func (b BagOpened) apply(tx *Tx, e Entry) error {
	bag, found, err := tx.Bundle(e.Room, b.Mark)
	if err != nil || !found {
		return err
	}
	parts, err := tx.Parts(e.Room, b.Mark)
	if err != nil {
		return err
	}
	bag.Opened = &Opened{Seq: e.Seq, Day: b.Day, Unlike: b.Unlike, Was: parts}
	if err := tx.putBundle(e.Room, bag); err != nil {
		return err
	}
	if err := tx.put(`DELETE FROM part WHERE room = ? AND bundle = ?`, e.Room, b.Mark); err != nil || !b.Unlike {
		return err
	}
	for _, mark := range parts {
		err := tx.move(e.Room, mark, func(_ *Item, c *Custody) {
			c.Look = &Look{Seq: e.Seq, Kind: LookSeal, From: bag.Sealed, Day: b.Day}
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func (tx *Tx) putBundle(room string, b Bundle) error {
	body, err := json.Marshal(b)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO bundle(room, mark, body) VALUES(?, ?, ?)
		ON CONFLICT(room, mark) DO UPDATE SET body = excluded.body`, room, b.Mark, string(body))
}

func (tx *Tx) putParts(room, bundle string, parts []string) error {
	for _, mark := range parts {
		if err := tx.put(`INSERT INTO part(room, mark, bundle) VALUES(?, ?, ?)`, room, mark, bundle); err != nil {
			return err
		}
	}
	return nil
}

// Bundle finds a set or a bag by its mark, letters' case aside.
func (tx *Tx) Bundle(room, mark string) (Bundle, bool, error) {
	return one[Bundle](tx, `SELECT body FROM bundle WHERE room = ? AND mark = ?`, room, mark)
}

// BundlesAlike lists the sets and bags whose marks are easily taken for this one, as ItemsAlike does.
func (tx *Tx) BundlesAlike(room, mark string) ([]Bundle, error) {
	return all[Bundle](tx, `SELECT body FROM bundle WHERE room = ? AND `+alike("mark")+` = `+alike("?")+` ORDER BY mark`, room, mark)
}

// OpenBags lists a room's bags that aren't sealed, by mark.
func (tx *Tx) OpenBags(room string) ([]Bundle, error) {
	return all[Bundle](tx, `SELECT body FROM bundle WHERE room = ? AND body ->> '$.opened' IS NOT NULL ORDER BY mark`, room)
}

// Parts lists the marks of what is in a set or a bag now.
func (tx *Tx) Parts(room, bundle string) ([]string, error) {
	return tx.marks(`SELECT mark FROM part WHERE room = ? AND bundle = ? ORDER BY mark`, room, bundle)
}

// PartOf finds the set or bag that an item is in; false for one that is in none.
func (tx *Tx) PartOf(room, mark string) (Bundle, bool, error) {
	return one[Bundle](tx, `SELECT b.body FROM part AS p JOIN bundle AS b ON b.room = p.room AND b.mark = p.bundle WHERE p.room = ? AND p.mark = ?`, room, mark)
}
