package wear_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"becket/flows/due"
	"becket/flows/wear"
)

// day is so many days after the day on which all courses of these tests begin.
func day(n int) due.Date { return due.Date{Year: 2024, Month: 1, Day: 1}.AddDays(n) }

// every is a course with a reading every so many days.
func every(days int, limit, doubt float64, down bool, values ...float64) wear.Course {
	c := wear.Course{Limit: limit, Doubt: doubt, Down: down}
	for i, v := range values {
		c.Readings = append(c.Readings, wear.Reading{On: day(i * days), Value: v})
	}
	return c
}

func TestForecast(t *testing.T) {
	for name, c := range map[string]struct {
		course  wear.Course
		outcome wear.Outcome
		look    int // days after the first reading; -1: none
		far     bool
	}{
		"nothing measured":             {wear.Course{}, wear.TooFew, -1, false},
		"two readings":                 {every(180, 9, 0, true, 10, 9.9), wear.TooFew, -1, false},
		"all on one day":               {every(0, 9, 0, true, 10, 9.9, 9.8), wear.TooFew, -1, false},
		"no farther than it goes back": {every(180, 9, 0, true, 10, 9.93, 9.88, 9.80, 9.75), wear.Foretold, 1440, true}, // the line comes to 9 after 2851 days
		"the lower bound":              {every(100, 9, 0, true, 10, 9.8, 9.6, 9.4), wear.Foretold, 500, false},          // exactly on a line, which then is sure
		"upwards":                      {every(100, 1, 0, false, 0, .2, .4, .6), wear.Foretold, 500, false},
		"at the limit":                 {every(100, 9, 0, true, 10, 9.5, 9), wear.Reached, 200, false},
		"at the limit, with two":       {every(100, 9, 0, true, 10, 8.9), wear.Reached, 100, false},
		"within the doubt of it":       {every(100, 9, .03, true, 10, 9.5, 9.02), wear.Reached, 200, false},
		"no slope shown":               {every(100, 9, 0, true, 9.9, 9.95, 9.85, 9.92), wear.NotShown, -1, false},
		"a loss within the doubt":      {every(100, 9, .05, true, 10, 9.99, 9.98, 9.97), wear.NotShown, -1, false},
		"all the same":                 {every(100, 9, 0, true, 10, 10, 10, 10), wear.NotShown, -1, false},
		"growing metal":                {every(100, 9, 0, true, 9.5, 9.6, 9.7, 9.8), wear.Away, -1, false},
	} {
		f := c.course.Forecast()
		look, told := f.Look()
		if f.Outcome != c.outcome || told != (c.look >= 0) || told && look != day(c.look) || f.Far() != c.far {
			t.Errorf("%s: %+v, look %v %v, far %v", name, f, look, told, f.Far())
		}
	}
}

// The doubt of the instrument keeps points that lie on a line by luck from sounding sure.
func TestDoubtWidensAForecast(t *testing.T) {
	sure := every(100, 9, 0, true, 10, 9.9, 9.8, 9.7, 9.6).Forecast()
	doubtful := every(100, 9, .05, true, 10, 9.9, 9.8, 9.7, 9.6).Forecast()
	if !doubtful.From.Before(sure.From) || !doubtful.To.After(sure.To) || doubtful.Best != sure.Best {
		t.Errorf("without doubt %+v, with %+v", sure, doubtful)
	}
}

// Whatever was measured: a forecast never moves an item's day back, never speaks beyond one span of readings, and never of a day before the last.
func TestAForecastOnlyBringsNearer(t *testing.T) {
	told := 0
	rapid.Check(t, func(t *rapid.T) {
		c := wear.Course{
			Limit: rapid.Float64Range(-5, 20).Draw(t, "limit"), Doubt: rapid.Float64Range(0, .3).Draw(t, "doubt"), Down: rapid.Bool().Draw(t, "down"),
		}
		on, slope := 0, rapid.Float64Range(-.02, .02).Draw(t, "slope")
		for range rapid.IntRange(0, 12).Draw(t, "readings") {
			on += rapid.IntRange(0, 200).Draw(t, "days")
			c.Readings = append(c.Readings, wear.Reading{On: day(on), Value: 10 + slope*float64(on) + rapid.Float64Range(-.2, .2).Draw(t, "off")})
		}
		own := day(rapid.IntRange(0, 4000).Draw(t, "own"))
		f := c.Forecast()
		if got := f.Nearer(own); got.After(own) {
			t.Fatalf("%v is later than %v", got, own)
		}
		if got := f.Nearer(due.Date{}); !got.IsZero() {
			t.Fatalf("a day that isn't known became %v", got)
		}
		look, ok := f.Look()
		if !ok {
			return
		}
		told++
		last := c.Readings[len(c.Readings)-1].On
		if look.Before(last) || look.After(last.AddDays(day(0).DaysUntil(last))) || f.Outcome == wear.Foretold && (f.From.After(f.Best) || f.To.Before(f.Best)) {
			t.Fatalf("%+v looks at %v", f, look)
		}
	})
	if told == 0 {
		t.Error("nothing was ever foretold")
	}
}

