package picture

import (
	"math"
	"strconv"

	"becket/flows/due"
	"becket/flows/wear"
)

// Worn is what the picture of one place shows.
type Worn struct {
	Title    string
	Unit     string
	Course   wear.Course // has a reading at least
	Limited  bool        // whether its limit is known
	Forecast wear.Forecast
	Life     due.Date // the last day of the item's life; zero: none is given
	Words    Words
}

// Words are what stands in the picture beside numbers and days.
type Words struct {
	Limit   string // on the line of the limit, with what it means
	Reading string // of a spot and its bar
	Goes    string // of the line ahead
	Band    string // of where further readings may lie
	Soonest string // at the earliest day that the limit is likely
	Life    string // of the line on which the item's life ends
	Later   string // of the same day, where it is later than the picture goes
}

// The picture's measures, in points.
const (
	width, height = 560.0, 396.0
	left, right   = 58.0, 540.0
	top, bottom   = 44.0, 296.0
	margin        = 12.0 // before the first reading
	small, usual  = 10.0, 12.0
	large         = 15.0
)

// plot puts days and values onto paper.
type plot struct {
	Picture
	first     due.Date
	days      float64
	low, high float64
}

// Wear draws the readings of a place over time, its limit, and what is foretold.
func Wear(w Worn) Picture {
	p := newPlot(w)
	p.title(w.Title)
	p.text(Place{left, top - 7}, small, Right, false, w.Unit)
	p.values()
	p.calendar()
	if w.Limited {
		p.limit(w)
	}
	p.ahead(w)
	if p.shows(w.Life) {
		high, low := top, bottom
		if w.Course.Down { // it stops before the words that stand in that corner
			high += 16
		} else {
			low -= 16
		}
		p.lifeEnd(p.on(w.Life), high, low)
	}
	for _, r := range w.Course.Readings {
		p.reading(r)
	}
	p.legend(w)
	return p.Picture
}

// title writes what the picture is of, in letters as large as leave it on the paper; what is longer still is cut.
func (p *plot) title(says string) {
	size := large
	for ; size > small && boldWidth(says, size) > right-left; size-- {
	}
	if letters := []rune(says); boldWidth(says, size) > right-left {
		for len(letters) > 0 && boldWidth(string(letters)+"…", size) > right-left {
			letters = letters[:len(letters)-1]
		}
		says = string(letters) + "…"
	}
	p.text(Place{left, 22}, size, Left, true, says)
}

// newPlot chooses how far days and values go: as far as is shown, and a little beyond.
func newPlot(w Worn) *plot {
	readings := w.Course.Readings
	p := &plot{Picture: Picture{Width: width, Height: height}, first: readings[0].On, low: math.Inf(1), high: math.Inf(-1)}
	last := readings[len(readings)-1].On
	end := last.AddMonths(1)
	if w.Forecast.Outcome == wear.Foretold {
		end = w.Forecast.Until
	}
	p.days = math.Max(30, float64(p.first.DaysUntil(end)))
	within := func(v float64) { p.low, p.high = math.Min(p.low, v), math.Max(p.high, v) }
	for _, r := range readings {
		within(r.Value - r.Doubt)
		within(r.Value + r.Doubt)
	}
	if w.Limited {
		within(w.Course.Limit)
	}
	if w.Forecast.Outcome == wear.Foretold {
		within(w.Forecast.Line.At(p.days))
	}
	room := math.Max((p.high-p.low)*0.08, 0.01)
	p.low, p.high = p.low-room, p.high+room
	return p
}

func (p *plot) x(day float64) float64 { return left + margin + (right-left-margin)*day/p.days }

func (p *plot) y(value float64) float64 {
	return bottom - (bottom-top)*(value-p.low)/(p.high-p.low)
}

func (p *plot) on(d due.Date) float64 { return p.x(float64(p.first.DaysUntil(d))) }

// values draws the scale at the left, in round steps.
func (p *plot) values() {
	step, places := roundStep((p.high - p.low) / 8)
	for n := math.Ceil(p.low / step); n*step <= p.high; n++ {
		y := p.y(n * step)
		p.line(Place{left, y}, Place{right, y}, 0.5, 0.85)
		p.text(Place{left - 6, y + 3.5}, small, Right, false, strconv.FormatFloat(n*step+0, 'f', places, 64))
	}
	p.line(Place{left, top}, Place{left, bottom}, 1, 0)
	p.line(Place{left, bottom}, Place{right, bottom}, 1, 0)
}

// roundStep is the least of 1, 2 and 5 times a power of ten that isn't less than this, and how many digits it has behind the point.
func roundStep(least float64) (step float64, places int) {
	power := math.Floor(math.Log10(least))
	for _, n := range []float64{1, 2, 5, 10} {
		if step = n * math.Pow(10, power); step >= least {
			if n == 10 {
				power++
			}
			break
		}
	}
	return step, int(math.Max(0, -power))
}

// calendar draws the scale of months at the foot.
func (p *plot) calendar() {
	every := 60
	for _, months := range []int{1, 2, 3, 6, 12, 24} {
		if p.days/30.4/float64(months) <= 10 {
			every = months
			break
		}
	}
	month := due.Date{Year: p.first.Year, Month: 1, Day: 1}
	for ; float64(p.first.DaysUntil(month)) <= p.days; month = month.AddMonths(every) {
		if month.Before(p.first) {
			continue
		}
		x := p.on(month)
		p.line(Place{x, bottom}, Place{x, bottom + 4}, 1, 0)
		if x > right-12 {
			continue
		}
		p.text(Place{x, bottom + 16}, small, Middle, false, month.Month.String()[:3])
		p.text(Place{x, bottom + 28}, small, Middle, false, strconv.Itoa(month.Year))
	}
}

