package due_test

import (
	"strings"
	"testing"

	"becket/flows/due"
)

func TestParseSpoken(t *testing.T) {
	for text, want := range map[string]string{
		"2026-03-01":     "2026-03-01",
		" 2026-03 ":      "2026-03",
		"2026":           "2026",
		"1 March 2026":   "2026-03-01",
		"1 Mar 2026":     "2026-03-01",
		"1st march 2026": "2026-03-01",
		"March 1, 2026":  "2026-03-01",
		"sept. 2019":     "2019-09",
		"March 2026":     "2026-03",
		"3/2020":         "2020-03",
		"03/2020":        "2020-03",
		"25/12/2026":     "2026-12-25",
		"12/25/2026":     "2026-12-25",
		"3/3/2026":       "2026-03-03",
		"25.12.2026":     "2026-12-25",
	} {
		d, err := due.ParseSpoken(text)
		if err != nil || d.String() != want {
			t.Errorf("%q is %s (%v), want %s", text, d, err, want)
		}
	}
}

func TestParseSpokenRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"3/4/2026":         "write 3 April 2026 or 4 March 2026",
		"3.4.2026":         "write 3 April 2026 or 4 March 2026",
		"29 February 2021": "29 February 2021 is not a day in the calendar",
		"31/4/2026":        "not a day in the calendar",
		"0 March 2026":     "not a day in the calendar",
		"-1 March 2026":    "not a day in the calendar",
		"13/2020":          "months go from 01 to 12",
		"3/20":             "full year",
		"1/3/26":           "full year",
		"March 26":         "full year",
		"1 March 1066":     "between 1950 and 2200",
		"Ma 2026":          "write it like",
		"Marsh 2026":       "write it like",
		"next March":       "write it like",
		"the 1st of March": "write it like",
		"1/2/3/2026":       "write it like",
		"-3/2020":          "write it like",
		"":                 "write it like",
	} {
		d, err := due.ParseSpoken(text)
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: got %s, %v; want an error with %q", text, d, err, says)
		}
	}
}
