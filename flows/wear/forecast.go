package wear

import (
	"math"

	"becket/flows/due"
)

// Level is how sure a forecast is to be: 95 % of its intervals hold the truth, if wear goes on as it did.
const Level = 0.95

// Reading is the worst repeat of one examination.
type Reading struct {
	On    due.Date
	Value float64
}

// Course is how one place of one item wore, and the limit that it must not reach.
type Course struct {
	Readings []Reading // oldest first
	Limit    float64
	Down     bool    // whether wear makes the value smaller
	Doubt    float64 // half the width within which a reading may be off, in the unit of the readings
}

// Outcome says whether a forecast can be made, and why not.
type Outcome uint8

// What can come of looking ahead. The zero value promises nothing.
const (
	TooFew   Outcome = iota // fewer than three readings, or all on one day
	NotShown                // a slope like this is within what readings differ by anyway
	Away                    // what was measured goes away from the limit, which wear never does
	Reached                 // the last reading is at the limit or within the doubt of it: there is nothing to foretell
	Foretold
)

// Forecast is what readings so far let anyone say about the limit. It is a help for planning, and never a reason to look later.
type Forecast struct {
	Outcome Outcome
	Line    Line     // X in days after the first reading; only where there are enough
	Best    due.Date // when the line comes to the limit
	From    due.Date // the earliest that is likely, never before the last reading; of Reached, the day of the last reading
	To      due.Date // the latest that is likely
	Until   due.Date // as long again as the readings reach back: beyond it nothing is said
}

const (
	farthest = 100 * 365 // how far ahead a day is still worth writing down, in days
	rounding = 1e-6      // of a day: what falls short of a whole one by less does so by rounding only
)

// Forecast looks ahead along a straight line. The spread about it is never taken to be smaller than what the instrument's doubt
// makes of it (a rectangle of this half width: JCGM 100:2008, 4.3.7).
func (c Course) Forecast() Forecast {
	if len(c.Readings) == 0 {
		return Forecast{}
	}
	first, last := c.Readings[0].On, c.Readings[len(c.Readings)-1]
	span := first.DaysUntil(last.On)
	f := Forecast{Until: last.On.AddDays(span)}
	line, err := Fit(c.points())
	if err == nil {
		f.Line = line.AtLeastSpread(c.Doubt / math.Sqrt(3))
	}
	switch {
	case c.at(last.Value):
		f.Outcome, f.From = Reached, last.On
		return f
	case err != nil:
		return f
	case !f.Line.Shown(Level):
		f.Outcome = NotShown
		return f
	case f.Line.Slope < 0 != c.Down:
		f.Outcome = Away
		return f
	}
	between, _ := f.Line.ReachedBetween(c.Limit, Level)
	day := func(x float64) due.Date {
		return first.AddDays(int(math.Floor(min(farthest, max(float64(span), x)) + rounding)))
	}
	f.Outcome = Foretold
	f.Best, f.From, f.To = day(f.Line.Reaches(c.Limit)), day(between.Low), day(between.High)
	return f
}

// points is the course with days after the first reading for X.
func (c Course) points() []Point {
	points := make([]Point, len(c.Readings))
	for i, r := range c.Readings {
		points[i] = Point{float64(c.Readings[0].On.DaysUntil(r.On)), r.Value}
	}
	return points
}

// at tells whether a value is at the limit, beyond it, or within the doubt of it.
func (c Course) at(value float64) bool {
	if c.Down {
		return value-c.Doubt <= c.Limit
	}
	return value+c.Doubt >= c.Limit
}

// Far tells whether the limit isn't likely to be reached for as long ahead as anything may be said.
func (f Forecast) Far() bool { return f.Outcome == Foretold && f.From.After(f.Until) }

// Look is the day by which to measure again, as far as the readings tell: the earliest that the limit is likely, and never farther ahead than
// the readings reach back. False where they tell nothing.
func (f Forecast) Look() (due.Date, bool) {
	switch f.Outcome {
	case Reached:
		return f.From, true
	case Foretold:
		if f.Far() {
			return f.Until, true
		}
		return f.From, true
	}
	return due.Date{}, false
}

// Nearer is an item's own day, or the earlier one by which to measure again: never later than its own. An own day that isn't
// known stays so.
func (f Forecast) Nearer(own due.Date) due.Date {
	if look, told := f.Look(); told && look.Before(own) {
		return look
	}
	return own
}
