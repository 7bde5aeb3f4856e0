package bot

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"becket/flows/due"
	"becket/store"
)

// occurs is one local day on which the digest's time comes, worked out minute by minute rather than by rule.
type occurs struct {
	day string
	at  time.Time
}

// minuteByMinute walks through all minutes between two instants and gives when a wall clock in a zone shows a time on
// certain days of the week for the first time. Where the clocks jump over it, the minutes are counted on by the old
// clock (RFC 5545 section 3.3.5).
func minuteByMinute(zone *time.Location, days map[time.Weekday]bool, hour, minute int, from, to time.Time) (all []occurs) {
	seen := map[string]bool{}
	_, offset := from.In(zone).Zone()
	for at := from.Truncate(time.Minute); !at.After(to); at = at.Add(time.Minute) {
		local := at.In(zone)
		if _, now := local.Zone(); now != offset {
			for skipped := range (now - offset) / 60 { // the minutes that no clock showed, as far as their day is one at all
				wall := at.Add(time.Duration(skipped) * time.Minute).In(time.FixedZone("", offset))
				noon := due.At(due.On(wall), 12, 0, zone)
				day := wall.Format(time.DateOnly)
				if wall.Hour() == hour && wall.Minute() == minute && days[wall.Weekday()] && !seen[day] && noon.Format(time.DateOnly) == day {
					seen[day] = true
					all = append(all, occurs{day, at.Add(time.Duration(skipped) * time.Minute)})
				}
			}
			offset = now
		}
		if day := local.Format(time.DateOnly); local.Hour() == hour && local.Minute() == minute && days[local.Weekday()] && !seen[day] {
			seen[day] = true
			all = append(all, occurs{day, at})
		}
	}
	return all
}

// notInTime is what a message says of digests that weren't told in time.
var notInTime = regexp.MustCompile(`Not told in time, the digest of: ([^.]+)\.`)

// countMissed counts the days that a message names, and those it only counts.
func countMissed(text string) int {
	m := notInTime.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	days, more, cut := strings.Cut(m[1], " and ")
	n := len(strings.Split(days, ", "))
	if cut {
		rest, _ := strconv.Atoi(strings.Fields(more)[0])
		n += rest
	}
	return n
}

// TestEachIsToldExactlyOnce puts the clock forward by chance, over both ends of summer time and days that never were,
// with the program restarted, away for weeks, or its clock put back a little. Each time that comes is told once: by
// itself when it is told in time, or else counted in one message after being away.
func TestEachIsToldExactlyOnce(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		// A year with its changes of the clocks, in zones that change in different ways.
		where := rapid.SampledFrom([]struct{ zone, from string }{
			{"Europe/London", "2026-03-20T10:00:00Z"}, {"Europe/London", "2026-10-20T10:00:00Z"}, {"America/New_York", "2026-10-28T10:00:00Z"},
			{"America/Sao_Paulo", "2018-10-30T10:00:00Z"}, {"Pacific/Apia", "2011-12-24T10:00:00Z"}, {"Australia/Lord_Howe", "2026-09-30T10:00:00Z"},
			{"America/Nuuk", "2024-03-25T10:00:00Z"}, {"Africa/Casablanca", "2026-02-10T10:00:00Z"}, {"Asia/Kathmandu", "2026-03-01T10:00:00Z"},
		}).Draw(t, "where")
		zone, err := time.LoadLocation(where.zone)
		if err != nil {
			t.Fatal(err)
		}
		start, _ := time.Parse(time.RFC3339, where.from)
		hour := rapid.SampledFrom([]int{0, 1, 2, 7, 23}).Draw(t, "hour")
		minute := rapid.SampledFrom([]int{0, 15, 30, 45}).Draw(t, "minute")
		words := rapid.SampledFrom([]string{"daily", "Monday", "Tue and Fri", "weekdays", "Sunday"}).Draw(t, "days")
		days := map[time.Weekday]bool{}
		for word := range strings.FieldsSeq(words) {
			named, _ := weekdaysIn(word)
			for d := time.Sunday; d <= time.Saturday; d++ {
				for _, name := range named {
					days[d] = days[d] || name == d.String()
				}
			}
		}
		end := start.Add(70 * 24 * time.Hour)
		expected := minuteByMinute(zone, days, hour, minute, start.Add(time.Minute), end)

		r := newRemindRun(t, start, fmt.Sprintf("digest %s %02d:%02d %s", words, hour, minute, where.zone))
		defer r.close()
		told, latest := 0, start
		for range rapid.IntRange(2, 9).Draw(t, "steps") {
			step := rapid.SampledFrom([]time.Duration{30 * time.Second, 40 * time.Minute, 5 * time.Hour, 23 * time.Hour, 25 * time.Hour, 8 * 24 * time.Hour, 17 * 24 * time.Hour, -30 * time.Minute, -20 * time.Hour}).Draw(t, "step")
			back := r.now.Add(step)
			if step < 0 && (back.Before(start) || latest.Sub(back) > ranAhead) { // further back is a clock that was put right
				continue
			}
			if back.After(end) { // what comes then isn't expected here
				break
			}
			if r.now = back; r.now.After(latest) {
				latest = r.now
			}
			if rapid.Bool().Draw(t, "restarted") {
				r.restart()
			}
			came, missed := 0, 0
			for _, o := range expected[told:] {
				if o.at.After(r.now) {
					break
				}
				if came++; r.now.Sub(o.at) > 2*time.Hour {
					missed++
				}
			}
			said := r.remind()
			told += came
			switch {
			case came == 0 && len(said) > 0:
				t.Fatalf("at %s nothing new came, and said was %q", r.now.In(zone), said)
			case came > 0 && len(said) != 1:
				t.Fatalf("at %s %d came, and %d messages were said: %q", r.now.In(zone), came, len(said), said)
			case came > 0 && countMissed(said[0]) != missed:
				t.Fatalf("at %s %d of %d were missed, and said was %q", r.now.In(zone), missed, came, said[0])
			}
			if again := r.remind(); len(again) > 0 {
				t.Fatalf("said again: %q", again)
			}
		}
		for n, o := range expected {
			if got := r.toldOn(o.day); got != (n < told) {
				t.Fatalf("the one of %s counts as told: %v", o.day, got)
			}
		}
	})
}