// limit draws the limit, with its words where the readings aren't: on the far side of the line.
func (p *plot) limit(w Worn) {
	y := p.y(w.Course.Limit)
	p.line(Place{left, y}, Place{right, y}, 2.2, 0)
	words := y - 5
	if w.Course.Down {
		words = y + 13
	}
	p.text(Place{left + 6, words}, usual, Left, true, w.Words.Limit)
}

// ahead draws the line through the readings and on, where one may be drawn, and the earliest day that it speaks of.
func (p *plot) ahead(w Worn) {
	f := w.Forecast
	if f.Outcome != wear.Foretold {
		return
	}
	readings := w.Course.Readings
	last := float64(p.first.DaysUntil(readings[len(readings)-1].On))
	p.stroke(0, last, 1.2, 0, nil, f.Line.At)
	p.stroke(last, p.days, 1.2, 0, []float64{7, 4}, f.Line.At)
	p.stroke(last, p.days, 1, 0.25, []float64{1.5, 3}, func(x float64) float64 { return f.Line.NextBand(x, wear.Level).Low })
	p.stroke(last, p.days, 1, 0.25, []float64{1.5, 3}, func(x float64) float64 { return f.Line.NextBand(x, wear.Level).High })
	if !f.Far() {
		x, foot := p.on(f.From), bottom-6 // what wears is far from the one corner, and the limit from the other
		if w.Course.Down {
			foot = top + 12
		}
		p.line(Place{x, top}, Place{x, bottom}, 1, 0, 3, 3)
		align, beside := Right, x-4
		if x < (left+right)/2 {
			align, beside = Left, x+4
		}
		p.text(Place{beside, foot}, small, align, true, w.Words.Soonest)
	}
}

// shows tells whether a day is on the paper.
func (p *plot) shows(d due.Date) bool {
	days := float64(p.first.DaysUntil(d))
	return !d.IsZero() && days >= 0 && days <= p.days
}

// lifeEnd draws the upright double line that stands for the end of a life.
func (p *plot) lifeEnd(x, high, low float64) {
	p.line(Place{x - 1.5, high}, Place{x - 1.5, low}, 0.9, 0)
	p.line(Place{x + 1.5, high}, Place{x + 1.5, low}, 0.9, 0)
}

// stroke draws a curve between two days, as far as it is on the paper. A bent one is made of short straight pieces, and its dashes of whole ones.
func (p *plot) stroke(from, to, wide, grey float64, dashes []float64, value func(float64) float64) {
	const pieces = 48
	drawn, at := 0.0, func(n int) Place {
		x := from + (to-from)*float64(n)/pieces
		return Place{p.x(x), p.y(value(x))}
	}
	for n := range pieces {
		a, b := at(n), at(n+1)
		if min(a.Y, b.Y) >= top && max(a.Y, b.Y) <= bottom {
			p.Lines = append(p.Lines, rest(Line{a, b, wide, grey, dashes}, drawn)...)
		}
		drawn += math.Hypot(b.X-a.X, b.Y-a.Y)
	}
}

// rest is a piece of a dashed line that began so far before it: the parts of it that are drawn, each a line by itself.
func rest(l Line, before float64) []Line {
	if len(l.Dashes) != 2 {
		return []Line{l}
	}
	length := math.Hypot(l.To.X-l.From.X, l.To.Y-l.From.Y)
	period := l.Dashes[0] + l.Dashes[1]
	var parts []Line
	for start := -math.Mod(before, period); start < length; start += period {
		a, b := max(0, start), min(length, start+l.Dashes[0])
		if b <= a {
			continue
		}
		along := func(x float64) Place {
			return Place{l.From.X + (l.To.X-l.From.X)*x/length, l.From.Y + (l.To.Y-l.From.Y)*x/length}
		}
		parts = append(parts, Line{along(a), along(b), l.Width, l.Grey, nil})
	}
	return parts
}

// reading draws a spot, and a bar as long as its doubt reaches either way.
func (p *plot) reading(r wear.Reading) {
	x := p.on(r.On)
	p.bar(x, p.y(r.Value+r.Doubt), p.y(r.Value-r.Doubt))
	p.Spots = append(p.Spots, Spot{Place{x, p.y(r.Value)}, 3.4})
}

func (p *plot) bar(x, high, low float64) {
	p.line(Place{x, high}, Place{x, low}, 1.2, 0)
	for _, y := range []float64{high, low} {
		p.line(Place{x - 3, y}, Place{x + 3, y}, 1.2, 0)
	}
}

// legend says at the foot what stands for what.
func (p *plot) legend(w Worn) {
	const first, next = bottom + 48, 15.0
	y := first
	p.bar(left+12, y-9, y+1)
	p.Spots = append(p.Spots, Spot{Place{left + 12, y - 4}, 3.4})
	p.text(Place{left + 32, y}, small, Left, false, w.Words.Reading)
	if w.Forecast.Outcome == wear.Foretold {
		y += next
		p.line(Place{left, y - 4}, Place{left + 24, y - 4}, 1.2, 0, 7, 4)
		p.text(Place{left + 32, y}, small, Left, false, w.Words.Goes)
		y += next
		p.line(Place{left, y - 4}, Place{left + 24, y - 4}, 1, 0.25, 1.5, 3)
		p.text(Place{left + 32, y}, small, Left, false, w.Words.Band)
	}
	switch y += next; {
	case p.shows(w.Life):
		p.lifeEnd(left+12, y-10, y+2)
		p.text(Place{left + 32, y}, small, Left, false, w.Words.Life)
	case !w.Life.IsZero():
		p.text(Place{left + 32, y}, small, Left, false, w.Words.Later)
	}
}