func TestPointsThatMakeNoLine(t *testing.T) {
	if _, err := wear.Fit(pairs(1, 1, 2, 2)); !errors.Is(err, wear.ErrTooFew) {
		t.Errorf("two points: %v", err)
	}
	if _, err := wear.Fit(pairs(1, 1, 1, 2, 1, 3)); !errors.Is(err, wear.ErrTooFew) {
		t.Errorf("one X: %v", err)
	}
	if _, err := wear.FitRay(pairs(0, 1, 0, 2)); !errors.Is(err, wear.ErrNoRay) {
		t.Errorf("all at 0: %v", err)
	}
	if _, err := wear.FitKnown(pairs(1, 1, 2, 2), []float64{.1, 0}); !errors.Is(err, wear.ErrNoDoubt) {
		t.Errorf("no doubt: %v", err)
	}
}

// sets is how many random sets of points are compared with the general-purpose reference.
const sets = 10_000

// The line and all its errors agree with gonum's regression, and with a QR decomposition of the design, on random sets.
func TestAgainstAReference(t *testing.T) {
	luck := rand.New(rand.NewPCG(1, 2))
	same := func(what string, got, want, scale float64) {
		if math.Abs(got-want) > 1e-9*max(math.Abs(want), scale) {
			t.Fatalf("%s: %.15g, by the reference %.15g", what, got, want)
		}
	}
	for range sets {
		n := 3 + luck.IntN(30)
		var points []wear.Point
		var xs, ys, design []float64
		a, b, spread := luck.NormFloat64()*10, luck.NormFloat64(), luck.Float64()
		for range n {
			x := luck.Float64() * 2000
			points = append(points, wear.Point{X: x, Y: a + b*x + spread*luck.NormFloat64()})
			xs, ys, design = append(xs, x), append(ys, points[len(points)-1].Y), append(design, 1, x)
		}
		l := fit(t, points)
		scale := math.Abs(l.Intercept) + l.InterceptError
		intercept, slope := stat.LinearRegression(xs, ys, nil, false)
		same("intercept", l.Intercept, intercept, scale)
		same("slope", l.Slope, slope, 0)
		same("R²", l.Squared, stat.RSquared(xs, ys, nil, intercept, slope), 0)
		_, through := stat.LinearRegression(xs, ys, nil, true)
		r, err := wear.FitRay(points)
		if err != nil {
			t.Fatal(err)
		}
		same("slope through 0", r.Slope, through, 0)

		var qr mat.QR
		qr.Factorize(mat.NewDense(n, 2, design))
		var solved mat.Dense
		if err := qr.SolveTo(&solved, false, mat.NewDense(n, 1, ys)); err != nil {
			t.Fatal(err)
		}
		same("intercept by QR", l.Intercept, solved.At(0, 0), scale)
		same("slope by QR", l.Slope, solved.At(1, 0), 0)
		residual := 0.0
		for i := range xs {
			residual += math.Pow(ys[i]-solved.At(0, 0)-solved.At(1, 0)*xs[i], 2)
		}
		var upper, inverse mat.Dense
		qr.RTo(&upper)
		if err := inverse.Inverse(upper.Slice(0, 2, 0, 2)); err != nil {
			t.Fatal(err)
		}
		s := math.Sqrt(residual / float64(n-2))
		same("spread", l.Spread, s, 1e-3)
		same("error of the intercept", l.InterceptError, s*math.Hypot(inverse.At(0, 0), inverse.At(0, 1)), 1e-3)
		same("error of the slope", l.SlopeError, s*math.Abs(inverse.At(1, 1)), 1e-6)
	}
}
