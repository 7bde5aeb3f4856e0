package due_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"becket/flows/due"
)

// optional reads a date, "" being unknown.
func optional(t *testing.T, text string) due.Date {
	t.Helper()
	if text == "" {
		return due.Date{}
	}
	return date(t, text)
}

func TestLifeEnds(t *testing.T) {
	const (
		vector   = "common practice, no source: the earlier of both lives; a month counts from its 1st, a year from 1 January (reckoned by hand)"
		softGood = "AS/NZS practice for soft goods: 10 years from manufacture"
		club     = "retail and club guidance: textiles 5 years from first use or 10 from manufacture, whichever comes first"
		unknown  = "common practice, no source: no first use counts from manufacture; an unknown date is not a long life"
	)
	for _, c := range []struct {
		made                string
		madeYears           int
		firstUse            string
		useYears            int
		end, bound, unknown string
		source              string
	}{
		{"2016-03", 10, "2019-06-15", 5, "2024-06-15", "first use", "", vector},
		{"2020-02-29", 10, "", 0, "2030-02-28", "made", "", vector},
		{"2015", 10, "2021-01-10", 5, "2025-01-01", "made", "", vector},
		{"2020-05-04", 0, "2021-01-10", 0, "", "", "", "common practice, no source: metal, not limited"},
		{"2016-03-10", 10, "", 0, "2026-03-10", "made", "", softGood},
		{"2012-09", 10, "2013-01-01", 5, "2018-01-01", "first use", "", club},
		{"2012-09-01", 10, "2020-01-01", 5, "2022-09-01", "made", "", club},
		{"2020-01-01", 0, "", 5, "2025-01-01", "made", "", unknown},
		{"2020-01-01", 10, "", 5, "2025-01-01", "made", "", unknown},
		{"", 10, "2020-01-01", 5, "2025-01-01", "first use", "unknown", unknown},
		{"", 10, "2020-01-01", 0, "", "", "unknown", unknown},
		{"", 0, "", 5, "", "", "unknown", unknown},
		{"2020-01-01", 5, "2020-01-01", 5, "2025-01-01", "made", "", vector},
	} {
		life := due.Life{Made: optional(t, c.made), FirstUse: optional(t, c.firstUse), MadeYears: c.madeYears, UseYears: c.useYears}
		got := life.Ends()
		if got.Date.String() != c.end || got.Bound != c.bound || got.Unknown != (c.unknown != "") {
			t.Errorf("%+v ends %s by %q, unknown %t; want %s by %q, unknown %q (%s)", life, got.Date, got.Bound, got.Unknown, c.end, c.bound, c.unknown, c.source)
		}
	}
}

// Common practice, no source: the earliest of all dates counts, and a month printed on an item counts from its first
// day. Reckoned by hand.
func TestLifeEndsByTheEarliestOfAllDates(t *testing.T) {
	all := due.Life{Made: date(t, "2016-03"), MadeYears: 10, FirstUse: date(t, "2019-06-15"), UseYears: 5}
	for _, c := range []struct{ printed, own, end, bound string }{
		{"", "", "2024-06-15", due.BoundFirstUse},
		{"2024-06", "", "2024-06-01", due.BoundPrinted},
		{"2024-06-16", "", "2024-06-15", due.BoundFirstUse},
		{"2030", "2024-01-31", "2024-01-31", due.BoundOwn},
		{"2024", "2024-01-31", "2024-01-01", due.BoundPrinted},
		{"", "2024-06-15", "2024-06-15", due.BoundFirstUse}, // of equal ones the maker's
	} {
		life := all
		life.Printed, life.Own = optional(t, c.printed), optional(t, c.own)
		if got := life.Ends(); got.Date.String() != c.end || got.Bound != c.bound || got.Unknown {
			t.Errorf("printed %q, own %q: ends %s by %q, unknown %t; want %s by %q", c.printed, c.own, got.Date, got.Bound, got.Unknown, c.end, c.bound)
		}
	}
	alone := due.Life{Printed: date(t, "2030-03")}.Ends()
	if alone.Date.String() != "2030-03-01" || alone.Bound != due.BoundPrinted {
		t.Errorf("a printed date alone: %+v", alone)
	}
	if got := len(all.Limits()); got != 2 {
		t.Errorf("%d limits; want 2", got)
	}
}

// Common practice, no source: the last day of life is the last usable day.
func TestLastDayOfLifeIsUsable(t *testing.T) {
	end := due.Life{Made: date(t, "2020-02-29"), MadeYears: 10}.Ends()
	if end.Over(date(t, "2030-02-28")) {
		t.Error("over on its last day")
	}
	if !end.Over(date(t, "2030-03-01")) {
		t.Error("not over on the day after its last")
	}
	if (due.End{}).Over(date(t, "2200-01-01")) {
		t.Error("an end that isn't known is over")
	}
}

func TestLifeCheck(t *testing.T) {
	today := date(t, "2026-03-02")
	for _, c := range []struct{ made, firstUse, says string }{
		{"2026-03-02", "2026-03-02", ""},
		{"2026-03", "2026", ""},
		{"2019-06-20", "2019-06", ""}, // may be later in June
		{"2019-06-20", "2019", ""},
		{"2019-06", "2019-06-01", ""},
		{"", "2019", ""},
		{"2019", "", ""},
		{"2026-03-03", "", "made on 3 March 2026, which is still to come"},
		{"2026-04", "", "still to come"},
		{"2020", "2026-03-03", "first use can't have been on 3 March 2026"},
		{"2019-06-20", "2019-06-19", "before it was made"},
		{"2019-06-20", "2019-05", "before it was made"},
		{"2019-06", "2018", "its first use, 2018, is before it was made, June 2019"},
	} {
		err := due.Life{Made: optional(t, c.made), FirstUse: optional(t, c.firstUse)}.Check(today)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("made %q, first use %q: got %v, want %q", c.made, c.firstUse, err, c.says)
		}
	}
	for _, years := range []int{-1, 101} {
		if (due.Life{MadeYears: years}).Check(today) == nil || (due.Life{UseYears: years}).Check(today) == nil {
			t.Errorf("a life of %d years was taken", years)
		}
	}
}

func TestALimitMoreNeverLengthensLife(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		life := due.Life{Made: anyDate().Draw(t, "made"), MadeYears: rapid.IntRange(0, 20).Draw(t, "made years")}
		if rapid.Bool().Draw(t, "use known") {
			life.FirstUse = anyDate().Draw(t, "first use")
		}
		before := life.Ends()
		life.UseYears = rapid.IntRange(1, 20).Draw(t, "use years")
		after := life.Ends()
		if after.Date.IsZero() || !before.Date.IsZero() && after.Date.After(before.Date) {
			t.Fatalf("a limit in use moved the end from %q to %q", before.Date, after.Date)
		}
	})
}

func TestLessKnownNeverLengthensLife(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := anyDate().Draw(t, "made")
		years := rapid.IntRange(1, 20).Draw(t, "years")
		exact := due.Life{Made: made, MadeYears: years}.Ends().Date
		for _, vague := range []due.Date{{Year: made.Year, Month: made.Month}, {Year: made.Year}} {
			if end := (due.Life{Made: vague, MadeYears: years}).Ends().Date; end.After(exact) {
				t.Fatalf("made %s ends %s, later than made %s, %s", vague, end, made, exact)
			}
		}
	})
}
