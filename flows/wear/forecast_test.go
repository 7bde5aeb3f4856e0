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
	c := wear.Course{Limit: limit, Down: down}
	for i, v := range values {
		c.Readings = append(c.Readings, wear.Reading{On: day(i * days), Value: v, Doubt: doubt})
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
		"no farther than it goes back": {every(180, 9, 0, true, 10, 9.93, 9.88, 9.80, 9.75), wear.Foretold, -1, true}, // the line comes to 9 after 2851 days
		"the lower bound":              {every(100, 9, 0, true, 10, 9.8, 9.6, 9.4), wear.Foretold, 500, false},        // exactly on a line, which then is sure
		"upwards":                      {every(100, 1, 0, false, 0, .2, .4, .6), wear.Foretold, 500, false},
		"at the limit":                 {every(100, 9, 0, true, 10, 9.5, 9), wear.Reached, -1, false},
		"at the limit, with two":       {every(100, 9, 0, true, 10, 8.9), wear.Reached, -1, false},
		"within the doubt of it":       {every(100, 9, .03, true, 10, 9.5, 9.02), wear.Reached, -1, false},
		// By the interval the next reading might be at 1 on the day of the last already, which measured 0.84. By hand: slope 237.51/165620 =
		// 0.0014341 a day, spread √(0.00907/2) = 0.0673, t(2) 4.303 (JCGM 100:2008, table G.2), so the pace is at most
		// 0.0014341 + 4.303·0.0673/√165620 = 0.0021461; the 0.12 that are left beyond the doubt last 55.9 days, half of them 27.9.
		"no sooner than half of it lasts": {every(182, 1, .04, false, .06, .22, .49, .84), wear.Foretold, 546 + 27, false},
		"a day at least":                  {every(1, 1, .001, false, .95, .97, .99), wear.Foretold, 3, false},
		"no slope shown":                  {every(100, 9, 0, true, 9.9, 9.95, 9.85, 9.92), wear.NotShown, -1, false},
		"a loss within the doubt":         {every(100, 9, .05, true, 10, 9.99, 9.98, 9.97), wear.NotShown, -1, false},
		"all the same":                    {every(100, 9, 0, true, 10, 10, 10, 10), wear.NotShown, -1, false},
		"growing metal":                   {every(100, 9, 0, true, 9.5, 9.6, 9.7, 9.8), wear.Away, -1, false},
	} {
		f := c.course.Forecast()
		look, told := f.Look()
		if f.Outcome != c.outcome || told != (c.look >= 0) || told && look != day(c.look) || f.Far() != c.far {
			t.Errorf("%s: %+v, look %v %v, far %v", name, f, look, told, f.Far())
		}
	}
}

// Whether a limit is reached goes by the doubt of the reading itself: what a coarser instrument read before has no say in it, and hides no forecast.
func TestTheLastReadingHasADoubtOfItsOwn(t *testing.T) {
	c := every(100, 1, .1, false, .3, .45, .6, .75, .92)
	if f := c.Forecast(); f.Outcome != wear.Reached {
		t.Errorf("within its doubt: %+v", f)
	}
	c.Readings[4].Doubt = .02
	if look, told := c.Forecast().Look(); !told || !look.After(day(400)) || look.After(day(460)) {
		t.Errorf("read with a better instrument: %+v looks at %v", c.Forecast(), look)
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

// randomCourse is of up to 12 readings about a line that mostly wears, towards a limit that is near or has been passed. Its numbers are
// spread evenly, which rapid's own aren't.
func randomCourse(t *rapid.T) wear.Course {
	luck := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "luck"), 1))
	between := func(low, high float64) float64 { return low + (high-low)*luck.Float64() }
	c := wear.Course{Down: luck.IntN(2) == 0}
	slope, left := between(-.001, .01), between(-.2, 3)
	if c.Down {
		slope, left = -slope, -left
	}
	on := 0
	for range luck.IntN(13) {
		on += luck.IntN(200)
		c.Readings = append(c.Readings, wear.Reading{On: day(on), Value: 10 + slope*float64(on) + between(-.1, .1), Doubt: between(0, .1)})
	}
	c.Limit = 10 + slope*float64(on) + left
	return c
}

