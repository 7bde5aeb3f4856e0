package due

import (
	"fmt"
)

// Life is how long an item may be used: so many years from when it was made, so many from its first use. 0
// years: no such limit. No law or standard gives the numbers; they come from the maker (Regulation (EU) 2016/425
// Annex II 1.4 and 2.4).
type Life struct {
	Made, FirstUse      Date
	MadeYears, UseYears int
}

// End is when a life ends. Its Date is the last day on which the item may be used, zero when no limit has a known date.
type End struct {
	Date    Date
	Bound   string // the date counted from, "made" or "first use"; empty without a Date
	Unknown bool   // a limit is declared and the date that it counts from isn't known: the end may come sooner
}

// Ends is the earliest of the limits that can be worked out. A month counts from its 1st and a year from 1
// January, and a life in use without a known first use counts from when the item was made: each the earliest
// that can be true.
func (l Life) Ends() End {
	var end End
	end.limit(l.MadeYears, l.Made, "made")
	if l.FirstUse.IsZero() {
		end.limit(l.UseYears, l.Made, "made")
	} else {
		end.limit(l.UseYears, l.FirstUse, "first use")
	}
	return end
}

// limit brings the end nearer by one limit.
func (e *End) limit(years int, from Date, bound string) {
	switch {
	case years <= 0:
		return
	case from.IsZero():
		e.Unknown = true
		return
	}
	if ends := from.AddYears(years); e.Date.IsZero() || ends.Before(e.Date) {
		e.Date, e.Bound = ends, bound
	}
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
