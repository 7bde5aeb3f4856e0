package wear

import (
	"errors"
	"math"
)

// Ray is the straight line Y = Slope·X through 0, for what starts from nothing on the day it is new.
type Ray struct {
	Slope, SlopeError            float64
	Spread                       float64 // standard deviation of single points about the line
	Explained, Residual, Squared float64 // sums of squares about 0, not about a mean
	N                            int
}

// ErrNoRay tells that the points don't make a line through 0: fewer than two, or all at 0.
var ErrNoRay = errors.New("too few readings for a line from new: at least two are needed, after the first day")

// FitRay puts a line through 0 and the points.
func FitRay(points []Point) (Ray, error) {
	var across, together float64
	for _, p := range points {
		across += p.X * p.X
		together += p.X * p.Y
	}
	if len(points) < 2 || across == 0 {
		return Ray{}, ErrNoRay
	}
	r := Ray{Slope: together / across, N: len(points)}
	for _, p := range points {
		on, off := r.Slope*p.X, p.Y-r.Slope*p.X
		r.Explained += on * on
		r.Residual += off * off
	}
	r.Squared = share(r.Explained, r.Residual)
	r.Spread = math.Sqrt(r.Residual / float64(r.N-1))
	r.SlopeError = r.Spread / math.Sqrt(across)
	return r, nil
}

// Reaches is the X at which the line comes to y. The line isn't level.
func (r Ray) Reaches(y float64) float64 { return y / r.Slope }

// Ratio is Fisher's F: what the line explains against what is left for each point to spare.
func (r Ray) Ratio() float64 { return r.Explained / (r.Spread * r.Spread) }
