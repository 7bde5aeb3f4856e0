package due_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"becket/flows/due"
)

func TestNext(t *testing.T) {
	for _, c := range []struct {
		exam   string
		months int
		want   string
		source string
	}{
		{"2025-08-31", 6, "2026-02-28", "common practice, no source: metal without a life, examined on the 31st (reckoned by hand)"},
		{"2026-03-02", 6, "2026-09-02", "LOLER 1998 reg 9(3): people, 6 months"},
		{"2026-03-02", 12, "2027-03-02", "LOLER 1998 reg 9(3): goods, 12 months"},
		{"2026-03-02", 3, "2026-06-02", "HSE INDG367: arduous, 3 months"},
	} {
		if got := due.Next(date(t, c.exam), c.months).String(); got != c.want {
			t.Errorf("%s + %d months is due %s, want %s (%s)", c.exam, c.months, got, c.want, c.source)
		}
	}
}

// Common practice, no source: watch is looked at again within half the interval, in whole months rounded down.
func TestHalf(t *testing.T) {
	for months, want := range map[int]string{
		12: "2026-02-28",
		7:  "2025-11-30",
		6:  "2025-11-30",
		3:  "2025-09-30",
		2:  "2025-09-30",
		1:  "2025-09-15",
	} {
		if got := due.Half(date(t, "2025-08-31"), months).String(); got != want {
			t.Errorf("half of %d months is %s, want %s", months, got, want)
		}
	}
}

// Common practice, no source: overdue is the day after, without grace.
func TestOverdue(t *testing.T) {
	last := date(t, "2026-02-28")
	if due.Overdue(last, last) {
		t.Error("overdue on the day it is due")
	}
	if !due.Overdue(date(t, "2026-03-01"), last) {
		t.Error("not overdue on the day after")
	}
	if !due.Overdue(last, due.Date{}) {
		t.Error("never examined, and not overdue")
	}
}

func TestHalfIsNeverAfterNext(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		exam, months := anyDate().Draw(t, "exam"), rapid.IntRange(1, 60).Draw(t, "months")
		half, next := due.Half(exam, months), due.Next(exam, months)
		if !half.Before(next) || !half.After(exam) {
			t.Fatalf("%s: half of %d months is %s, the whole %s", exam, months, half, next)
		}
	})
}

// What is foretold moves a day nearer or not at all, and only where no examination came after it.
func TestNearer(t *testing.T) {
	on := func(month, day int) due.Date { return due.Date{Year: 2026, Month: time.Month(month), Day: day} }
	exam, plain := on(2, 1), on(8, 1)
	for name, c := range map[string]struct{ foretold, want due.Date }{
		"nothing foretold":       {due.Date{}, plain},
		"sooner":                 {on(5, 3), on(5, 3)},
		"later":                  {on(9, 1), plain},
		"the same day":           {plain, plain},
		"before the examination": {on(1, 15), plain},
		"on its day":             {exam, plain},
		"the day after it":       {on(2, 2), on(2, 2)},
	} {
		if got := due.Nearer(plain, c.foretold, exam); got != c.want {
			t.Errorf("%s: %v, not %v", name, got, c.want)
		}
	}
	if got := due.Nearer(due.Date{}, on(5, 3), exam); !got.IsZero() {
		t.Errorf("an item without a due day is due %v", got)
	}
}
