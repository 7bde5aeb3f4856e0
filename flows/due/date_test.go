package due_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/goccy/go-yaml"
	"pgregory.net/rapid"

	"becket/flows/due"
)

func date(t *testing.T, text string) due.Date {
	t.Helper()
	d, err := due.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestAddMonthsAsPublished(t *testing.T) {
	const clamp = "Regulation (EEC, Euratom) 1182/71 art 3(2)(c) and Lord Diplock in Dodds v Walker: no such day, so the month's last (from memory; dates reckoned by hand)"
	for _, c := range []struct {
		from   string
		months int
		want   string
		source string
	}{
		{"1978-09-30", 4, "1979-01-30", "Dodds v Walker [1981] UKHL: 31 January was a day late"},
		{"1983-03-23", 2, "1983-05-23", "E J Riley Investments v Eurostile Holdings [1985] EWCA: in time"},
		{"2025-08-31", 6, "2026-02-28", clamp},
		{"2023-08-31", 6, "2024-02-29", clamp},
		{"2025-08-30", 6, "2026-02-28", clamp},
		{"2025-08-29", 6, "2026-02-28", clamp},
		{"2025-08-28", 6, "2026-02-28", "Dodds v Walker [1981] UKHL: the corresponding day exists"},
		{"2025-03-31", 6, "2025-09-30", clamp},
		{"2024-02-29", 12, "2025-02-28", clamp},
		{"2024-02-29", 48, "2028-02-29", "Dodds v Walker [1981] UKHL: the corresponding day exists"},
		{"2000-02-29", 1200, "2100-02-28", clamp + "; 2100 is no leap year (Gregorian calendar)"},
		{"2025-02-28", 6, "2025-08-28", "Dodds v Walker [1981] UKHL: the corresponding day, not the month's end"},
		{"2025-08-31", 12, "2026-08-31", "anchored to the first day, nothing drifts (reckoned by hand)"},
	} {
		if got := date(t, c.from).AddMonths(c.months).String(); got != c.want {
			t.Errorf("%s + %d months is %s, want %s (%s)", c.from, c.months, got, c.want, c.source)
		}
	}
}

// Due dates run from the last examination, so a chain of them may drift: reckoned by hand.
func TestChainedMonthsDrift(t *testing.T) {
	chained := date(t, "2025-08-31").AddMonths(6).AddMonths(6)
	if got := chained.String(); got != "2026-08-28" {
		t.Errorf("31 August 2025 + 6 + 6 months is %s, want 2026-08-28", got)
	}
}

// ISO 8601: a month is no fixed number of days, so P6M, P180D and P26W differ; day 95 of 1981 is 5 April.
func TestMonthsAreNotDays(t *testing.T) {
	from := date(t, "2025-08-31")
	for _, c := range []struct {
		got  due.Date
		want string
	}{
		{from.AddMonths(6), "2026-02-28"},
		{from.AddDays(180), "2026-02-27"},
		{from.AddDays(7 * 26), "2026-03-01"},
		{date(t, "1981").AddDays(94), "1981-04-05"},
	} {
		if c.got.String() != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
	if got := date(t, "1981-01-01").DaysUntil(date(t, "1981-04-05")); got != 94 {
		t.Errorf("day 95 of 1981 is %d days after the first, want 94", got)
	}
}

// Offsets and changes of the clocks are those of the IANA time zone database, 2025b. The instants are given in
// UTC, one on each side of a local midnight.
func TestOnIsTheDayInItsZone(t *testing.T) {
	for _, c := range []struct{ zone, instant, want, source string }{
		{"Europe/London", "2026-03-29T00:00:00Z", "2026-03-29", "a day of 23 hours begins in GMT"},
		{"Europe/London", "2026-03-29T22:59:59Z", "2026-03-29", "and ends in BST"},
		{"Europe/London", "2026-03-29T23:00:00Z", "2026-03-30", "and ends in BST"},
		{"Europe/London", "2026-10-24T23:00:00Z", "2026-10-25", "a day of 25 hours begins in BST"},
		{"Europe/London", "2026-10-25T23:59:59Z", "2026-10-25", "and ends in GMT"},
		{"Europe/London", "2026-10-26T00:00:00Z", "2026-10-26", "and ends in GMT"},
		{"America/Sao_Paulo", "2018-11-04T02:59:59Z", "2018-11-03", "-03 until midnight"},
		{"America/Sao_Paulo", "2018-11-04T03:00:00Z", "2018-11-04", "midnight doesn't exist: the day begins at 1 o'clock"},
		{"Pacific/Apia", "2011-12-30T09:59:59Z", "2011-12-29", "-10 in summer"},
		{"Pacific/Apia", "2011-12-30T10:00:00Z", "2011-12-31", "30 December 2011 never happened"},
		{"Australia/Lord_Howe", "2026-07-01T13:29:59Z", "2026-07-01", "+10:30 in winter"},
		{"Australia/Lord_Howe", "2026-07-01T13:30:00Z", "2026-07-02", "+10:30 in winter"},
		{"Australia/Lord_Howe", "2026-01-01T12:59:59Z", "2026-01-01", "+11 in summer, a shift of 30 minutes"},
		{"Australia/Lord_Howe", "2026-01-01T13:00:00Z", "2026-01-02", "+11 in summer, a shift of 30 minutes"},
		{"Asia/Kathmandu", "2026-03-01T18:14:59Z", "2026-03-01", "+05:45"},
		{"Asia/Kathmandu", "2026-03-01T18:15:00Z", "2026-03-02", "+05:45"},
		{"Europe/Dublin", "2026-01-15T23:30:00Z", "2026-01-15", "winter is GMT, as negative summer time"},
		{"Europe/Dublin", "2026-07-15T23:30:00Z", "2026-07-16", "summer is +01"},
		{"Africa/Casablanca", "2026-03-01T23:30:00Z", "2026-03-01", "+00 in Ramadan"},
		{"Africa/Casablanca", "2026-05-01T23:30:00Z", "2026-05-02", "+01 otherwise"},
	} {
		zone, err := time.LoadLocation(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		instant, err := time.Parse(time.RFC3339, c.instant)
		if err != nil {
			t.Fatal(err)
		}
		if got := due.On(instant.In(zone)).String(); got != c.want {
			t.Errorf("%s in %s is on %s, want %s (%s)", c.instant, c.zone, got, c.want, c.source)
		}
	}
}

// RFC 3339 section 5.8 (from memory): the same instant, on two days.
func TestOnKeepsTheOffset(t *testing.T) {
	for instant, want := range map[string]string{
		"1996-12-19T16:39:57-08:00": "1996-12-19",
		"1996-12-20T00:39:57Z":      "1996-12-20",
		"1996-12-20T00:39:57-00:00": "1996-12-20",
	} {
		parsed, err := time.Parse(time.RFC3339, instant)
		if err != nil {
			t.Fatal(err)
		}
		if got := due.On(parsed).String(); got != want {
			t.Errorf("%s is on %s, want %s", instant, got, want)
		}
	}
}

func TestParse(t *testing.T) {
	for _, text := range []string{"2020-02-29", "2020-02", "2020", "1950-01-01", "2200-12-31"} {
		if got := date(t, text).String(); got != text {
			t.Errorf("%q came back as %q", text, got)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"2021-02-29":    "2021-02-29 is not a day in the calendar",
		"2100-02-29":    "not a day in the calendar", // no leap year (Gregorian calendar)
		"2020-04-31":    "not a day in the calendar",
		"2020-01-00":    "not a day in the calendar",
		"2020-13-01":    "months go from 01 to 12",
		"2020-00":       "not a day in the calendar",
		"1949-12-31":    "between 1950 and 2200",
		"2201":          "between 1950 and 2200",
		"20-02-29":      "write it like",
		"2020-2-9":      "write it like",
		"2020-02-29-01": "write it like",
		"2020-+2":       "write it like",
		"":              "write it like",
		"spring":        "write it like",
	} {
		d, err := due.Parse(text)
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: got %v, want an error with %q", text, err, says)
		}
		if !d.IsZero() {
			t.Errorf("%q is refused and still gives %s", text, d)
		}
	}
}

func TestFirstAndLast(t *testing.T) {
	for _, c := range []struct{ date, first, last, words string }{
		{"2026-11-11", "2026-11-11", "2026-11-11", "11 November 2026"},
		{"2020-02", "2020-02-01", "2020-02-29", "February 2020"},
		{"2100-02", "2100-02-01", "2100-02-28", "February 2100"},
		{"2015", "2015-01-01", "2015-12-31", "2015"},
	} {
		d := date(t, c.date)
		if d.First().String() != c.first || d.Last().String() != c.last || d.Words() != c.words {
			t.Errorf("%s goes from %s to %s, in words %q; want %s, %s, %q", c.date, d.First(), d.Last(), d.Words(), c.first, c.last, c.words)
		}
	}
}

func TestUnknownDate(t *testing.T) {
	var unknown due.Date
	known := date(t, "1950")
	if !unknown.Before(known) || unknown.After(known) || known.Before(unknown) {
		t.Error("the unknown date doesn't come first")
	}
	for _, d := range []due.Date{unknown.First(), unknown.Last(), unknown.AddMonths(6), unknown.AddYears(1), unknown.AddDays(1)} {
		if !d.IsZero() {
			t.Errorf("something was counted from the unknown date: %s", d)
		}
	}
	if unknown.DaysUntil(known) != 0 || known.DaysUntil(unknown) != 0 {
		t.Error("days were counted with the unknown date")
	}
	if unknown.Words() != "unknown" {
		t.Errorf("in words: %q", unknown.Words())
	}
}

func TestDateInJSON(t *testing.T) {
	type item struct {
		Made  due.Date `json:"made,omitzero"`
		First due.Date `json:"first"`
	}
	for text, want := range map[string]string{
		`{"made":"2020-02-29","first":"2020-02"}`: `{"made":"2020-02-29","first":"2020-02"}`,
		`{"made":2020,"first":null}`:              `{"made":"2020","first":null}`,
		`{"made":"","first":""}`:                  `{"first":null}`,
	} {
		var i item
		if err := json.Unmarshal([]byte(text), &i); err != nil {
			t.Fatal(err)
		}
		got, err := json.Marshal(i)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != want {
			t.Errorf("%s became %s, want %s", text, got, want)
		}
	}
	for _, text := range []string{`{"made":"2021-02-29"}`, `{"made":true}`, `{"made":20.5}`} {
		if err := json.Unmarshal([]byte(text), new(item)); err == nil {
			t.Errorf("%s was taken", text)
		}
	}
}

func TestDateInYAML(t *testing.T) {
	var item struct{ Made, First, Other due.Date }
	if err := yaml.Unmarshal([]byte("made: 2020-02-29\nfirst: 2019\nother: \"2018-05\"\n"), &item); err != nil {
		t.Fatal(err)
	}
	if item.Made.String() != "2020-02-29" || item.First.String() != "2019" || item.Other.String() != "2018-05" {
		t.Errorf("got %v", item)
	}
}

func anyDate() *rapid.Generator[due.Date] {
	return rapid.Custom(func(t *rapid.T) due.Date {
		first := due.Date{Year: rapid.IntRange(1950, 2100).Draw(t, "year"), Month: 1, Day: 1}
		return first.AddDays(rapid.IntRange(0, 365).Draw(t, "day"))
	})
}

func TestAddMonthsNeverLeavesTheMonth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, n := anyDate().Draw(t, "from"), rapid.IntRange(-240, 240).Draw(t, "months")
		to := from.AddMonths(n)
		if got := (to.Year-from.Year)*12 + int(to.Month-from.Month); got != n {
			t.Fatalf("%s + %d months is %s, %d months on", from, n, to, got)
		}
		if to.Day > from.Day || to.Day < from.Day && to != (due.Date{Year: to.Year, Month: to.Month}).Last() {
			t.Fatalf("%s + %d months is %s, neither the same day nor the last", from, n, to)
		}
	})
}

func TestAddDaysAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, n := anyDate().Draw(t, "from"), rapid.IntRange(-4000, 4000).Draw(t, "days")
		to := from.AddDays(n)
		if got := from.DaysUntil(to); got != n {
			t.Fatalf("%s to %s is %d days, want %d", from, to, got, n)
		}
		if to.Compare(from) != min(max(n, -1), 1) {
			t.Fatalf("%s and %s stand in the wrong order", from, to)
		}
	})
}
