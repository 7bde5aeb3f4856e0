package store

import (
	"fmt"

	"becket/flows/due"
)

// What the register says of an item and may have wrong, in the words by which it is corrected.
const (
	CorrectMade     = "made"
	CorrectFirstUse = "first used"
	CorrectMaker    = "maker"
	CorrectModel    = "model"
	CorrectSerial   = "serial"
)

// Correction is something that the register had wrong of an item. Dates are written as due.Date writes them; an empty From
// wasn't known.
type Correction struct {
	Mark     string `json:"mark"`
	What     string `json:"what"` // one of the constants above
	From     string `json:"from,omitempty"`
	To       string `json:"to"`
	Why      string `json:"why"`
	Document string `json:"document,omitempty"` // the title of a paper kept with the item; empty: none was named
}

// Identity tells whether it changes which item it is, rather than a date.
func (c Correction) Identity() bool { return c.What != CorrectMade && c.What != CorrectFirstUse }

// Now is what an item says of what is to be corrected.
func (c Correction) Now(item Item) string {
	day := func(d due.Date) string {
		if d.IsZero() {
			return ""
		}
		return d.String()
	}
	switch c.What {
	case CorrectMade:
		return day(item.Made)
	case CorrectFirstUse:
		return day(item.FirstUse)
	case CorrectMaker:
		return item.Maker
	case CorrectModel:
		return item.Model
	}
	return item.Serial
}

// In is the item as it is once corrected.
func (c Correction) In(item Item) (Item, error) {
	var err error
	switch c.What {
	case CorrectMade:
		item.Made, err = due.Parse(c.To)
	case CorrectFirstUse:
		item.FirstUse, err = due.Parse(c.To)
	case CorrectMaker:
		item.Maker = c.To
	case CorrectModel:
		item.Model = c.To
	case CorrectSerial:
		item.Serial = c.To
	}
	if err != nil {
		return item, fmt.Errorf("correcting %s: %w", c.Mark, err)
	}
	return item, nil
}

// CorrectionAsked is the word of the first of two people, by which nothing changes yet.
type CorrectionAsked struct{ Correction }

func (CorrectionAsked) Kind() string             { return "correction asked" }
func (c CorrectionAsked) Subject() string        { return ItemSubject(c.Mark) }
func (c CorrectionAsked) apply(*Tx, Entry) error { return nil }

// ItemCorrected changes what the register says of an item. Holds stay as they are, and so does the day on which it is due,
// unless that comes nearer.
type ItemCorrected struct {
	Correction
	First string   `json:"first,omitempty"` // who asked for it before; empty: nobody had to
	Due   *KeptDue `json:"due,omitempty"`   // nil: the day comes no later by it
}

func (ItemCorrected) Kind() string      { return "corrected" }
func (c ItemCorrected) Subject() string { return ItemSubject(c.Mark) }

func (c ItemCorrected) apply(tx *Tx, e Entry) error {
	item, found, err := tx.Item(e.Room, c.Mark)
	if err != nil || !found {
		return err
	}
	if item, err = c.In(item); err != nil {
		return err
	}
	if c.Due != nil {
		item.KeptDue = c.Due
	}
	return tx.putItem(e.Room, item)
}

// AskedToCorrect are those who asked for the same correction of what the register still says, the first of them first.
func (tx *Tx) AskedToCorrect(room string, c Correction) (by []string, err error) {
	entries, err := tx.EntriesIn(room, ItemSubject(c.Mark))
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return nil, err
		}
		switch ev := ev.(type) {
		case *CorrectionAsked:
			if ev.What == c.What && ev.From == c.From && ev.To == c.To {
				by = append(by, e.By)
			}
		case *ItemCorrected:
			if ev.What == c.What {
				by = nil
			}
		}
	}
	return by, nil
}
