package chance

import "math"

// Table is two groups, each parted in two: of In items Hit had it, of the Others OtherHit.
type Table struct{ Hit, In, OtherHit, Others int }

// More is how likely the first group has at least so many hits, when all the hits are dealt out to the items of both groups
// by luck: Fisher's exact test, on one side.
func (t Table) More() float64 {
	sum := 0.0
	for k := t.Hit; k <= min(t.In, t.hits()); k++ {
		sum += t.likely(k)
	}
	return min(1, sum)
}

// Either is Fisher's exact test on both sides: how likely any deal is that is at most as likely as this one.
func (t Table) Either() float64 {
	const alike = 1 + 1e-9 // deals that are equally likely, and differ by rounding only
	sum, here := 0.0, t.likely(t.Hit)
	for k := max(0, t.hits()-t.Others); k <= min(t.In, t.hits()); k++ {
		if p := t.likely(k); p <= here*alike {
			sum += p
		}
	}
	return min(1, sum)
}

// Least is the smallest that More can be with these groups and this many hits in all: where it is large, no count could
// show anything.
func (t Table) Least() float64 { return t.likely(min(t.In, t.hits())) }

func (t Table) hits() int { return t.Hit + t.OtherHit }

// likely is the hypergeometric probability of k hits in the first group.
func (t Table) likely(k int) float64 {
	return math.Exp(logChoose(t.In, k) + logChoose(t.Others, t.hits()-k) - logChoose(t.In+t.Others, t.hits()))
}

func logChoose(n, k int) float64 {
	if k < 0 || k > n {
		return math.Inf(-1)
	}
	return logFactorial(n) - logFactorial(k) - logFactorial(n-k)
}

func logFactorial(n int) float64 {
	l, _ := math.Lgamma(float64(n) + 1)
	return l
}
