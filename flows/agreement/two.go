// Package agreement says how far people who look at the same things agree, how much of what was planted is found, and how much of what
// a gauge shows comes from the gauge and from who holds it. It is pure. Its numbers are floats: nothing here decides a verdict.
//
// No single figure is given alone. Kappa falls to nothing where nearly everything is clear, however well two people agree, so that the raw
// table and two figures that don't do so always stand beside it.
package agreement

import (
	"errors"
	"math"

	"becket/flows/chance"
)

// Table counts pairs: Table[a][b] of the things that the first person called a and the second b. It is square.
type Table [][]int

// ErrNoTable tells that a table isn't square, has fewer than two answers, a count below 0, or nothing in it.
var ErrNoTable = errors.New("agreement needs at least one thing that two people looked at, and as many answers for the one as for the other")

// Figure is an estimate, its standard error and the interval at 95 %. Where Known is false the others mean nothing.
type Figure struct {
	Known        bool
	Value, Error float64
	chance.Interval
}

// Two is what two people's answers show, all of it together.
type Two struct {
	Table    Table
	N, Alike int
	Share    float64         // of things called alike
	Between  chance.Interval // of Share, Wilson's
	Kappa    Figure          // unknown where both gave a single answer throughout
	KappaZ   float64         // Kappa in units of its error were there no agreement but by luck
	AC1      Figure          // Gwet's, which keeps its meaning where one answer is rare
	PABAK    float64         // kappa as it would be were all answers as common: (answers × share - 1) / (answers - 1)
}

const level = 0.95

// Compare works out all figures of a table.
//
// Sources: Cohen, Educational and Psychological Measurement 20 (1960); Fleiss, Cohen and Everitt, Psychological Bulletin 72 (1969) for the
// errors of kappa; Gwet, British Journal of Mathematical and Statistical Psychology 61 (2008) for AC1 and its error; Byrt, Bishop and
// Carlin, Journal of Clinical Epidemiology 46 (1993) for PABAK.
func Compare(t Table) (Two, error) {
	two := Two{Table: t}
	for _, row := range t {
		if len(row) != len(t) {
			return Two{}, ErrNoTable
		}
		for _, n := range row {
			if n < 0 {
				return Two{}, ErrNoTable
			}
			two.N += n
		}
	}
	if two.N == 0 || len(t) < 2 {
		return Two{}, ErrNoTable
	}
	s := sharesOf(t, two.N)
	for i := range t {
		two.Alike += t[i][i]
	}
	two.Share = float64(two.Alike) / float64(two.N)
	two.Between = chance.Wilson(two.Alike, two.N, level)
	answers := float64(len(t))
	two.PABAK = (answers*two.Share - 1) / (answers - 1)
	two.Kappa, two.KappaZ = s.kappa(two.Share)
	two.AC1 = s.ac1(two.Share)
	return two, nil
}

// shares is a table as shares of all, with those of each person's answers.
type shares struct {
	cell          [][]float64
	first, second []float64
	n             float64
}

func sharesOf(t Table, n int) shares {
	s := shares{cell: make([][]float64, len(t)), first: make([]float64, len(t)), second: make([]float64, len(t)), n: float64(n)}
	for i, row := range t {
		s.cell[i] = make([]float64, len(t))
		for j, count := range row {
			p := float64(count) / s.n
			s.cell[i][j] = p
			s.first[i] += p
			s.second[j] += p
		}
	}
	return s
}

// kappa is Cohen's, with its error for an interval, and in units of the other error for the question whether there is any agreement.
func (s shares) kappa(alike float64) (Figure, float64) {
	luck := 0.0
	for i := range s.cell {
		luck += s.first[i] * s.second[i]
	}
	if luck >= 1 {
		return Figure{}, 0
	}
	k := (alike - luck) / (1 - luck)
	var on, off, none float64
	for i := range s.cell {
		both := s.first[i] + s.second[i]
		on += s.cell[i][i] * math.Pow(1-both*(1-k), 2)
		none += s.first[i] * s.second[i] * both
		for j := range s.cell {
			if i != j {
				off += s.cell[i][j] * math.Pow(s.second[i]+s.first[j], 2)
			}
		}
	}
	square := (on + (1-k)*(1-k)*off - math.Pow(k-luck*(1-k), 2)) / ((1 - luck) * (1 - luck) * s.n)
	byLuck := (luck + luck*luck - none) / ((1 - luck) * (1 - luck) * s.n)
	return figure(k, square), k / math.Sqrt(byLuck)
}

// ac1 is Gwet's, with the error that he gives for things drawn at random.
func (s shares) ac1(alike float64) Figure {
	answers := float64(len(s.cell))
	mean, luck := make([]float64, len(s.cell)), 0.0
	for i := range s.cell {
		mean[i] = (s.first[i] + s.second[i]) / 2
		luck += mean[i] * (1 - mean[i]) / (answers - 1)
	}
	value := (alike - luck) / (1 - luck)
	squares := 0.0
	for i := range s.cell {
		for j := range s.cell {
			agreed := 0.0
			if i == j {
				agreed = 1
			}
			one := (agreed - luck) / (1 - luck)
			one -= 2 * (1 - value) * ((1-(mean[i]+mean[j])/2)/(answers-1) - luck) / (1 - luck)
			squares += s.cell[i][j] * math.Pow(one-value, 2)
		}
	}
	return figure(value, squares/s.n)
}

func figure(value, square float64) Figure {
	e := math.Sqrt(max(0, square))
	half := chance.NormalQuantile((1+level)/2) * e
	return Figure{true, value, e, chance.Interval{Low: max(-1, value-half), High: min(1, value+half)}}
}