// remindRun is a program that is started again and again on one database.
type remindRun struct {
	*rapid.T
	folder string
	db     *store.DB
	bot    *Bot
	now    time.Time
	seen   int64 // the last message that was read
}

func newRemindRun(t *rapid.T, now time.Time, digest string) *remindRun {
	folder, err := os.MkdirTemp("", "becket-remind-")
	if err != nil {
		t.Fatal(err)
	}
	r := &remindRun{T: t, folder: folder, now: now}
	r.open()
	team := "team: {room: \"!yard\", name: Yard (invented), zone: UTC}\npeople: [{id: \"@cal\", roles: [keeper]}]\n"
	f, err := ParseTeamFile([]byte(team))
	if err != nil {
		t.Fatal(err)
	}
	r.do(func(tx *store.Tx) error { return r.bot.Import(tx, f, "test") })
	m := Message{ID: "$1", Room: "!yard", From: "@cal", Text: digest}
	if _, err := r.db.Receive(t.Context(), "test", []store.Incoming{{ID: m.ID, Room: m.Room, Body: []byte("{}")}}, ""); err != nil {
		t.Fatal(err)
	}
	r.do(func(tx *store.Tx) error { return r.bot.Take(tx, m) })
	if said := r.read(); len(said) != 1 || !strings.Contains(said[0], "Next:") {
		t.Fatalf("%q was answered %q", digest, said)
	}
	return r
}

func (r *remindRun) open() {
	db, err := store.Open(r.Context(), filepath.Join(r.folder, "becket.db"), func() time.Time { return r.now })
	if err != nil {
		r.Fatal(err)
	}
	r.db, r.bot = db, New(Options{})
}

func (r *remindRun) restart() {
	if err := r.db.Close(); err != nil {
		r.Fatal(err)
	}
	r.open()
}

func (r *remindRun) close() {
	if err := r.db.Close(); err != nil {
		r.Error(err)
	}
	if err := os.RemoveAll(r.folder); err != nil {
		r.Error(err)
	}
}

func (r *remindRun) do(fn func(*store.Tx) error) {
	if err := r.db.Do(r.Context(), fn); err != nil {
		r.Fatal(err)
	}
}

// remind has said what is due, and gives what is new in the outbox. Nothing is ever delivered, so that a message which
// was put there twice would be seen.
func (r *remindRun) remind() []string {
	r.do(r.bot.Remind)
	return r.read()
}

func (r *remindRun) read() (said []string) {
	out, err := r.db.Unsent(r.Context(), 10_000)
	if err != nil {
		r.Fatal(err)
	}
	for _, o := range out {
		if o.N > r.seen {
			r.seen = o.N
			said = append(said, string(o.Body))
		}
	}
	return said
}

func (r *remindRun) toldOn(day string) (told bool) {
	r.do(func(tx *store.Tx) (err error) {
		told, err = tx.Told("!yard", store.RuleDigest, day)
		return err
	})
	return told
}
