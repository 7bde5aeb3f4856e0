package due_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"becket/flows/due"
)

func TestRegimesAsPublished(t *testing.T) {
	want := []due.Regime{
		{Name: "LOLER 1998", People: 6, Goods: 12},              // LOLER 1998 reg 9(3)
		{Name: "HSE INDG367", People: 6, Arduous: 3},            // HSE INDG367, revised 2009
		{Name: "EN 365:2004", People: 12},                       // EN 365:2004, the 12-month clause
		{Name: "Rope access codes", People: 6},                  // IRATA ICOP part 2, 2.10; the other clauses from memory
		{Name: "AS/NZS 1891.4:2009", People: 6},                 // table 9.1, 9.3.2, 9.3.4a, 9.7
		{Name: "ANSI/ASSP Z359.2", People: 12},                  // from memory
		{Name: "California", People: 6},                         // at least two a year, from memory
		{Name: "ASME B30.26", People: 0, Goods: 12, Arduous: 3}, // ASME B30.26-2004, 26-4.8.3
	}
	got := due.Regimes()
	if len(got) != len(want) {
		t.Fatalf("%d regimes, want %d", len(got), len(want))
	}
	for i, w := range want {
		w.Source = got[i].Source
		if got[i] != w {
			t.Errorf("got %+v, want %+v", got[i], w)
		}
		if got[i].Source == "" {
			t.Errorf("%s has no source", got[i].Name)
		}
	}
}

func TestStrictest(t *testing.T) {
	if got := due.Strictest(0, 12, 0, 6, 9); got != 6 {
		t.Errorf("got %d, want 6", got)
	}
	if got := due.Strictest(0, 0); got != 0 {
		t.Errorf("got %d, want 0 for none", got)
	}
}

func TestInterval(t *testing.T) {
	for _, c := range []struct {
		use        string
		own, sheet int
		arduous    bool
		months     int
		why        string
	}{
		{"people", 0, 0, false, 6, "LOLER 1998 reg 9(3)"},
		{"goods", 0, 0, false, 12, "LOLER 1998 reg 9(3)"},
		{"people", 0, 0, true, 3, "INDG367"},
		{"goods", 0, 0, true, 3, "INDG367"},
		{"people", 4, 0, true, 3, "INDG367"},
		// the rest: common practice, no source; the stricter always wins
		{"", 0, 0, false, 6, "people"},
		{"people", 12, 0, false, 6, "the default for people"},
		{"people", 0, 12, false, 6, "the default for people"},
		{"goods", 9, 0, false, 9, "own"},
		{"goods", 9, 6, false, 6, "maker"},
		{"people", 0, 2, true, 2, "maker"},
		{"people", 1, 2, true, 1, "own"},
		{"people", 6, 6, false, 6, "the default for people"},
	} {
		months, why := due.Interval(c.use, c.own, c.sheet, c.arduous)
		if months != c.months || !strings.Contains(why, c.why) {
			t.Errorf("%+v: got %d months by %q", c, months, why)
		}
	}
}

func TestNothingLengthensTheInterval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		use := rapid.SampledFrom([]string{"people", "goods"}).Draw(t, "use")
		own, sheet := rapid.IntRange(0, 36).Draw(t, "own"), rapid.IntRange(0, 36).Draw(t, "sheet")
		usual, _ := due.Interval(use, 0, 0, false)
		months, why := due.Interval(use, own, sheet, rapid.Bool().Draw(t, "arduous"))
		if months > usual || own > 0 && months > own || sheet > 0 && months > sheet || why == "" {
			t.Fatalf("%s, own %d, sheet %d: %d months by %q", use, own, sheet, months, why)
		}
	})
}
