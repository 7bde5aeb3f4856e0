package due

import "time"

// beyondOffset is more than any zone lies apart from UTC: so far from a wall time read as UTC, a change of the clocks
// near it is over, or still to come.
const beyondOffset = 26 * time.Hour

// At is the instant at which a local day's wall time comes in a zone, by RFC 5545 section 3.3.5: a time that doesn't
// exist, because the clocks are put forward over it, is counted with the offset before; of one that comes twice the
// first is meant.
func At(day Date, hour, minute int, zone *time.Location) time.Time {
	wall := time.Date(day.Year, day.Month, day.Day, hour, minute, 0, 0, time.UTC)
	near := func(far time.Duration) (at time.Time, exists bool) {
		_, offset := wall.Add(far).In(zone).Zone()
		at = wall.Add(-time.Duration(offset) * time.Second).In(zone)
		return at, at.Format(time.DateTime) == wall.Format(time.DateTime)
	}
	before, exists := near(-beyondOffset)
	if after, existsAfter := near(beyondOffset); !exists && existsAfter {
		return after
	}
	return before
}

// Weekly is a wall time on some days of each week, in a zone. Days is indexed by time.Weekday; with none set it never
// comes.
type Weekly struct {
	Days         [7]bool
	Hour, Minute int
	Zone         *time.Location
}

// Daily is a wall time on every day.
func Daily(hour, minute int, zone *time.Location) Weekly {
	return Weekly{Days: [7]bool{true, true, true, true, true, true, true}, Hour: hour, Minute: minute, Zone: zone}
}

// within is how many days are looked through for the next one: a week, with room for a day that a zone leaves out.
const within = 16

// After is the first local day whose time comes after t, and when. A local day that a zone left out, as Samoa did with
// 30 December 2011, has no time. False: there is none.
func (w Weekly) After(t time.Time) (day Date, at time.Time, found bool) {
	from := On(t.In(w.Zone)).AddDays(-1) // a time that doesn't exist may come on the day after
	for n := range within {
		day := from.AddDays(n)
		if !w.Days[day.Weekday()] || On(At(day, 12, 0, w.Zone)) != day {
			continue
		}
		if at := At(day, w.Hour, w.Minute, w.Zone); at.After(t) {
			return day, at, true
		}
	}
	return Date{}, time.Time{}, false
}

// Between lists the local days whose times come after one instant and not after another, in order.
func (w Weekly) Between(after, until time.Time) []Date {
	var days []Date
	for {
		day, at, found := w.After(after)
		if !found || at.After(until) {
			return days
		}
		days, after = append(days, day), at
	}
}

// Weekday is the day of the week on which the first day of d falls.
func (d Date) Weekday() time.Weekday { return d.midnight().Weekday() }
