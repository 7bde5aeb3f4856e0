package due_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"becket/flows/due"
)

func location(t interface{ Fatal(...any) }, name string) *time.Location {
	zone, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// RFC 5545 section 3.3.5 gives the first two: a time that doesn't exist is counted with the offset before the gap,
// and of one that comes twice the first is meant. The others apply the same rule to changes of the clocks in the IANA
// time zone database, 2025b; the instants were worked out by hand from its offsets.
func TestAtOverChangesOfTheClocks(t *testing.T) {
	for _, c := range []struct {
		zone, day    string
		hour, minute int
		want, source string
	}{
		{"America/New_York", "2007-03-11", 2, 30, "2007-03-11T03:30:00-04:00", "RFC 5545 section 3.3.5, the gap"},
		{"America/New_York", "2007-11-04", 1, 30, "2007-11-04T01:30:00-04:00", "RFC 5545 section 3.3.5, twice"},
		{"America/New_York", "2007-11-04", 2, 0, "2007-11-04T02:00:00-05:00", "after the hour that came twice"},
		{"Europe/London", "2026-03-29", 0, 59, "2026-03-29T00:59:00Z", "the minute before the gap"},
		{"Europe/London", "2026-03-29", 1, 30, "2026-03-29T02:30:00+01:00", "01:30 doesn't exist"},
		{"Europe/London", "2026-03-29", 2, 0, "2026-03-29T02:00:00+01:00", "the minute after the gap"},
		{"Europe/London", "2026-10-25", 1, 30, "2026-10-25T01:30:00+01:00", "01:30 comes twice"},
		{"Europe/London", "2026-11-16", 7, 30, "2026-11-16T07:30:00Z", "no change near"},
		{"Europe/London", "2026-07-16", 7, 30, "2026-07-16T07:30:00+01:00", "no change near"},
		{"America/Sao_Paulo", "2018-11-04", 0, 0, "2018-11-04T01:00:00-02:00", "midnight doesn't exist"},
		{"America/Nuuk", "2024-03-30", 23, 30, "2024-03-31T00:30:00-01:00", "the last hour of the day doesn't exist"},
		{"Pacific/Apia", "2011-12-29", 7, 30, "2011-12-29T07:30:00-10:00", "the day before the one that never was"},
		{"Pacific/Apia", "2011-12-31", 7, 30, "2011-12-31T07:30:00+14:00", "the day after it"},
		{"Australia/Lord_Howe", "2026-10-04", 2, 15, "2026-10-04T02:45:00+11:00", "a gap of half an hour"},
		{"Australia/Lord_Howe", "2026-04-05", 1, 45, "2026-04-05T01:45:00+11:00", "half an hour comes twice"},
		{"Europe/Dublin", "2026-10-25", 1, 30, "2026-10-25T01:30:00+01:00", "winter is negative summer time; 01:30 twice"},
		{"Africa/Casablanca", "2026-02-15", 2, 30, "2026-02-15T02:30:00+01:00", "back for Ramadan; 02:30 twice"},
		{"Africa/Casablanca", "2026-03-22", 2, 30, "2026-03-22T03:30:00+01:00", "forward after it; 02:30 doesn't exist"},
		{"Asia/Kathmandu", "2026-03-01", 7, 30, "2026-03-01T07:30:00+05:45", "no change at all"},
		{"UTC", "2026-03-01", 7, 30, "2026-03-01T07:30:00Z", "no change at all"},
	} {
		got := due.At(date(t, c.day), c.hour, c.minute, location(t, c.zone))
		want, err := time.Parse(time.RFC3339, c.want)
		if err != nil {
			t.Fatal(err)
		}
		if !got.Equal(want) {
			t.Errorf("%s %02d:%02d in %s is %s, want %s (%s)", c.day, c.hour, c.minute, c.zone, got.Format(time.RFC3339), c.want, c.source)
		}
	}
}

// RFC 5545 section 3.8.5.3, the weekly examples: Tuesday and Thursday for five weeks from 2 September 1997, in New York.
func TestBetweenAsPublished(t *testing.T) {
	zone := location(t, "America/New_York")
	w := due.Weekly{Hour: 9, Zone: zone}
	w.Days[time.Tuesday], w.Days[time.Thursday] = true, true
	from := time.Date(1997, 9, 2, 9, 0, 0, 0, zone)
	got := w.Between(from.Add(-time.Second), time.Date(1997, 10, 7, 0, 0, 0, 0, time.UTC))
	want := []string{"1997-09-02", "1997-09-04", "1997-09-09", "1997-09-11", "1997-09-16", "1997-09-18", "1997-09-23", "1997-09-25", "1997-09-30", "1997-10-02"}
	if len(got) != len(want) {
		t.Fatalf("got %v, want %v", got, want)
	}
	for n, day := range got {
		if day.String() != want[n] {
			t.Errorf("day %d is %s, want %s", n, day, want[n])
		}
	}
}

func TestWeeklyLeavesOutADayThatNeverWas(t *testing.T) {
	zone := location(t, "Pacific/Apia")
	days := due.Daily(7, 30, zone).Between(time.Date(2011, 12, 28, 12, 0, 0, 0, zone), time.Date(2012, 1, 1, 12, 0, 0, 0, zone))
	var got []string
	for _, d := range days {
		got = append(got, d.String())
	}
	if len(got) != 3 || got[0] != "2011-12-29" || got[1] != "2011-12-31" || got[2] != "2012-01-01" {
		t.Errorf("got %v; 30 December 2011 never happened in Samoa (IANA 2025b)", got)
	}
	friday := due.Weekly{Hour: 7, Zone: zone}
	friday.Days[time.Friday] = true
	if day, _, _ := friday.After(time.Date(2011, 12, 24, 0, 0, 0, 0, zone)); day.String() != "2012-01-06" {
		t.Errorf("the Friday after 24 December 2011 is %s, want 2012-01-06: the 30th was left out", day)
	}
	if _, _, found := (due.Weekly{Zone: zone}).After(time.Now()); found {
		t.Error("a time on no day of the week comes all the same")
	}
}

// TestEachDayComesOnce walks through years in zones with all sorts of changes: each local day comes once, in order.
func TestEachDayComesOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		zone := location(t, rapid.SampledFrom([]string{"Europe/London", "America/Sao_Paulo", "America/Nuuk", "Pacific/Apia", "Australia/Lord_Howe", "Africa/Casablanca", "Asia/Kathmandu", "UTC"}).Draw(t, "zone"))
		w := due.Daily(rapid.IntRange(0, 23).Draw(t, "hour"), rapid.IntRange(0, 59).Draw(t, "minute"), zone)
		start := time.Unix(rapid.Int64Range(1_200_000_000, 1_900_000_000).Draw(t, "start"), 0)
		last, at := due.Date{}, start
		for range 40 {
			day, next, found := w.After(at)
			if !found || !next.After(at) {
				t.Fatalf("after %s comes %s (%v)", at, next, found)
			}
			skipped := !last.IsZero() && last.AddDays(1) != day
			if skipped && !(zone.String() == "Pacific/Apia" && day.String() == "2011-12-31") {
				t.Fatalf("after %s comes %s", last, day)
			}
			last, at = day, next
		}
	})
}
