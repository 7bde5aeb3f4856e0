package chance_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"becket/flows/chance"
)

// near fails unless got is the published value to as many places as it was printed with.
func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s is %.12g, published %.12g (within %.2g)", what, got, want, within)
	}
}

// The table of JCGM 100:2008, G.2, two-sided, to the three places it gives; the columns 95.45 and 99.73 % there are for
// two and three standard deviations, and are taken to the digits that it prints (95.45 as 95.45 %).
func TestStudentTable(t *testing.T) {
	levels := []float64{.90, .95, .9545, .99, .9973}
	for freedom, row := range map[float64][5]float64{
		1: {6.314, 12.706, 13.968, 63.657, 235.784}, 2: {2.920, 4.303, 4.527, 9.925, 19.206}, 3: {2.353, 3.182, 3.307, 5.841, 9.219},
		4: {2.132, 2.776, 2.869, 4.604, 6.620}, 5: {2.015, 2.571, 2.649, 4.032, 5.507}, 6: {1.943, 2.447, 2.517, 3.707, 4.904},
		7: {1.895, 2.365, 2.429, 3.499, 4.530}, 8: {1.860, 2.306, 2.366, 3.355, 4.277}, 9: {1.833, 2.262, 2.320, 3.250, 4.094},
		10: {1.812, 2.228, 2.284, 3.169, 3.957}, 15: {1.753, 2.131, 2.181, 2.947, 3.586}, 20: {1.725, 2.086, 2.133, 2.845, 3.422},
		30: {1.697, 2.042, 2.087, 2.750, 3.270}, 50: {1.676, 2.009, 2.051, 2.678, 3.157}, 100: {1.660, 1.984, 2.025, 2.626, 3.077},
	} {
		for n, want := range row {
			near(t, "t", chance.StudentQuantile((1+levels[n])/2, freedom), want, 0.00051)
		}
	}
	for p, want := range map[float64]float64{.90: 1.2816, .95: 1.6449, .975: 1.9600, .99: 2.3263, .999: 3.0902} {
		near(t, "z", chance.NormalQuantile(p), want, 0.00005)
	}
}

// Where a distribution has a closed form, the quantiles agree with it to nine digits and more.
func TestQuantilesAgainstClosedForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0.001, 0.999).Draw(t, "p")
		nu := rapid.Float64Range(1, 200).Draw(t, "freedom")
		c := 4 * p * (1 - p)
		for what, pair := range map[string][2]float64{
			"t with 1 is Cauchy's":    {chance.StudentQuantile(p, 1), math.Tan(math.Pi * (p - .5))},
			"t with 2":                {chance.StudentQuantile(p, 2), (2*p - 1) * math.Sqrt(2/c)},
			"t with 4":                {chance.StudentQuantile(p, 4), student4(p)},
			"F with 2 above":          {chance.FisherQuantile(p, 2, nu), nu / 2 * (math.Pow(1-p, -2/nu) - 1)},
			"beta with 1 in front":    {chance.BetaQuantile(p, 1, nu), -math.Expm1(math.Log1p(-p) / nu)},
			"beta with 1 at the back": {chance.BetaQuantile(p, nu, 1), math.Pow(p, 1/nu)},
			"t squared is F":          {math.Pow(chance.StudentQuantile((1+p)/2, nu), 2), chance.FisherQuantile(p, 1, nu)},
			"normal there and back":   {chance.NormalBelow(chance.NormalQuantile(p)), p},
			"t there and back":        {chance.StudentBelow(chance.StudentQuantile(p, nu), nu), p},
			"F there and back":        {1 - chance.FisherAbove(chance.FisherQuantile(p, 3, nu), 3, nu), p},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-9*max(1, math.Abs(pair[1])) {
				t.Fatalf("%s: %.15g and %.15g at p %v, freedom %v", what, pair[0], pair[1], p, nu)
			}
		}
	})
}

// student4 is the quantile of t with four degrees of freedom: W. T. Shaw, Journal of Computational Finance 9 (2006).
func student4(p float64) float64 {
	a := 4 * p * (1 - p)
	q := math.Cos(math.Acos(math.Sqrt(a))/3) / math.Sqrt(a)
	return math.Copysign(2*math.Sqrt(q-1), p-.5)
}

