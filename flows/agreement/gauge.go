package agreement

import (
	"errors"
	"math"

	"becket/flows/chance"
)

// ErrNoStudy tells that a gauge study isn't whole.
var ErrNoStudy = errors.New("a gauge study needs at least two people who each measure the same parts, at least two, equally often, at least twice")

// Source is a line of the analysis of variance: a sum of squares and its degrees of freedom.
type Source struct {
	Squares float64
	Freedom int
}

// Mean is the mean square.
func (s Source) Mean() float64 { return s.Squares / float64(s.Freedom) }

// Gauge is how much of what readings differ by comes from the parts, from the gauge, and from who holds it. Parts and people are a random pick of many.
type Gauge struct {
	Part, Person, Together, Repeat, Total Source
	PartF, PersonF, TogetherF             float64
	Pooled                                bool // whether Together was counted to Repeat, which the variances then are of
	Error                                 Source
	Repeatability, Reproducibility        float64 // variances: of the gauge, and of who holds it
	Both, Parts, All                      float64 // variances: of the two together, of the parts, of everything
}

// pool is how likely by chance the part played by person and part together may be and still be counted apart from the gauge's
// own. Above it the two are one. (The gauge-study manual of the motor trade pools at 0.25 or 0.05; either gives the same for its example.)
const pool = 0.25

// Study takes readings[person][part][trial].
// Source: AIAG, Measurement Systems Analysis, 4th edition (2010), chapter III, analysis of variance.
func Study(readings [][][]float64) (Gauge, error) {
	people := len(readings)
	if people < 2 || len(readings[0]) < 2 || len(readings[0][0]) < 2 {
		return Gauge{}, ErrNoStudy
	}
	parts, trials := len(readings[0]), len(readings[0][0])
	n := float64(people * parts * trials)
	var mean float64
	byPerson, byPart := make([]float64, people), make([]float64, parts)
	cells := make([][]float64, people)
	for i, one := range readings {
		if len(one) != parts {
			return Gauge{}, ErrNoStudy
		}
		cells[i] = make([]float64, parts)
		for j, values := range one {
			if len(values) != trials {
				return Gauge{}, ErrNoStudy
			}
			for _, v := range values {
				mean += v / n
				byPerson[i] += v / float64(parts*trials)
				byPart[j] += v / float64(people*trials)
				cells[i][j] += v / float64(trials)
			}
		}
	}
	square := func(x float64) float64 { return x * x }
	g := Gauge{
		Part: Source{0, parts - 1}, Person: Source{0, people - 1}, Together: Source{0, (parts - 1) * (people - 1)},
		Repeat: Source{0, parts * people * (trials - 1)}, Total: Source{0, parts*people*trials - 1},
	}
	for _, m := range byPart {
		g.Part.Squares += float64(people*trials) * square(m-mean)
	}
	for i, m := range byPerson {
		g.Person.Squares += float64(parts*trials) * square(m-mean)
		for j := range parts {
			g.Together.Squares += float64(trials) * square(cells[i][j]-m-byPart[j]+mean)
			for _, v := range readings[i][j] {
				g.Repeat.Squares += square(v - cells[i][j])
				g.Total.Squares += square(v - mean)
			}
		}
	}
	g.divide(float64(parts), float64(people), float64(trials))
	return g, nil
}

// divide takes the mean squares apart into variances. One that comes out below 0 is 0.
func (g *Gauge) divide(parts, people, trials float64) {
	g.PartF, g.PersonF, g.TogetherF = g.Part.Mean()/g.Together.Mean(), g.Person.Mean()/g.Together.Mean(), g.Together.Mean()/g.Repeat.Mean()
	g.Pooled = !(chance.FisherAbove(g.TogetherF, float64(g.Together.Freedom), float64(g.Repeat.Freedom)) <= pool)
	together := 0.0
	if g.Pooled {
		g.Error = Source{g.Together.Squares + g.Repeat.Squares, g.Together.Freedom + g.Repeat.Freedom}
	} else {
		g.Error = g.Repeat
		together = max(0, (g.Together.Mean()-g.Repeat.Mean())/trials)
	}
	against := g.Error.Mean()
	if !g.Pooled {
		against = g.Together.Mean()
	}
	g.Repeatability = g.Error.Mean()
	g.Reproducibility = max(0, (g.Person.Mean()-against)/(parts*trials)) + together
	g.Both = g.Repeatability + g.Reproducibility
	g.Parts = max(0, (g.Part.Mean()-against)/(people*trials))
	g.All = g.Both + g.Parts
}

// Contribution is the share of all variance that isn't the parts'.
func (g Gauge) Contribution() float64 { return g.Both / g.All }

// StudyVariation is the same for standard deviations: up to 0.1 is good, from 0.3 on the gauge doesn't serve (the manual's rule of thumb).
func (g Gauge) StudyVariation() float64 { return math.Sqrt(g.Both / g.All) }

// Kinds is how many kinds of part the gauge can tell apart, before it is cut to a whole number; five or more serve. The manual takes 1.41 for
// the root of two.
func (g Gauge) Kinds() float64 { return 1.41 * math.Sqrt(g.Parts/g.Both) }
