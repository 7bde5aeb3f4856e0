package bot

import (
	"strings"
	"testing"
	"time"

	"becket/store"
)

func TestReadDigest(t *testing.T) {
	t.Parallel()
	everyDayOfTheWeek := "Monday Tuesday Wednesday Thursday Friday Saturday Sunday"
	for text, want := range map[string]string{
		"Monday 07:30 Europe/London":            "Monday|07:30|Europe/London",
		"mondays at 7.30":                       "Monday|07:30|Europe/Dublin",
		"Thu, mon and Thursday 7:30":            "Monday Thursday|07:30|Europe/Dublin",
		"every day 18:00 UTC":                   everyDayOfTheWeek + "|18:00|UTC",
		"daily 00:00 Pacific/Apia":              everyDayOfTheWeek + "|00:00|Pacific/Apia",
		"weekdays 07:30":                        "Monday Tuesday Wednesday Thursday Friday|07:30|Europe/Dublin",
		"weds 23:59":                            "Wednesday|23:59|Europe/Dublin",
		"07:30 Sunday":                          "Sunday|07:30|Europe/Dublin",
		"Monday":                                "",
		"07:30":                                 "",
		"Monday 24:00":                          "",
		"Monday 7":                              "",
		"Monday 07:30 07:45":                    "",
		"Monday 07:30 London":                   "",
		"Monday 07:30 Europe/Londinium":         "",
		"Monday 07:30 ../../etc/passwd":         "",
		"Moonday 07:30":                         "",
		"mo 07:30":                              "",
		"s 07:30":                               "",
		"Monday 07:30 Local":                    "",
		"Monday 07:30 <b>Europe/London</b>":     "",
		strings.Repeat("Monday ", 500) + "7:30": "Monday|07:30|Europe/Dublin",
	} {
		turn := &turn{team: store.Team{Zone: "Europe/Dublin"}, bot: New(Options{})}
		set, wrong := turn.readDigest(text)
		got := strings.Join(set.Days, " ") + "|" + set.At + "|" + set.Zone
		if want == "" && wrong == "" {
			t.Errorf("%q was taken as %s", text, got)
		}
		if want != "" && (wrong != "" || got != want) {
			t.Errorf("%q was taken as %s, %s; want %s", text, got, wrong, want)
		}
	}
	nowhere := &turn{bot: New(Options{})}
	if set, wrong := nowhere.readDigest("Monday 07:30"); wrong == "" {
		t.Errorf("without a place it was taken as %+v", set)
	}
}

func TestQuietHours(t *testing.T) {
	t.Parallel()
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, now, until string }{
		{"22:00", "07:00", "2026-11-14T21:59:59Z", ""},
		{"22:00", "07:00", "2026-11-14T22:00:00Z", "2026-11-15T07:00:00Z"},
		{"22:00", "07:00", "2026-11-15T06:59:59Z", "2026-11-15T07:00:00Z"},
		{"22:00", "07:00", "2026-11-15T07:00:00Z", ""},
		{"12:00", "13:00", "2026-11-15T12:30:00Z", "2026-11-15T13:00:00Z"},
		{"12:00", "13:00", "2026-11-15T23:30:00Z", ""},
		{"22:00", "07:00", "2026-03-29T00:30:00Z", "2026-03-29T06:00:00Z"}, // the clocks go forward in the night: 07:00 is 06:00 UTC
		{"22:00", "07:00", "2026-10-25T06:30:00Z", "2026-10-25T07:00:00Z"}, // and back: 07:00 is 07:00 UTC
		{"22:00", "01:30", "2026-03-29T01:15:00Z", "2026-03-29T01:30:00Z"}, // 01:30 doesn't exist: 02:30 by the clock
		{"22:00", "01:30", "2026-10-25T00:45:00Z", ""},                     // 01:30 comes twice: they end at the first
		{"", "", "2026-11-15T03:00:00Z", ""},
	} {
		now, err := time.Parse(time.RFC3339, c.now)
		if err != nil {
			t.Fatal(err)
		}
		until, quiet := quietUntil(store.Telling{QuietFrom: c.from, QuietTo: c.to}, now.In(london))
		got := ""
		if quiet {
			got = until.UTC().Format(time.RFC3339)
		}
		if got != c.until {
			t.Errorf("from %s to %s, at %s: until %q, want %q", c.from, c.to, c.now, got, c.until)
		}
	}
}

func TestReadLater(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]struct {
		name string
		days int
	}{
		"3 days": {"", 3}, "C-2 3 days": {"C-2", 3}, "C-2 a week": {"C-2", 7}, "2 weeks": {"", 14}, "tomorrow": {"", 1}, "C-2 tomorrow": {"C-2", 1}, "1 day.": {"", 1},
		"": {}, "C-2": {}, "days": {}, "0 days": {}, "-3 days": {}, "3": {}, "three moons": {}, "C-2 99999 days": {}, "for ever": {}, "C-2 C-3 3 days": {},
	} {
		name, days, ok := readLater(text)
		if ok != (want.days > 0) || ok && (name != want.name || days != want.days) {
			t.Errorf("%q is %q, %d days, %v; want %+v", text, name, days, ok, want)
		}
	}
}
