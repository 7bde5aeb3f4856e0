package wear

import (
	"errors"
	"math"
)

// Known is a straight line through points whose doubt was known beforehand, each counted by its own; the points' spread about the line
// has no say in how sure it is, and instead shows whether the doubt can be true.
// Source: ISO/TS 28037:2010, clause 6.
type Known struct {
	Intercept, Slope           float64
	InterceptError, SlopeError float64 // standard uncertainties
	Covariance                 float64 // of the two
	Misfit                     float64 // χ²: squares about the line, in units of each point's doubt; about N-2 where the doubt is true
	N                          int
}

// ErrNoDoubt tells that a point has no doubt, or that the points don't make a line.
var ErrNoDoubt = errors.New("a line by known doubt needs at least two readings on different days, each with a doubt above 0")

// FitKnown puts a line through the points by their standard uncertainties, in the unit of Y.
func FitKnown(points []Point, doubt []float64) (Known, error) {
	if len(points) < 2 || len(points) != len(doubt) {
		return Known{}, ErrNoDoubt
	}
	var weights, meanX, meanY float64
	for i, p := range points {
		if !(doubt[i] > 0) {
			return Known{}, ErrNoDoubt
		}
		w := 1 / (doubt[i] * doubt[i])
		weights += w
		meanX += w * p.X
		meanY += w * p.Y
	}
	meanX /= weights
	meanY /= weights
	var across, together float64
	for i, p := range points {
		w := 1 / (doubt[i] * doubt[i])
		across += w * (p.X - meanX) * (p.X - meanX)
		together += w * (p.X - meanX) * (p.Y - meanY)
	}
	if across == 0 {
		return Known{}, ErrNoDoubt
	}
	k := Known{Slope: together / across, N: len(points)}
	k.Intercept = meanY - k.Slope*meanX
	k.SlopeError = 1 / math.Sqrt(across)
	k.InterceptError = math.Sqrt(1/weights + meanX*meanX/across)
	k.Covariance = -meanX / across
	for i, p := range points {
		off := (p.Y - k.Intercept - k.Slope*p.X) / doubt[i]
		k.Misfit += off * off
	}
	return k, nil
}

// Reaches is the X at which the line comes to y, and its standard uncertainty when y itself has this one.
// The line isn't level.
func (k Known) Reaches(y, doubt float64) (x, uncertainty float64) {
	x = (y - k.Intercept) / k.Slope
	square := doubt*doubt + k.InterceptError*k.InterceptError + x*x*k.SlopeError*k.SlopeError + 2*x*k.Covariance
	return x, math.Sqrt(square) / math.Abs(k.Slope)
}
