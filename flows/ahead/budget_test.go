package ahead_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"becket/flows/ahead"
	"becket/flows/due"
)

func date(text string) due.Date {
	d, err := due.Parse(text)
	if err != nil {
		panic(err)
	}
	return d
}

// Reckoned by hand.
func TestBudget(t *testing.T) {
	got := ahead.For(date("2026-11-14"), 36, []ahead.Need{
		{Mark: "D-03", Latest: date("2026-10-01"), Price: 18000, Priced: true},                              // retired, not yet replaced: now
		{Mark: "H-01", Latest: date("2027-05-31"), Price: 9050, Priced: true, Lasts: 120},                   // the end of its life
		{Mark: "D-07", Soonest: date("2027-05-02"), Latest: date("2028-01-01"), Price: 18000, Priced: true}, // wear may come before
		{Mark: "G-02", Soonest: date("2028-03-01"), Price: 7000, Priced: true},                              // wear alone
		{Mark: "R-01", Latest: date("2027-11"), Lasts: 12},                                                  // a rope a year, and nobody knows what it costs
		{Mark: "C-11"}, // nothing ends it
		{Mark: "L-01", Latest: date("2029-11-01"), Price: 100, Priced: true},                               // one day too far ahead
		{Mark: "P-05", Latest: date("2026-12-31"), Soonest: date("2027-02-01"), Price: 6000, Priced: true}, // life ends before wear
	})
	want := ahead.Budget{
		Months: []ahead.Month{
			{First: date("2026-11-01"), Certain: []string{"D-03"}, Low: 18000, High: 18000},
			{First: date("2026-12-01"), Certain: []string{"P-05"}, Low: 24000, High: 24000},
			{First: date("2027-05-01"), Certain: []string{"H-01"}, Perhaps: []string{"D-07"}, Low: 33050, High: 51050},
			{First: date("2027-11-01"), Certain: []string{"R-01"}, Low: 33050, High: 51050},
			{First: date("2028-01-01"), Certain: []string{"D-07"}, Low: 51050, High: 51050},
			{First: date("2028-03-01"), Perhaps: []string{"G-02"}, Low: 51050, High: 58050},
			{First: date("2028-11-01"), Certain: []string{"R-01"}, Low: 51050, High: 58050},
		},
		Low: 51050, High: 58050, Least: 6, Most: 7, Unpriced: []string{"R-01"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// The range is one in every month, it never gets smaller, and the more needs the more it costs.
func TestBudgetIsARange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		today := date("2026-11-14")
		var needs []ahead.Need
		for range rapid.IntRange(0, 30).Draw(t, "needs") {
			n := ahead.Need{Mark: "x", Lasts: rapid.IntRange(0, 40).Draw(t, "lasts"), Price: ahead.Money(rapid.IntRange(1, 50000).Draw(t, "price")), Priced: true}
			if rapid.Bool().Draw(t, "ends") {
				n.Latest = today.AddDays(rapid.IntRange(-100, 1500).Draw(t, "latest"))
			}
			if rapid.Bool().Draw(t, "wears") {
				n.Soonest = today.AddDays(rapid.IntRange(-100, 1500).Draw(t, "soonest"))
			}
			needs = append(needs, n)
		}
		b := ahead.For(today, 36, needs)
		var low, high ahead.Money
		for _, m := range b.Months {
			if m.Low > m.High || m.Low < low || m.High < high {
				t.Fatalf("%+v", b)
			}
			low, high = m.Low, m.High
		}
		if b.Least > b.Most || low > b.Low || high > b.High {
			t.Fatalf("%+v", b)
		}
		if len(needs) > 0 {
			if fewer := ahead.For(today, 36, slices.Clone(needs[1:])); fewer.Low > b.Low || fewer.High > b.High {
				t.Fatalf("%+v costs more than %+v", fewer, b)
			}
		}
	})
}

func TestPrices(t *testing.T) {
	for text, want := range map[string]string{"180": "180", "62.50": "62.50", "62,5": "62.50", " 0.05 ": "0.05", "9999999.99": "9999999.99"} {
		if m, err := ahead.ParseMoney(text); err != nil || m.String() != want {
			t.Errorf("%q is %v, %v", text, m, err)
		}
	}
	for _, text := range []string{"", "-5", "+5", "5.", ".5", "1.234", "1,000.00", "12345678", "£5", "5 each", "1e3"} {
		if m, err := ahead.ParseMoney(text); err == nil {
			t.Errorf("%q was taken as %v", text, m)
		}
	}
}