// Whatever was measured: an item falls due no later than without its forecast, with no readings on the same day; never on or before the
// day of the last reading, never beyond one span of readings; and the same in whichever order they come.
func TestAForecastOnlyBringsNearer(t *testing.T) {
	told, nearer := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		c := randomCourse(t)
		exam := day(0)
		if n := len(c.Readings); n > 0 {
			exam = c.Readings[n-1].On.AddDays(rapid.IntRange(0, 100).Draw(t, "examined later"))
		}
		plain := exam.AddDays(rapid.IntRange(0, 400).Draw(t, "interval"))
		look, ok := c.Forecast().Look()
		got := due.Nearer(plain, look, exam)
		switch {
		case got.After(plain):
			t.Fatalf("%v is later than %v", got, plain)
		case len(c.Readings) < 3 && got != plain:
			t.Fatalf("%d readings moved %v to %v", len(c.Readings), plain, got)
		case !due.Nearer(due.Date{}, look, exam).IsZero():
			t.Fatal("a day that isn't known became one")
		case got != plain:
			nearer++
		}
		shuffled := c
		shuffled.Readings = rapid.Permutation(c.Readings).Draw(t, "order")
		if again, okAgain := shuffled.Forecast().Look(); again != look || okAgain != ok {
			t.Fatalf("in another order %v %v, not %v %v", again, okAgain, look, ok)
		}
		if !ok {
			return
		}
		told++
		f, last := c.Forecast(), c.Readings[len(c.Readings)-1].On
		if !look.After(last) || look.After(last.AddDays(day(0).DaysUntil(last))) || f.From.After(f.Best) && f.Best.After(last) || f.To.Before(f.Best) || f.Far() {
			t.Fatalf("%+v looks at %v", f, look)
		}
	})
	if told == 0 || nearer == 0 {
		t.Errorf("%d were foretold, %d brought nearer", told, nearer)
	}
}

// livesOf examines items each half a year, or sooner where their readings foretell it, until a reading is at the limit or within its doubt of
// it. They wear evenly to their limit in about so many days, and a reading is off by some hundredths. It counts the examinations,
// and the items that wore past the limit before one.
func livesOf(items int, days float64, foretold bool) (examined, past int) {
	luck := rand.New(rand.NewPCG(1, 2))
	for range items {
		pace, on := 1/(days*(0.7+0.6*luck.Float64())), 0
		for c := (wear.Course{Limit: 1}); ; {
			examined++
			worn := pace * float64(on)
			read := math.Round(100*(worn+.015*luck.NormFloat64())) / 100
			if read+.04 >= c.Limit {
				if worn > c.Limit {
					past++
				}
				break
			}
			c.Readings = append(c.Readings, wear.Reading{On: day(on), Value: read, Doubt: .04})
			next := day(on + 182)
			if look, _ := c.Forecast().Look(); foretold {
				next = due.Nearer(next, look, day(on))
			}
			on = day(0).DaysUntil(next)
		}
	}
	return examined, past
}

// What a forecast is for: hardly an item that wears evenly gets past its limit between two examinations, at the price of a few more of them. Half
// would, and more, by the interval alone.
func TestForecastsFindWearBeforeTheLimit(t *testing.T) {
	const items = 300
	for _, days := range []float64{600, 1095, 2000} {
		examined, past := livesOf(items, days, false)
		sooner, pastThen := livesOf(items, days, true)
		t.Logf("%v days to the limit: by the interval %.1f examinations and %d of %d past it, with forecasts %.1f and %d",
			days, float64(examined)/items, past, items, float64(sooner)/items, pastThen)
		if past < items/3 || pastThen > items/100 || sooner > 3*examined {
			t.Errorf("that is not what a forecast is for")
		}
	}
}

// A new part begins a new course where somebody worked on the item and the place is better than wear could make it; the work alone, or
// the better reading alone, doesn't.
func TestAReplacedPartBeginsAnew(t *testing.T) {
	worn := every(100, 1, .04, false, .1, .4, .7, .05, .3)
	for name, c := range map[string]struct {
		course wear.Course
		worked []due.Date
		begins int
	}{
		"nobody worked on it":       {worn, nil, 0},
		"worked on before it":       {worn, []due.Date{day(150)}, 0},
		"replaced":                  {worn, []due.Date{day(250)}, 3},
		"on the day it was read":    {worn, []due.Date{day(300)}, 3},
		"better by the doubts only": {every(100, 1, .04, false, .1, .4, .33, .5), []due.Date{day(150)}, 0},
		"twice":                     {every(100, 1, .04, false, .5, .1, .6, .2), []due.Date{day(50), day(250)}, 3},
		"a thickness that grew":     {every(100, 9, .04, true, 9.9, 9.4, 9.95, 9.9), []due.Date{day(150)}, 2},
	} {
		if got := c.course.Begins(c.worked); got != c.begins {
			t.Errorf("%s: it begins at %d, not at %d", name, got, c.begins)
		}
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
