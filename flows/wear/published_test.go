package wear_test

import (
	"math"
	"testing"

	"becket/flows/chance"
	"becket/flows/wear"
)

// as fails unless got is the published value to the digits that were printed: within is half the last of them, or a
// share of the value where less than 1e-6 is given.
func as(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if within < 1e-6 {
		within *= math.Abs(want)
	}
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s: %.15g, published %.15g", what, got, want)
	}
}

// to9 is agreement to nine digits and more.
const to9 = 5e-10

func fit(t *testing.T, points []wear.Point) wear.Line {
	t.Helper()
	l, err := wear.Fit(points)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// along pairs Y with X in steps.
func along(start, step float64, y ...float64) (points []wear.Point) {
	for i, v := range y {
		points = append(points, wear.Point{X: start + float64(i)*step, Y: v})
	}
	return points
}

func pairs(xy ...float64) (points []wear.Point) {
	for i := 0; i < len(xy); i += 2 {
		points = append(points, wear.Point{X: xy[i], Y: xy[i+1]})
	}
	return points
}

// NIST Statistical Reference Datasets, linear regression, Norris: certified values.
func TestNorris(t *testing.T) {
	l := fit(t, pairs(.2, .1, 337.4, 338.8, 118.2, 118.1, 884.6, 888, 10.1, 9.2, 226.5, 228.1, 666.3, 668.5, 996.3, 998.5, 448.6, 449.1,
		777, 778.9, 558.2, 559.2, .4, .3, .6, .1, 775.5, 778.1, 666.9, 668.8, 338, 339.3, 447.5, 448.9, 11.6, 10.8, 556, 557.7, 228.1, 228.3,
		995.8, 998, 887.6, 888.8, 120.2, 119.6, .3, .3, .3, .6, 556.8, 557.6, 339.1, 339.3, 887.2, 888, 999, 998.5, 779, 778.9, 11.1, 10.2,
		118.3, 117.6, 229.2, 228.9, 669.1, 668.4, 448.9, 449.2, .5, .2))
	as(t, "b0", l.Intercept, -0.262323073774029, to9)
	as(t, "its error", l.InterceptError, 0.232818234301152, to9)
	as(t, "b1", l.Slope, 1.00211681802045, to9)
	as(t, "its error", l.SlopeError, 0.429796848199937e-3, to9)
	as(t, "R²", l.Squared, 0.999993745883712, to9)
	as(t, "regression", l.Explained, 4255954.13232369, to9)
	as(t, "residual", l.Residual, 26.6173985294224, to9)
	as(t, "mean square", l.Spread*l.Spread, 0.782864662630069, to9)
	as(t, "F", l.Ratio(), 5436385.54079785, to9)
}

// NIST Statistical Reference Datasets, NoInt1 and NoInt2: certified values of a line through 0.
func TestThroughOrigin(t *testing.T) {
	one, err := wear.FitRay(along(60, 1, 130, 131, 132, 133, 134, 135, 136, 137, 138, 139, 140))
	if err != nil {
		t.Fatal(err)
	}
	as(t, "b", one.Slope, 2.07438016528926, to9)
	as(t, "its error", one.SlopeError, 0.165289256198347e-1, to9)
	as(t, "s", one.Spread, 3.56753034006338, to9)
	as(t, "R²", one.Squared, 0.999365492298663, to9)
	as(t, "regression", one.Explained, 200457.727272727, to9)
	as(t, "residual", one.Residual, 127.272727272727, to9)
	as(t, "F", one.Ratio(), 15750.25, to9)
	two, err := wear.FitRay(along(4, 1, 3, 4, 4))
	if err != nil {
		t.Fatal(err)
	}
	as(t, "b", two.Slope, 0.727272727272727, to9)
	as(t, "its error", two.SlopeError, 0.420827318078432e-1, to9)
	as(t, "R²", two.Squared, 0.993348115299335, to9)
	as(t, "regression", two.Explained, 40.7272727272727, to9)
	as(t, "residual", two.Residual, 0.272727272727273, to9)
	as(t, "mean square", two.Spread*two.Spread, 0.136363636363636, to9)
}

// NIST/SEMATECH e-Handbook 8.4.2.3, degradation in percent at 65 degrees, read after 200, 500 and 1000 hours; failure at 30 %. The data
// are from memory; the times follow from them by least squares through 0.
func TestThroughOriginToALimit(t *testing.T) {
	for _, unit := range []struct{ y200, y500, y1000, hours float64 }{
		{.87, 1.48, 2.81, 10392.1}, {.33, .96, 2.13, 14461.9}, {.94, 2.91, 5.67, 5291.9}, {.72, 1.98, 4.28, 7148.1}, {.66, .99, 2.14, 13986.3},
	} {
		r, err := wear.FitRay(pairs(200, unit.y200, 500, unit.y500, 1000, unit.y1000))
		if err != nil {
			t.Fatal(err)
		}
		as(t, "hours", r.Reaches(30), unit.hours, .05)
	}
}

// Moore and McCabe, Introduction to the Practice of Statistics, 10.3; and a set whose slope isn't shown.
func TestSlopeShownOrNot(t *testing.T) {
	l := fit(t, pairs(15.6, 5.2, 26.8, 6.1, 37.8, 8.7, 36.4, 8.5, 35.5, 8.8, 18.6, 4.9, 15.3, 4.5, 7.9, 2.5, 0, 1.1))
	as(t, "error of the slope", l.SlopeError, .011448491, 5e-10/.0114)
	as(t, "error of the intercept", l.InterceptError, .286036932, 5e-10/.286)
	as(t, "p, in ten millionths", l.ByChance()*1e7, 4.596, .0005)
	as(t, "half width", l.SlopeBand(.95).High-l.Slope, .0270713794287, to9)
	none := fit(t, along(1, 1, 1, 0, 5, 2, -1, 12))
	as(t, "error of the slope", none.SlopeError, 1.07260253, 1e-8)
	as(t, "p", none.ByChance(), .261829133982, to9)
	as(t, "half width", none.SlopeBand(.95).High-none.Slope, 2.97802204827, to9)
	if none.Shown(.95) || !l.Shown(.95) {
		t.Error("the first slope is shown, the second isn't")
	}
	if _, ok := none.ReachedBetween(20, .95); ok {
		t.Error("a slope that isn't shown has no end to say when")
	}
}

// JCGM 100:2008, H.3: the calibration of a thermometer, t0 20 degrees.
func TestThermometer(t *testing.T) {
	at := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	var points []wear.Point
	for i, b := range []float64{-.171, -.169, -.166, -.159, -.164, -.165, -.156, -.157, -.159, -.161, -.160} {
		points = append(points, wear.Point{X: at[i] - 20, Y: b})
	}
	l := fit(t, points)
	as(t, "intercept", l.Intercept, -0.171203790, 5e-10/.17)
	as(t, "its error", l.InterceptError, 0.002877598, 5e-10/.0029)
	as(t, "slope", l.Slope, 0.002182698, 5e-10/.0022)
	as(t, "its error", l.SlopeError, 0.000667939, 9e-7)
	as(t, "spread", l.Spread, 0.003497564, 5e-10/.0035)
	as(t, "squares", l.Residual, 1.100966e-4, 5e-7)
	as(t, "at 30", l.At(10), -0.149377, 1e-6)
	as(t, "its error", l.ErrorAt(10), 0.004138596, 5e-10/.0041)
}

// ISO/TS 28037:2010, 6.3 (a doubt known beforehand) and appendix E (a doubt from the points themselves).
func TestCalibrationLines(t *testing.T) {
	k, err := wear.FitKnown(along(1, 1, 3.3, 5.6, 7.1, 9.3, 10.7, 12.1), []float64{.5, .5, .5, .5, .5, .5})
	if err != nil {
		t.Fatal(err)
	}
	as(t, "a", k.Intercept, 1.86667, 5e-6)
	as(t, "u(a)", k.InterceptError, .465475, 1e-6)
	as(t, "b", k.Slope, 1.757143, 1e-6)
	as(t, "u(b)", k.SlopeError, .119523, 1e-6)
	as(t, "cov", k.Covariance, -.05, 1e-9)
	as(t, "χ²", k.Misfit, 1.66476, 5e-6)
	x, u := k.Reaches(10.5, .5)
	as(t, "x", x, 4.913279, 1e-6)
	as(t, "u(x)", u, .322036, 1e-6)

	l := fit(t, along(1, 1, 3.014, 5.225, 7.004, 9.061, 11.201, 12.762))
	as(t, "a", l.Intercept, 1.172, .0005)
	as(t, "u(a)", l.InterceptError, .158875, 1e-6)
	as(t, "b", l.Slope, 1.963571, 1e-6)
	as(t, "u(b)", l.SlopeError, .040795, 1e-6)
	as(t, "x", l.Reaches(10.5), 4.7505, .00005)
	as(t, "u(x)", l.ReachError(10.5, 1), .0974, .00005)
	as(t, "mean", l.At(3.5), 8.0445, .0002)
	as(t, "u(mean)", l.ErrorAt(3.5), .0697, .00005)
	as(t, "u(single)", l.NextErrorAt(3.5), .1843, .00005)
}

// Graybill and Iyer, Regression Analysis (1994), pages 431 to 434.
func TestInversePrediction(t *testing.T) {
	thermostat := fit(t, along(96, 2, 95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21))
	chamber := fit(t, along(0, 10, 206.36, 225.52, 252.18, 289.33, 318.11, 349.49, 383.03, 410.70, 444.40, 469.14, 501.16))
	crystal := fit(t, along(2, 2, .08, 1.12, 4.43, 4.98, 4.92, 7.18, 5.57, 8.40, 8.81, 10.81, 11.16, 10.12, 13.12, 15.04))
	for _, c := range []struct {
		what              string
		line              wear.Line
		between           func(y, level float64) (chance.Interval, bool)
		y, level          float64
		at, lower, higher float64
	}{
		{"thermostat", thermostat, thermostat.ReachedBetween, 104, .95, 103.99492, 103.40405, 104.58946},
		{"thermostat", thermostat, thermostat.ReachedBetween, 100, .90, 100.11232, 99.62940, 100.58850},
		{"reaction chamber", chamber, chamber.LineReachedBetween, 400, .99, 66.52004, 65.07089, 68.02583},
		{"crystal", crystal, crystal.LineReachedBetween, 5, .90, 9.92906, 8.65026, 11.04790},
	} {
		between, ok := c.between(c.y, c.level)
		if !ok {
			t.Fatalf("%s: no interval", c.what)
		}
		as(t, c.what, c.line.Reaches(c.y), c.at, 5e-6)
		as(t, c.what+", earliest", between.Low, c.lower, 5e-6)
		as(t, c.what+", latest", between.High, c.higher, 5e-6)
	}
}

// Massart et al., Handbook of Chemometrics and Qualimetrics A (1997), example 1 of chapter 8; the book prints 6.1 ± 4.9, 43.9 ± 4.9
// and, for five readings, 43.9 ± 3.2.
func TestInversePredictionToTheFirstOrder(t *testing.T) {
	l := fit(t, along(0, 10, 4, 21.2, 44.6, 61.8, 78, 105.2))
	t4 := chance.StudentQuantile(.975, 4)
	as(t, "15", l.Reaches(15), 6.09381, 5e-6)
	as(t, "its error", l.ReachError(15, 1), 1.767278, 1e-6)
	as(t, "give or take", t4*l.ReachError(15, 1), 4.906751, 1e-6)
	as(t, "90", l.Reaches(90), 43.93983, 5e-6)
	as(t, "give or take", t4*l.ReachError(90, 1), 4.908053, 1e-6)
	as(t, "give or take of five", t4*l.ReachError(90, 5), 3.168489, 1e-6)
}

// Kutner, Nachtsheim, Neter and Li, Applied Linear Statistical Models, the Toluca Company (from memory), chapters 1 and 2.
func TestToluca(t *testing.T) {
	x := []float64{80, 30, 50, 90, 70, 60, 120, 80, 100, 50, 40, 70, 90, 20, 110, 100, 30, 50, 90, 110, 30, 90, 40, 80, 70}
	var points []wear.Point
	for i, y := range []float64{399, 121, 221, 376, 361, 224, 546, 352, 353, 157, 160, 252, 389, 113, 435, 420, 212, 268, 377, 421, 273, 468, 244, 342, 323} {
		points = append(points, wear.Point{X: x[i], Y: y})
	}
	l := fit(t, points)
	as(t, "b0", l.Intercept, 62.36586, 5e-6)
	as(t, "b1", l.Slope, 3.570202, 1e-6)
	as(t, "mean square", l.Spread*l.Spread, 2383.716, .0005)
	as(t, "at 65", l.At(65), 294.429, .0005)
	as(t, "from", l.Band(65, .90).Low, 277.43, .005)
	as(t, "to", l.Band(65, .90).High, 311.43, .005)
	as(t, "at 100", l.At(100), 419.386, .0005)
	as(t, "error of one more", l.NextErrorAt(100), 50.8666, .00005)
	as(t, "from", l.NextBand(100, .90).Low, 332.21, .005)
	as(t, "to", l.NextBand(100, .90).High, 506.56, .005)
}

// Crack growth to 30 mm over thousands of cycles, y = b·e^(ax) ("Weibull Degradation Crack Propagation", a reliability handbook's worked example:
// a and b as printed, the times recomputed). The straight line differs, which shows how much hangs on the model; and where the last
// reading is at the limit already, nothing is foretold at all.
func TestCrackGrowth(t *testing.T) {
	for _, c := range []struct {
		unit             string
		mm               []float64
		a, b, at, linear float64
		reached          bool
	}{
		{"A", []float64{15, 20, 22, 26, 29}, .00158, 13.596, 500.622, 523.53, false},
		{"B", []float64{10, 15, 20, 25, 30}, .00271, 8.272, 475.739, 500.00, true},
		{"C", []float64{17, 25, 26, 27, 33}, .00140, 16.435, 428.739, 429.41, true},
		{"D", []float64{12, 16, 17, 20, 26}, .00177, 10.361, 600.810, 668.75, false},
		{"E", []float64{10, 15, 20, 26, 33}, .00294, 7.931, 452.832, 461.40, true},
	} {
		var logs []float64
		for _, y := range c.mm {
			logs = append(logs, math.Log(y))
		}
		l := fit(t, along(100, 100, logs...))
		as(t, c.unit+" a", l.Slope, c.a, 5e-6)
		as(t, c.unit+" b", math.Exp(l.Intercept), c.b, .0005)
		as(t, c.unit+" time", l.Reaches(math.Log(30)), c.at, .0005)
		as(t, c.unit+" time of a straight line", fit(t, along(100, 100, c.mm...)).Reaches(30), c.linear, .005)
		course := wear.Course{Limit: 30}
		for i, y := range c.mm {
			course.Readings = append(course.Readings, wear.Reading{On: day(0).AddDays(100 * i), Value: y})
		}
		if f := course.Forecast(); (f.Outcome == wear.Reached) != c.reached {
			t.Errorf("%s: %v, reached %v", c.unit, f, c.reached)
		}
	}
}

// A cam's wear over two years, recomputed by hand from the formula: there is no published source.
func TestOwnWear(t *testing.T) {
	l := fit(t, along(0, 6, 10.00, 9.93, 9.88, 9.80, 9.75))
	between, ok := l.ReachedBetween(9.0, .95)
	as(t, "a month", l.Slope, -.0105, 1e-9)
	as(t, "months", l.Reaches(9), 95.05, .005)
	as(t, "earliest", between.Low, 85.36, .005)
	as(t, "latest", between.High, 107.47, .005)
	if !ok {
		t.Error("no interval")
	}
}
