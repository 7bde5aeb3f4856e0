package flows

import (
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"
)

// digits is a Number with more decimals than people may type, as published tables have them.
func digits(text string) Number { return Number{decimal.MustParse(text)} }

// combine is the root of the sum of squares, by the steps that Budget takes.
func combine(parts ...string) Number {
	sum := square(Number{})
	for _, p := range parts {
		sum = sum.plus(square(digits(p)))
	}
	return shown(sum.root())
}

// Each published figure is compared at its own number of digits.
func TestDoubtAsPublished(t *testing.T) {
	caliper := Errors{Limit: digits("0.03"), Resolution: digits("0.01"), Setting: digits("0.0114017543")}.Budget()
	const own = "own caliper vector: limit 0.03, step 0.01, setting √0.00013 from five settings (computed apart from this program, after JCGM 100:2008 5.1.2 and 6.2.1)"
	for _, c := range []struct {
		name, source string
		got          Number
		places       int
		want         string
	}{
		{"half-width 4", "JCGM 100:2008 4.4.5, 96 to 104 (from memory)", Errors{Limit: digits("4")}.Budget().Limit, 4, "2.3094"},
		{"step 1", "JCGM 100:2008 F.2.2.1", Errors{Resolution: digits("1")}.Budget().Resolution, 6, "0.288675"},
		{"step 0.01", "JCGM 100:2008 F.2.2.1", Errors{Resolution: digits("0.01")}.Budget().Resolution, 7, "0.0028868"},
		{"caliper limit", own, caliper.Limit, 7, "0.0173205"},
		{"caliper step", own, caliper.Resolution, 7, "0.0028868"},
		{"caliper setting", own, caliper.Setting, 7, "0.0114018"},
		{"caliper combined", own, caliper.Combined, 7, "0.0209364"},
		{"caliper expanded", own, caliper.Expanded, 7, "0.0418728"},
		{"gauge difference", "JCGM 100:2008 H.1, d", combine("5.8", "3.9", "6.7"), 1, "9.7"},
		{"end gauge", "JCGM 100:2008 H.1, u_c of l, printed 32", combine("25", "9.7", "2.9", "16.6"), 2, "31.67"},
		{"end gauge as printed", "JCGM 100:2008 H.1", combine("25", "9.7", "2.9", "16.6"), 0, "32"},
		{"three relative parts", "JCGM 100:2008 G.4.2 (from memory)", combine("0.25", "0.57", "0.82"), 4, "1.0295"},
		{"calibration solution", "EURACHEM/CITAC QUAM example A1", combine("0.49995", "0.486284", "0.40935", "0.20054", "0.0578967"), 4, "0.8352"},
	} {
		if got := c.got.d.Round(c.places).String(); got != c.want {
			t.Errorf("%s: got %s, want %s (%s)", c.name, got, c.want, c.source)
		}
	}
}

// Common practice, no source: a doubt is rounded up, so that it is never smaller than what was worked out; and
// what comes out even stays so. Reckoned by hand.
func TestDoubtIsRoundedUp(t *testing.T) {
	for _, c := range []struct{ limit, resolution, setting, want string }{
		{"0.03", "0.01", "0.011", "0.042"}, // 0.04144
		{"0.03", "0", "0.01", "0.040"},     // √(0.0003 + 0.0001) = 0.02 exactly
		{"0", "0", "0.02", "0.040"},
		{"0", "0", "0.0205", "0.041"},
		{"0", "0", "0.020501", "0.042"},
		{"0", "0", "0", "0.000"},
	} {
		e := Errors{MustNumber(c.limit), MustNumber(c.resolution), MustNumber(c.setting)}
		if got := e.Budget().Doubt; !got.Equal(MustNumber(c.want)) {
			t.Errorf("%+v: doubt %s, want %s", c, got, c.want)
		}
	}
}

func TestDoubtSentence(t *testing.T) {
	for _, c := range []struct {
		errors Errors
		want   string
	}{
		{
			Errors{MustNumber("0.03"), MustNumber("0.01"), MustNumber("0.0114")},
			"error limit 0.03 → 0.0173; step 0.01 → 0.0029; setting 0.0114; together 0.0209, doubled and rounded up 0.042 (JCGM 100)",
		},
		{
			Errors{Limit: MustNumber("0.03")},
			"error limit 0.03 → 0.0173; together 0.0173, doubled and rounded up 0.035 (JCGM 100)",
		},
		{Errors{}, "no error of the instrument is declared"},
	} {
		if got := c.errors.Budget().Sentence(); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

func TestMoreErrorNeverLessDoubt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) Number {
			return MustNumber(rapid.StringMatching(`[0-9]{1,9}(\.[0-9]{1,6})?`).Draw(t, name))
		}
		e := Errors{draw("limit"), draw("resolution"), draw("setting")}
		less := e.Budget()
		e.Limit = e.Limit.Add(MustNumber("0.01"))
		more := e.Budget()
		if more.Doubt.Less(less.Doubt) || less.Doubt.Less(less.Expanded) && !shown(less.Doubt.d).Equal(less.Expanded) {
			t.Fatalf("%+v gives less doubt than %+v", more, less)
		}
	})
}
