package due

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// ParseSpoken reads a date as people type it in a chat: what Parse reads, "1 March 2026", "1 Mar 2026", "March 1,
// 2026", "March 2026", "3/2020", and "25/12/2026" where only one reading of it exists. "3/4/2026" is refused with
// both ways to write it.
func ParseSpoken(text string) (Date, error) {
	words := strings.Fields(strings.ReplaceAll(text, ",", " "))
	switch len(words) {
	case 1:
		if strings.ContainsAny(words[0], "/.") {
			return parseSlashed(words[0])
		}
		return Parse(words[0])
	case 2:
		return spoken(text, "", words[0], words[1])
	case 3:
		if _, isMonth := month(words[0]); isMonth {
			return spoken(text, words[1], words[0], words[2])
		}
		return spoken(text, words[0], words[1], words[2])
	}
	return Date{}, notSpoken(text)
}

func notSpoken(text string) error {
	return fmt.Errorf("%q is not a date; write it like 1 March 2026, March 2026 or 2026", strings.TrimSpace(text))
}

// spoken puts a date together from its words; an empty day means that only the month is known.
func spoken(text, day, monthName, year string) (Date, error) {
	m, isMonth := month(monthName)
	y, yearErr := strconv.Atoi(year)
	if !isMonth || yearErr != nil {
		return Date{}, notSpoken(text)
	}
	if len(year) != 4 {
		return Date{}, fmt.Errorf("%q has no full year; write all four digits of it, like 2026", strings.TrimSpace(text))
	}
	d := Date{Year: y, Month: m}
	if day != "" {
		n, err := strconv.Atoi(withoutOrdinal(day))
		if err != nil {
			return Date{}, notSpoken(text)
		}
		if n < 1 {
			return Date{}, notInCalendar(strings.TrimSpace(text))
		}
		d.Day = n
	}
	if err := d.check(strings.TrimSpace(text)); err != nil {
		return Date{}, err
	}
	return d, nil
}

// month reads a month's English name, whole or cut to three letters or more.
func month(name string) (time.Month, bool) {
	cut := strings.ToLower(strings.TrimSuffix(name, "."))
	if len(cut) < 3 {
		return 0, false
	}
	for m := time.January; m <= time.December; m++ {
		if strings.HasPrefix(strings.ToLower(m.String()), cut) {
			return m, true
		}
	}
	return 0, false
}

// withoutOrdinal makes "1" of "1st".
func withoutOrdinal(day string) string {
	lower := strings.ToLower(day)
	for _, ending := range []string{"st", "nd", "rd", "th", "."} {
		if number, cut := strings.CutSuffix(lower, ending); cut {
			return number
		}
	}
	return lower
}

// parseSlashed reads "3/2020", "25/12/2026" and the same with points.
func parseSlashed(text string) (Date, error) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == '/' || r == '.' })
	for i, p := range parts {
		last := i == len(parts)-1
		if strings.Trim(p, "0123456789") != "" || len(p) > 4 || !last && len(p) > 2 {
			return Date{}, notSpoken(text)
		}
		if last && len(p) != 4 {
			return Date{}, fmt.Errorf("%q has no full year at its end; write it like 1 March 2026", text)
		}
	}
	switch len(parts) {
	case 2:
		return Parse(parts[1] + "-" + twoDigits(parts[0]))
	case 3:
		return onlyReading(text, parts[0], parts[1], parts[2])
	}
	return Date{}, notSpoken(text)
}

// onlyReading decides between day/month and month/day where only one of them exists.
func onlyReading(text, first, second, year string) (Date, error) {
	dayFirst, err := Parse(year + "-" + twoDigits(second) + "-" + twoDigits(first))
	monthFirst, err2 := Parse(year + "-" + twoDigits(first) + "-" + twoDigits(second))
	switch {
	case err == nil && err2 == nil && dayFirst != monthFirst:
		return Date{}, fmt.Errorf("%q can be read in two ways; write %s or %s", text, dayFirst.Words(), monthFirst.Words())
	case err == nil:
		return dayFirst, nil
	case err2 == nil:
		return monthFirst, nil
	}
	return Date{}, notInCalendar(text)
}

func twoDigits(s string) string {
	if len(s) == 1 {
		return "0" + s
	}
	return s
}
