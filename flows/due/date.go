// Package due works with the days of inspections: dates known to the day, the month or the year, how long an
// item may live, and when it is due again. It is pure and knows no clock.
package due

import (
	"cmp"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Date is a day in the calendar, without a time or a zone. Day 0: only the month is known. Month 0: only the
// year. The zero Date is unknown; it comes before every other, and nothing is counted from it.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// A year outside these is a slip of the finger, not the age of any kit.
const (
	firstYear = 1950
	lastYear  = 2200
)

// Parse reads "2020-02-29", "2020-02" or "2020", the years 1950 to 2200.
func Parse(text string) (Date, error) {
	digits := strings.Split(text, "-")
	var parts [3]int // 0 is what was left out
	for i, d := range digits {
		n, err := strconv.Atoi(d)
		width := 2
		if i == 0 {
			width = 4
		}
		if err != nil || i > 2 || len(d) != width || d[0] == '+' {
			return Date{}, fmt.Errorf("%q is not a date; write it like 2020-02-29, 2020-02 or 2020", text)
		}
		if i > 0 && n == 0 {
			return Date{}, notInCalendar(text)
		}
		parts[i] = n
	}
	d := Date{parts[0], time.Month(parts[1]), parts[2]}
	if err := d.check(text); err != nil {
		return Date{}, err
	}
	return d, nil
}

// check refuses dates that don't exist, and years that nobody means.
func (d Date) check(text string) error {
	switch {
	case d.Year < firstYear || d.Year > lastYear:
		return fmt.Errorf("%d is not between %d and %d; look at the year again", d.Year, firstYear, lastYear)
	case d.Month > time.December:
		return fmt.Errorf("%q has no such month; months go from 01 to 12", text)
	case d.Month > 0 && d.Day > daysIn(d.Year, d.Month):
		return notInCalendar(text)
	}
	return nil
}

func notInCalendar(text string) error {
	return fmt.Errorf("%s is not a day in the calendar; look at the date again", text)
}

func daysIn(year int, month time.Month) int {
	return time.Date(year, month+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

// On is the day that t falls on in its own zone.
func On(t time.Time) Date {
	year, month, day := t.Date()
	return Date{year, month, day}
}

// IsZero tells whether the date is unknown.
func (d Date) IsZero() bool { return d == Date{} }

// First is the earliest day that d can mean.
func (d Date) First() Date {
	if d.IsZero() {
		return d
	}
	return Date{d.Year, max(d.Month, time.January), max(d.Day, 1)}
}

// Last is the latest day that d can mean.
func (d Date) Last() Date {
	switch {
	case d.IsZero() || d.Day > 0:
		return d
	case d.Month > 0:
		return Date{d.Year, d.Month, daysIn(d.Year, d.Month)}
	}
	return Date{d.Year, time.December, 31}
}

// Compare is -1, 0 or +1 as the first day of d is before, the same as or after that of e.
func (d Date) Compare(e Date) int {
	a, b := d.First(), e.First()
	return cmp.Or(cmp.Compare(a.Year, b.Year), cmp.Compare(a.Month, b.Month), cmp.Compare(a.Day, b.Day))
}

// Before tells whether the first day of d is before that of e.
func (d Date) Before(e Date) bool { return d.Compare(e) < 0 }

// After tells whether the first day of d is after that of e.
func (d Date) After(e Date) bool { return d.Compare(e) > 0 }

// AddMonths is the corresponding day n months on from the first day of d, and the month's last day where there
// is no such day (Dodds v Walker [1981]). A later month doesn't go back to a month end that an earlier one lost.
func (d Date) AddMonths(n int) Date {
	if d.IsZero() {
		return d
	}
	from := d.First()
	year, month, _ := time.Date(from.Year, from.Month+time.Month(n), 1, 0, 0, 0, 0, time.UTC).Date()
	return Date{year, month, min(from.Day, daysIn(year, month))}
}

// AddYears is AddMonths with twelve times n.
func (d Date) AddYears(n int) Date { return d.AddMonths(12 * n) }

// AddDays is n days on from the first day of d.
func (d Date) AddDays(n int) Date {
	if d.IsZero() {
		return d
	}
	return On(d.midnight().AddDate(0, 0, n))
}

// DaysUntil counts the days from the first day of d to that of e; below 0 when e is earlier, 0 when either is
// unknown.
func (d Date) DaysUntil(e Date) int {
	if d.IsZero() || e.IsZero() {
		return 0
	}
	return int(e.midnight().Sub(d.midnight()) / (24 * time.Hour))
}

func (d Date) midnight() time.Time {
	from := d.First()
	return time.Date(from.Year, from.Month, from.Day, 0, 0, 0, 0, time.UTC)
}

// String is the date as Parse reads it, as exact as it is known; empty when unknown.
func (d Date) String() string {
	switch {
	case d.IsZero():
		return ""
	case d.Month == 0:
		return fmt.Sprintf("%04d", d.Year)
	case d.Day == 0:
		return fmt.Sprintf("%04d-%02d", d.Year, d.Month)
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// Words is the date for people: "11 November 2026", "March 2020", "2015", "unknown".
func (d Date) Words() string {
	switch {
	case d.IsZero():
		return "unknown"
	case d.Month == 0:
		return strconv.Itoa(d.Year)
	case d.Day == 0:
		return fmt.Sprintf("%s %d", d.Month, d.Year)
	}
	return fmt.Sprintf("%d %s %d", d.Day, d.Month, d.Year)
}

// MarshalText writes the date as String does.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what Parse reads; empty text is the unknown date.
func (d *Date) UnmarshalText(text []byte) (err error) {
	*d = Date{}
	if len(text) > 0 {
		*d, err = Parse(string(text))
	}
	return err
}

// MarshalJSON writes the date as a string, the unknown one as null.
func (d Date) MarshalJSON() ([]byte, error) {
	if d.IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(d.String())
}

// UnmarshalJSON reads a string, a year as a bare number, or null for the unknown date.
func (d *Date) UnmarshalJSON(text []byte) error {
	written := string(text)
	switch {
	case written == "null":
		written = ""
	case strings.HasPrefix(written, `"`):
		if err := json.Unmarshal(text, &written); err != nil {
			return fmt.Errorf("a date could not be read: %w", err)
		}
	}
	return d.UnmarshalText([]byte(written))
}
