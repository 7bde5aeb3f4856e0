package agreement

import "becket/flows/chance"

// Caught is how many of the faults that were planted, or known otherwise, somebody found.
type Caught struct {
	Found, Planted int
	Between        chance.Interval // exact, at 95 %
	AtLeast        float64         // exact, on one side, at 95 %: 0.9019 for 29 of 29
}

// CaughtOf works out the bounds. Of nothing planted everything is possible.
func CaughtOf(found, planted int) Caught {
	return Caught{found, planted, chance.Exact(found, planted, level), chance.AtLeast(found, planted, level)}
}

// Readers is what two people found who looked at the same things, each blind to the other.
type Readers struct {
	Both, OnlyFirst, OnlySecond int
	All                         float64 // how many there may be in all: Chapman's estimate
	Variance                    float64 // of All
	ByChance                    float64 // how likely the two differ so much were they equally good: McNemar's exact test
}

// ReadersOf estimates from what two found how many faults there are that neither may have seen. It takes the two to miss independently; where a fault is hard for
// the one it is so for the other, and there are more than it says.
// Source: Chapman, University of California Publications in Statistics 1 (1951).
func ReadersOf(both, onlyFirst, onlySecond int) Readers {
	m, first, second := float64(both), float64(both+onlyFirst), float64(both+onlySecond)
	return Readers{
		Both: both, OnlyFirst: onlyFirst, OnlySecond: onlySecond,
		All:      (first+1)*(second+1)/(m+1) - 1,
		Variance: (first + 1) * (second + 1) * (first - m) * (second - m) / ((m + 1) * (m + 1) * (m + 2)),
		ByChance: chance.Sides(onlyFirst, onlySecond),
	}
}
