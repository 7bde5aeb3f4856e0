package wear

import (
	"math"

	"becket/flows/chance"
)

// What is at y: a single further point, or the line itself.
const (
	onePoint = 1.0
	theLine  = 0.0
)

// Reaches is the X at which the line comes to y. The line isn't level.
func (l Line) Reaches(y float64) float64 { return (y - l.Intercept) / l.Slope }

// Shown tells whether the line has a slope at all, at this level. Where it hasn't, it comes to no value at any time that could be named.
func (l Line) Shown(level float64) bool { return l.slopeless(level) < 1 }

// slopeless is Fieller's g: how much of the slope could be chance, squared. From 1 on the slope isn't shown.
func (l Line) slopeless(level float64) float64 {
	if l.Slope == 0 {
		return math.Inf(1)
	}
	g := l.t(level) * l.SlopeError / l.Slope
	return g * g
}

// ReachedBetween is when a single further point is at y, at this level: Fieller's interval, exact for a straight line. False where the
// slope isn't shown, since the interval then has no end.
// Source: Graybill and Iyer, Regression Analysis (1994), pages 427 to 434.
func (l Line) ReachedBetween(y, level float64) (chance.Interval, bool) {
	return l.fieller(y, level, onePoint)
}

// LineReachedBetween is when the line itself is at y, at this level.
func (l Line) LineReachedBetween(y, level float64) (chance.Interval, bool) {
	return l.fieller(y, level, theLine)
}

func (l Line) fieller(y, level, of float64) (chance.Interval, bool) {
	g := l.slopeless(level)
	if g >= 1 {
		return chance.Interval{}, false
	}
	away := l.Reaches(y) - l.meanX
	half := l.t(level) * l.Spread / math.Abs(l.Slope) * math.Sqrt(away*away/l.spanX+(1-g)*(of+1/float64(l.N)))
	return around(l.meanX+away/(1-g), half/(1-g)), true
}

// ReachError is the standard error, to the first order, of the X at which the mean of so many further points is at y.
// Source: Massart et al., Handbook of Chemometrics and Qualimetrics A (1997), page 207.
func (l Line) ReachError(y float64, points int) float64 {
	away := l.Reaches(y) - l.meanX
	return l.Spread / math.Abs(l.Slope) * math.Sqrt(1/float64(points)+1/float64(l.N)+away*away/l.spanX)
}
