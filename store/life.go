package store

import "becket/flows/due"

// LifeLimited writes down a date by which an item's life ends: one that the maker printed on it, or one of the team's own
// rule. It brings an end nearer, and never puts one off. Made and FirstUse fill in what wasn't known, and change nothing
// that was.
type LifeLimited struct {
	Mark     string   `json:"mark"`
	Printed  due.Date `json:"printed,omitzero"`
	Own      due.Date `json:"own,omitzero"`
	Made     due.Date `json:"made,omitzero"`
	FirstUse due.Date `json:"first_use,omitzero"`
	Why      string   `json:"why,omitempty"`
}

func (LifeLimited) Kind() string      { return "life" }
func (l LifeLimited) Subject() string { return ItemSubject(l.Mark) }

func (l LifeLimited) apply(tx *Tx, e Entry) error {
	item, found, err := tx.Item(e.Room, l.Mark)
	if err != nil || !found {
		return err
	}
	item.Printed, item.OwnLimit = nearer(item.Printed, l.Printed), nearer(item.OwnLimit, l.Own)
	if item.Made.IsZero() {
		item.Made = l.Made
	}
	if item.FirstUse.IsZero() {
		item.FirstUse = l.FirstUse
	}
	return tx.putItem(e.Room, item)
}

// nearer is the earlier of two dates, of which either may be unknown.
func nearer(a, b due.Date) due.Date {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}
