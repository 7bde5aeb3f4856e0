package due

import (
	"fmt"
)

// Life is how long an item may be used: so many years from when it was made, so many from its first use, to the date
// that the maker printed on it, and to that of the team's own limit. 0 years or no date: no such limit. No law or
// standard gives the numbers; they come from the maker (Regulation (EU) 2016/425 Annex II 1.4 and 2.4).
type Life struct {
	Made, FirstUse      Date
	MadeYears, UseYears int
	Printed, Own        Date
}

// Limit is one of the limits of a life. Ends is the last day on which the item may be used by it; zero where the date that
// it counts from isn't known.
type Limit struct {
	Bound string // what it counts from: BoundMade, BoundFirstUse, BoundPrinted or BoundOwn
	From  Date
	Years int // 0 for a date that stands by itself
	Ends  Date
}

// What a limit of a life counts from.
const (
	BoundMade     = "made"
	BoundFirstUse = "first use"
	BoundPrinted  = "printed"
	BoundOwn      = "own limit"
)

// End is when a life ends. Its Date is the last day on which the item may be used, zero when no limit has a known date.
type End struct {
	Date    Date
	Bound   string // of the limit that came first; empty without a Date
	Unknown bool   // a limit is declared and the date that it counts from isn't known: the end may come sooner
}

// Limits lists what limits a life. A month counts from its 1st and a year from 1 January, a printed month too, and a life
// in use without a known first use counts from when the item was made: each the earliest that can be true.
func (l Life) Limits() []Limit {
	var all []Limit
	years := func(n int, from Date, bound string) {
		if n > 0 {
			all = append(all, Limit{bound, from, n, from.AddYears(n)})
		}
	}
	years(l.MadeYears, l.Made, BoundMade)
	if l.FirstUse.IsZero() {
		years(l.UseYears, l.Made, BoundMade)
	} else {
		years(l.UseYears, l.FirstUse, BoundFirstUse)
	}
	if !l.Printed.IsZero() {
		all = append(all, Limit{Bound: BoundPrinted, From: l.Printed, Ends: l.Printed.First()})
	}
	if !l.Own.IsZero() {
		all = append(all, Limit{Bound: BoundOwn, From: l.Own, Ends: l.Own.First()})
	}
	return all
}

// Ends is the earliest of the limits that can be worked out; of equal ones, the first as Limits lists them.
func (l Life) Ends() End {
	var end End
	for _, limit := range l.Limits() {
		switch {
		case limit.Ends.IsZero():
			end.Unknown = true
		case end.Date.IsZero() || limit.Ends.Before(end.Date):
			end.Date, end.Bound = limit.Ends, limit.Bound
		}
	}
	return end
}

// Over tells whether the life is over on a day: its last day may still be used.
func (e End) Over(day Date) bool { return !e.Date.IsZero() && day.After(e.Date) }

// longestLife is more years than any maker gives; a longer one is a slip of the finger.
const longestLife = 100

// Check refuses dates that can't be true on the day it is asked, as far as they are known.
func (l Life) Check(today Date) error {
	switch {
	case l.MadeYears < 0 || l.MadeYears > longestLife || l.UseYears < 0 || l.UseYears > longestLife:
		return fmt.Errorf("a life is between 1 and %d years, or 0 for no limit; look at the years again", longestLife)
	case l.Made.After(today):
		return fmt.Errorf("it can't have been made on %s, which is still to come; look at the date again", l.Made.Words())
	case l.FirstUse.After(today):
		return fmt.Errorf("its first use can't have been on %s, which is still to come; look at the date again", l.FirstUse.Words())
	case !l.FirstUse.IsZero() && l.FirstUse.Last().Before(l.Made):
		return fmt.Errorf("its first use, %s, is before it was made, %s; look at both dates again", l.FirstUse.Words(), l.Made.Words())
	}
	return nil
}
