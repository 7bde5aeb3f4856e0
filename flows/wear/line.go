// Package wear works with readings of one place over time: a straight line through them, how sure it is, and when it
// comes to a limit. It is pure and knows no clock.
//
// Its numbers are floats. Nothing here decides a verdict: readings are judged one by one in exact decimals, and what is
// foretold here may only bring a date nearer.
package wear

import (
	"errors"
	"math"

	"becket/flows/chance"
)

// Point is one reading: how long after a start, in any unit of time, and its value.
type Point struct{ X, Y float64 }

// Line is the straight line Y = Intercept + Slope·X that comes nearest to the points by least squares, each point counted alike and
// the spread about the line taken from the points themselves.
type Line struct {
	Intercept, Slope             float64
	InterceptError, SlopeError   float64 // standard errors
	Spread                       float64 // standard deviation of single points about the line
	Explained, Residual, Squared float64 // sums of squares: by the line, about the line; and the share by the line, R²
	N                            int     // points
	meanX, spanX                 float64 // mean of X, and the sum of squares of X about it
}

// ErrTooFew tells that the points don't make a line: fewer than three, or all at one X.
var ErrTooFew = errors.New("too few readings for a line: at least three are needed, on more than one day")

// Fit puts a line through the points, in any order.
func Fit(points []Point) (Line, error) {
	l := Line{N: len(points)}
	if l.N < 3 {
		return Line{}, ErrTooFew
	}
	var meanY float64
	for _, p := range points {
		l.meanX += p.X / float64(l.N)
		meanY += p.Y / float64(l.N)
	}
	var together float64
	for _, p := range points {
		l.spanX += (p.X - l.meanX) * (p.X - l.meanX)
		together += (p.X - l.meanX) * (p.Y - meanY)
	}
	if l.spanX == 0 {
		return Line{}, ErrTooFew
	}
	l.Slope = together / l.spanX
	l.Intercept = meanY - l.Slope*l.meanX
	for _, p := range points {
		on, off := l.At(p.X)-meanY, p.Y-l.At(p.X)
		l.Explained += on * on
		l.Residual += off * off
	}
	l.Squared = share(l.Explained, l.Residual)
	return l.spreadBy(math.Sqrt(l.Residual / l.Freedom())), nil
}

// share is the part of two sums that the first makes up; 1 where there is nothing to explain.
func share(explained, residual float64) float64 {
	if explained+residual == 0 {
		return 1
	}
	return explained / (explained + residual)
}

// spreadBy is the same line with another spread about it.
func (l Line) spreadBy(spread float64) Line {
	l.Spread = spread
	l.SlopeError = spread / math.Sqrt(l.spanX)
	l.InterceptError = spread * math.Sqrt(1/float64(l.N)+l.meanX*l.meanX/l.spanX)
	return l
}

// AtLeastSpread is the line with a spread no smaller than this: points that happen to lie on a line are no surer than the
// instrument they were measured with.
func (l Line) AtLeastSpread(spread float64) Line { return l.spreadBy(max(l.Spread, spread)) }

// Freedom is how many points there are beyond the two that a line needs.
func (l Line) Freedom() float64 { return float64(l.N - 2) }

// At is the line's value at x.
func (l Line) At(x float64) float64 { return l.Intercept + l.Slope*x }

// ErrorAt is the standard error of the line itself at x.
func (l Line) ErrorAt(x float64) float64 {
	return l.Spread * math.Sqrt(1/float64(l.N)+(x-l.meanX)*(x-l.meanX)/l.spanX)
}

// NextErrorAt is the standard error of one further point at x.
func (l Line) NextErrorAt(x float64) float64 { return math.Hypot(l.Spread, l.ErrorAt(x)) }

// Band is where the line itself lies at x, at this level.
func (l Line) Band(x, level float64) chance.Interval {
	return around(l.At(x), l.t(level)*l.ErrorAt(x))
}

// NextBand is where one further point at x lies, at this level.
func (l Line) NextBand(x, level float64) chance.Interval {
	return around(l.At(x), l.t(level)*l.NextErrorAt(x))
}

// SlopeBand is where the slope lies, at this level.
func (l Line) SlopeBand(level float64) chance.Interval {
	return around(l.Slope, l.t(level)*l.SlopeError)
}

// ByChance is how likely points without any slope would show one as steep as this, either way.
func (l Line) ByChance() float64 { return chance.StudentBeyond(l.Slope/l.SlopeError, l.Freedom()) }

// Ratio is Fisher's F: what the line explains against what is left for each point to spare.
func (l Line) Ratio() float64 { return l.Explained / (l.Residual / l.Freedom()) }

// t is how many standard errors this level reaches to either side.
func (l Line) t(level float64) float64 { return chance.StudentQuantile((1+level)/2, l.Freedom()) }

func around(middle, half float64) chance.Interval {
	return chance.Interval{Low: middle - half, High: middle + half}
}
