package chance

import "math"

// Interval is what lies between two ends.
type Interval struct{ Low, High float64 }

// Wilson is Wilson's score interval of the share k of n. Without any n it is everything, 0 to 1.
// Source: Newcombe, Statistics in Medicine 17 (1998), method 3.
func Wilson(k, n int, level float64) Interval {
	if n == 0 {
		return Interval{0, 1}
	}
	z, of, share := NormalQuantile((1+level)/2), float64(n), float64(k)/float64(n)
	middle := share + z*z/(2*of)
	half := z * math.Sqrt((share*(1-share)+z*z/(4*of))/of)
	i := Interval{(middle - half) / (1 + z*z/of), (middle + half) / (1 + z*z/of)}
	if k == 0 { // exactly, whatever rounding makes of it
		i.Low = 0
	}
	if k == n {
		i.High = 1
	}
	return i
}

// Exact is the interval of Clopper and Pearson for the share k of n: it holds the truth at least as often as the level
// says. Source: Biometrika 26 (1934).
func Exact(k, n int, level float64) Interval {
	rest := (1 - level) / 2
	return Interval{atLeast(k, n, rest), atMost(k, n, rest)}
}

// AtLeast is the exact lower bound of the share k of n, with the whole of what the level leaves beyond this one end. With
// k of n caught and none missed it is (1-level)^(1/n).
func AtLeast(k, n int, level float64) float64 { return atLeast(k, n, 1-level) }

// AtMost is the exact upper bound of the share k of n, with the whole of what the level leaves beyond this one end.
func AtMost(k, n int, level float64) float64 { return atMost(k, n, 1-level) }

func atLeast(k, n int, rest float64) float64 {
	if k == 0 {
		return 0
	}
	return BetaQuantile(rest, float64(k), float64(n-k+1))
}

func atMost(k, n int, rest float64) float64 {
	if k == n {
		return 1
	}
	return BetaQuantile(1-rest, float64(k+1), float64(n-k))
}

// Needed is the least number of trials that, with so many misses among them, shows at this level that at least a share is
// caught: 29 without a miss for 90 % at 95 %. The share is less than 1.
func Needed(share, level float64, misses int) int {
	n := misses + 1
	for BinomialAtMost(misses, n, 1-share) > 1-level {
		n++
	}
	return n
}

// BinomialAtMost is how likely at most k of n happen when each happens with probability p by itself.
func BinomialAtMost(k, n int, p float64) float64 {
	switch {
	case k < 0:
		return 0
	case k >= n:
		return 1
	}
	return betaBelow(1-p, float64(n-k), float64(k+1))
}

// BinomialAtLeast is how likely at least k of n happen when each happens with probability p by itself.
func BinomialAtLeast(k, n int, p float64) float64 { return 1 - BinomialAtMost(k-1, n, p) }

// Sides is how likely two counts differ by at least as much in either direction when each of their sum falls on one side
// or the other like a tossed coin. On pairs of which the two halves differ it is McNemar's exact test.
func Sides(a, b int) float64 {
	return min(1, 2*BinomialAtMost(min(a, b), a+b, 0.5))
}
