package store

import (
	"time"

	"becket/flows"
	"becket/flows/due"
)

// Loan says that an item isn't the team's own: personal, hired or borrowed kit, a visitor's item.
type Loan struct {
	Owner    string   `json:"owner"`
	Evidence string   `json:"evidence,omitempty"` // what shows its last inspection; empty: nothing does
	Examined due.Date `json:"examined,omitzero"`  // the day of that inspection
	Until    due.Date `json:"until"`              // the last day on which it may be used here
}

// Evidenced is what stands for an item's last inspection before there is one of ours: that by its owner, where
// something shows it. Only its day and verdict are set.
func (i Item) Evidenced() (Inspection, bool) {
	if i.Loan == nil || i.Loan.Evidence == "" || i.Loan.Examined.IsZero() {
		return Inspection{}, false
	}
	return Inspection{Day: i.Loan.Examined, Verdict: flows.Fit}, true
}

// loanEnds is the last day of a loan; zero for the team's own.
func (i Item) loanEnds() due.Date {
	if i.Loan == nil {
		return due.Date{}
	}
	return i.Loan.Until
}

// WentBack says that an item went back to its owner on a day. It leaves the register; its mark isn't used again.
type WentBack struct {
	Mark string   `json:"mark"`
	Day  due.Date `json:"day"`
}

func (WentBack) Kind() string      { return "went back" }
func (w WentBack) Subject() string { return ItemSubject(w.Mark) }

func (w WentBack) apply(tx *Tx, e Entry) error {
	return tx.move(e.Room, w.Mark, func(item *Item, c *Custody) {
		item.Holder = ""
		c.Since, c.Visitor, c.For, c.Unseen = time.Time{}, "", "", due.Date{}
		c.Gone = w.Day
	})
}
