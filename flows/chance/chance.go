// Package chance says how likely something is by luck alone: quantiles of the usual distributions, intervals of a share,
// exact tests of counts. It is pure. Its numbers are floats: nothing here decides a verdict, which exact decimals do.
//
// Probabilities and levels are between 0 and 1. A level of 0.95 between two ends leaves 0.025 beyond each.
package chance

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// NormalBelow is how likely a standard normal value is at most z.
func NormalBelow(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// NormalQuantile is the z that a standard normal value stays at or below with probability p.
func NormalQuantile(p float64) float64 { return mathext.NormalQuantile(p) }

// StudentBelow is how likely a value of Student's t with so many degrees of freedom is at most t.
func StudentBelow(t, freedom float64) float64 {
	tail := betaBelow(freedom/(freedom+t*t), freedom/2, 0.5) / 2
	if t > 0 {
		return 1 - tail
	}
	return tail
}

// StudentBeyond is how likely Student's t is at least as far from 0 as t, on either side.
func StudentBeyond(t, freedom float64) float64 {
	return betaBelow(freedom/(freedom+t*t), freedom/2, 0.5)
}

// StudentQuantile is the t that a value of Student's t stays at or below with probability p.
func StudentQuantile(p, freedom float64) float64 {
	if p < 0.5 {
		return -StudentQuantile(1-p, freedom)
	}
	outside := 2 * (1 - p)
	if outside > 0.5 { // near the middle the other tail keeps the digits
		y := mathext.InvRegIncBeta(0.5, freedom/2, 1-outside)
		return math.Sqrt(freedom * y / (1 - y))
	}
	x := mathext.InvRegIncBeta(freedom/2, 0.5, outside)
	return math.Sqrt(freedom * (1 - x) / x)
}

// FisherAbove is how likely a ratio of two variances (Fisher's F) with so many degrees of freedom above and below the
// line is at least f.
func FisherAbove(f, above, below float64) float64 {
	if f <= 0 {
		return 1
	}
	return betaBelow(below/(below+above*f), below/2, above/2)
}

// FisherQuantile is the ratio of variances that Fisher's F stays at or below with probability p.
func FisherQuantile(p, above, below float64) float64 {
	x := mathext.InvRegIncBeta(below/2, above/2, 1-p)
	return below * (1 - x) / (above * x)
}

// BetaQuantile is the x that a beta value with shapes a and b stays at or below with probability p.
func BetaQuantile(p, a, b float64) float64 { return mathext.InvRegIncBeta(a, b, p) }

func betaBelow(x, a, b float64) float64 {
	return mathext.RegIncBeta(a, b, min(1, max(0, x)))
}
