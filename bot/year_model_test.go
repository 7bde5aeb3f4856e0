package bot

import "time"

// cardIndex is what a careful keeper would have on cards, without Becket: a second working-out of what may be used, what is
// held and when it falls due, in a few lines of its own that share nothing with the program's.
type cardIndex map[string]*card

type card struct {
	mark      string
	last      time.Time // the day of the last full inspection, at midnight UTC
	verdict   string    // as it was signed
	lifeEnds  time.Time // the last day of its life; zero: none
	holds     int
	retired   bool
	unseen    bool
	lookAgain string // why it has to be looked at, whatever its dates; empty: nothing
	holder    string
	grooves   []groove // of what is measured, oldest first
}

const everyMonths = 6 // people's kit: LOLER 1998 reg 9(3)

// dueOn is the last day on which the last inspection still counts; zero: it never did, or not any more.
func (c *card) dueOn() time.Time {
	months := 0
	switch {
	case c.last.IsZero():
		return time.Time{}
	case c.verdict == "fit":
		months = everyMonths
	case c.verdict == "watch":
		months = everyMonths / 2
	default:
		return time.Time{}
	}
	due := monthsOn(c.last, months)
	if !c.lifeEnds.IsZero() && c.lifeEnds.Before(due) {
		due = c.lifeEnds
	}
	if wears := wearsOut(c.grooves); wears.After(c.last) && wears.Before(due) {
		return wears
	}
	return due
}

// usable tells whether the item may be used on a day, given at midnight UTC.
func (c *card) usable(day time.Time) bool {
	due := c.dueOn()
	return !c.retired && c.holds == 0 && !c.unseen && c.lookAgain == "" && !due.IsZero() && !day.After(due)
}

// inspected writes a signed inspection on the card.
func (c *card) inspected(day time.Time, verdict string) {
	c.last, c.verdict, c.lookAgain = day, verdict, ""
	switch verdict {
	case "quarantine":
		c.holds++
	case "retire":
		c.retired = true
	}
}

// monthsOn is the same day some months later, or the month's last where it has no such day (Dodds v Walker [1981] UKHL).
func monthsOn(day time.Time, months int) time.Time {
	first := time.Date(day.Year(), day.Month()+time.Month(months), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return first.AddDate(0, 0, min(day.Day(), last)-1)
}

// dayOf is the day that a clock on the wall shows, at midnight UTC.
func dayOf(t time.Time, zone *time.Location) time.Time {
	y, m, d := t.In(zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}
