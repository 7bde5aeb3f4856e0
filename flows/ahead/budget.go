// Package ahead says what a store will need: what has to be replaced in the months to come, and what that costs, as a range. It is pure and
// knows no clock.
package ahead

import (
	"slices"

	"becket/flows/due"
)

// Need is an item that will have to be replaced.
type Need struct {
	Mark    string
	Latest  due.Date // when it has to be replaced at the latest: its life ends, or it is retired; unknown where nothing ends it
	Soonest due.Date // when wear may end it first; unknown where nothing is foretold
	Lasts   int      // how many months a new one may be used at most; 0: no end is known
	Price   Money
	Priced  bool
}

// Month is what one month asks for.
type Month struct {
	First     due.Date // its first day
	Certain   []string // marks that have to be replaced in it at the latest, sorted
	Perhaps   []string // marks that wear may end in it at the soonest
	Low, High Money    // what it costs from the start to the end of this month: at least, at most
}

// Budget is the months to come, and their sum.
type Budget struct {
	Months      []Month // only those that ask for something
	Low, High   Money
	Least, Most int      // how many items
	Unpriced    []string // marks that are counted and cost nothing here, since nobody gave a price
}

// For reckons up so many months from today's. What was to be replaced before today falls into the first. A replacement that lives less long
// than the months to come is itself replaced.
func For(today due.Date, months int, needs []Need) Budget {
	var b Budget
	first := due.Date{Year: today.Year, Month: today.Month, Day: 1}
	low, high := make([]Money, months), make([]Money, months)
	all := make([]Month, months)
	for _, n := range needs {
		latest := n.falls(first, months, n.Latest)
		soonest := latest
		if !n.Soonest.IsZero() && (n.Latest.IsZero() || n.Soonest.Before(n.Latest)) {
			soonest = n.falls(first, months, n.Soonest)
			if len(soonest) > 0 {
				all[soonest[0]].Perhaps = append(all[soonest[0]].Perhaps, n.Mark)
			}
		}
		for _, m := range latest {
			all[m].Certain = append(all[m].Certain, n.Mark)
			low[m] += n.Price
		}
		for _, m := range soonest {
			high[m] += n.Price
		}
		b.Least += len(latest)
		b.Most += max(len(soonest), len(latest))
		if !n.Priced && len(soonest)+len(latest) > 0 {
			b.Unpriced = append(b.Unpriced, n.Mark)
		}
	}
	for m := range all {
		b.Low += low[m]
		b.High += high[m]
		if len(all[m].Certain)+len(all[m].Perhaps) == 0 {
			continue
		}
		slices.Sort(all[m].Certain)
		slices.Sort(all[m].Perhaps)
		all[m].First, all[m].Low, all[m].High = first.AddMonths(m), b.Low, b.High
		b.Months = append(b.Months, all[m])
	}
	slices.Sort(b.Unpriced)
	return b
}

// falls lists the months, from 0, in which something that ends on a day has to be replaced, and its replacements after it.
func (n Need) falls(first due.Date, months int, ends due.Date) (in []int) {
	if ends.IsZero() {
		return nil
	}
	if ends.Before(first) {
		ends = first
	}
	end := first.AddMonths(months)
	for ; ends.Before(end); ends = ends.AddMonths(n.Lasts) {
		last := ends.First()
		in = append(in, 12*(last.Year-first.Year)+int(last.Month-first.Month))
		if n.Lasts <= 0 {
			break
		}
	}
	return in
}
