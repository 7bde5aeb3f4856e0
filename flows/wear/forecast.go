package wear

import (
	"cmp"
	"math"
	"slices"

	"becket/flows/due"
)

// Level is how sure a forecast is to be: 95 % of its intervals hold the truth, if wear goes on as it did.
const Level = 0.95

// Reading is the worst repeat of one examination.
type Reading struct {
	On    due.Date `json:"on"`
	Value float64  `json:"value"`
	Doubt float64  `json:"doubt"` // half the width within which it may be off, in its own unit: that of the instrument in hand
}

// Course is how one place of one item wore, and the limit that it must not reach. It is kept beside what it foretells.
type Course struct {
	Readings []Reading `json:"readings"`
	Limit    float64   `json:"limit"`
	Down     bool      `json:"down,omitempty"` // whether wear makes the value smaller
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
	From    due.Date // the earliest that is likely, after the last reading; of Reached, the day of the last reading
	To      due.Date // the latest that is likely
	Halved  bool     // whether From is when half of what was left would be gone, since the interval told nothing
	Until   due.Date // as long again as the readings reach back: beyond it nothing is said
}

const (
	farthest = 100 * 365 // how far ahead a day is still worth writing down, in days
	rounding = 1e-6      // of a day: what falls short of a whole one by less does so by rounding only
)

// Forecast looks ahead along a straight line, in whichever order the readings come. The spread about it is never taken to be smaller
// than what the instrument's doubt makes of it (a rectangle of this half width: JCGM 100:2008, 4.3.7).
//
// The earliest likely day is the lower end of Fieller's interval. Few readings tell so little that this may be no later than the last of
// them, which measured that the limit wasn't reached. Then it is the day on which half of what was left would be gone at the fastest
// pace that is likely, unless the line itself is there sooner: to be told to look again at once would be to learn nothing.
func (c Course) Forecast() Forecast {
	if len(c.Readings) == 0 {
		return Forecast{}
	}
	c.Readings = slices.SortedFunc(slices.Values(c.Readings), c.order) // so that no order of entries matters, not even by rounding
	first, last := c.Readings[0].On, c.Readings[len(c.Readings)-1]
	span := first.DaysUntil(last.On)
	f := Forecast{Until: last.On.AddDays(span)}
	line, err := Fit(c.points())
	if err == nil {
		f.Line = c.doubted(line)
	}
	switch {
	case c.at(last):
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
	if !f.From.After(last.On) {
		half := day(float64(span) + c.left(last)/f.fastest()/2)
		f.Halved, f.From = true, latest(earliest(half, f.Best, f.Until), last.On.AddDays(1))
	}
	return f
}

// Wears tells whether the readings show wear, whatever the limit: a slope towards harm that isn't within what readings differ by anyway.
func (c Course) Wears() bool {
	line, err := Fit(c.points())
	if err != nil {
		return false
	}
	line = c.doubted(line)
	return line.Shown(Level) && line.Slope < 0 == c.Down
}

// doubted is a line with a spread no smaller than what the largest doubt among the readings makes of it.
func (c Course) doubted(l Line) Line {
	most := 0.0
	for _, r := range c.Readings {
		most = max(most, r.Doubt)
	}
	return l.AtLeastSpread(most / math.Sqrt(3))
}

// left is how far a reading is from the limit, its doubt taken off.
func (c Course) left(r Reading) float64 { return math.Abs(c.Limit-r.Value) - r.Doubt }

// fastest is the fastest pace that is likely, in the unit of the readings a day.
func (f Forecast) fastest() float64 {
	pace := f.Line.SlopeBand(Level)
	return max(math.Abs(pace.Low), math.Abs(pace.High))
}

// order is by day, and of one day the worse later.
func (c Course) order(a, b Reading) int {
	worse := 1.0
	if c.Down {
		worse = -1
	}
	return cmp.Or(a.On.Compare(b.On), cmp.Compare(worse*a.Value, worse*b.Value), cmp.Compare(a.Doubt, b.Doubt))
}

// points is the course with days after the first reading for X.
func (c Course) points() []Point {
	points := make([]Point, len(c.Readings))
	for i, r := range c.Readings {
		points[i] = Point{float64(c.Readings[0].On.DaysUntil(r.On)), r.Value}
	}
	return points
}

// at tells whether a reading is at the limit, beyond it, or within its doubt of it, as the rules judge it.
func (c Course) at(r Reading) bool {
	if c.Down {
		return r.Value-r.Doubt <= c.Limit
	}
	return r.Value+r.Doubt >= c.Limit
}

// Far tells whether the limit isn't likely to be reached for as long ahead as anything may be said.
func (f Forecast) Far() bool { return f.Outcome == Foretold && f.From.After(f.Until) }

// Look is the day by which to measure again, the earliest that the limit is likely; false where the readings tell of none. A limit that is far moves
// nothing: the end of what the readings tell is no day on which anything is likely. Nor does one that is reached: the rules have
// judged that reading.
func (f Forecast) Look() (due.Date, bool) {
	if f.Outcome != Foretold || f.Far() {
		return due.Date{}, false
	}
	return f.From, true
}

func earliest(days ...due.Date) due.Date { return slices.MinFunc(days, due.Date.Compare) }
func latest(days ...due.Date) due.Date   { return slices.MaxFunc(days, due.Date.Compare) }