// Newcombe, Statistics in Medicine 17 (1998), table I, methods 3 and 5.
func TestIntervalsOfAShare(t *testing.T) {
	for _, c := range []struct {
		k, n            int
		wilson, clopper chance.Interval
	}{
		{81, 263, chance.Interval{Low: .2553, High: .3662}, chance.Interval{Low: .2527, High: .3676}},
		{15, 148, chance.Interval{Low: .0624, High: .1605}, chance.Interval{Low: .0578, High: .1617}},
		{0, 20, chance.Interval{Low: 0, High: .1611}, chance.Interval{Low: 0, High: .1684}},
		{1, 29, chance.Interval{Low: .0061, High: .1718}, chance.Interval{Low: .0009, High: .1776}},
	} {
		w, e := chance.Wilson(c.k, c.n, .95), chance.Exact(c.k, c.n, .95)
		near(t, "Wilson's lower end", w.Low, c.wilson.Low, .00005)
		near(t, "Wilson's upper end", w.High, c.wilson.High, .00005)
		near(t, "the exact lower end", e.Low, c.clopper.Low, .00005)
		near(t, "the exact upper end", e.High, c.clopper.High, .00005)
	}
	if got := chance.Wilson(0, 0, .95); got != (chance.Interval{Low: 0, High: 1}) {
		t.Errorf("of nothing: %v", got)
	}
}

// No misses in n: the least number of trials (success run), as tables of 90/95, 95/95 and so on give them.
func TestHowManyTrialsAreNeeded(t *testing.T) {
	near(t, "29 of 29", chance.AtLeast(29, 29, .95), .901855, 5e-7)
	for _, c := range []struct {
		share, level float64
		least        [4]int // for 0, 1, 2, 3 misses
	}{
		{.90, .95, [4]int{29, 46, 61, 76}}, {.95, .95, [4]int{59, 93, 124, 153}}, {.99, .95, [4]int{299, 473, 628, 773}},
		{.90, .90, [4]int{22, 38, 52, 65}}, {.80, .95, [4]int{14, 22, 30, 37}},
	} {
		for misses, want := range c.least {
			if got := chance.Needed(c.share, c.level, misses); got != want {
				t.Errorf("%v/%v with %d misses: %d, want %d", c.share, c.level, misses, got, want)
			}
		}
	}
}

// The binomial agrees with its own definition, added up.
func TestBinomialAddedUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		k := rapid.IntRange(0, n).Draw(t, "k")
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		sum, term := 0.0, math.Pow(1-p, float64(n))
		for j := 0; j <= k; j++ {
			sum += term
			term *= float64(n-j) / float64(j+1) * p / (1 - p)
		}
		if got := chance.BinomialAtMost(k, n, p); math.Abs(got-sum) > 1e-9 {
			t.Fatalf("at most %d of %d at %v: %v, added up %v", k, n, p, got, sum)
		}
	})
}

// Fisher, The Design of Experiments (1935), the lady who tastes tea: 3 of 4 right 17 in 70, all 4 right 1 in 70; and the
// convicts' twins of his Statistical Methods for Research Workers: p 0.000465 on one side, 0.000537 on both.
func TestFisherExact(t *testing.T) {
	tea := chance.Table{Hit: 3, In: 4, OtherHit: 1, Others: 4}
	near(t, "three cups", tea.More(), 17./70, 1e-12)
	near(t, "three cups, both sides", tea.Either(), 34./70, 1e-12)
	near(t, "four cups", tea.Least(), 1./70, 1e-12)
	twins := chance.Table{Hit: 10, In: 13, OtherHit: 2, Others: 17}
	near(t, "twins, one side", twins.More(), .000465, 5e-7)
	near(t, "twins, both sides", twins.Either(), .000537, 5e-7)
}

// Pairs of which two readers differ: 14 against 6, p .1153 (recomputed from Thurfjell's counts).
func TestMcNemar(t *testing.T) {
	near(t, "14 against 6", chance.Sides(14, 6), .1153, .00005)
	near(t, "6 against 0", chance.Sides(6, 0), 2./64, 1e-12)
	near(t, "equal", chance.Sides(5, 5), 1, 0)
}
