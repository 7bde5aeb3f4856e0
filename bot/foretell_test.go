package bot

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"becket/flows/due"
	"becket/store"
)

// wear has a groove measured so often, each time so many days after the one before.
func (c *conversation) wear(mark string, days int, grooves ...string) {
	c.Helper()
	for _, read := range grooves {
		c.forward(time.Duration(days) * 24 * time.Hour)
		c.inspect("@ben", mark, finds{"measure.cam_groove": read + " " + read + "1 " + read + "2"}) // the last is the worst
	}
}

// worn is a yard in which D-41 wears fast: on 12 July 2027 its groove is half as deep as it may be, half a year after it was new.
func worn(t *testing.T) *conversation {
	c := talk(t)
	c.wear("D-41", 80, "0.02", "0.27", "0.51")
	return c
}

// wantDue compares the day on which an item is due, and what it would be without a forecast.
func (c *conversation) wantDue(mark, day, plain string) {
	c.Helper()
	if s := c.status(mark); s.due.String() != day || s.plain.String() != plain {
		c.Errorf("%s is due %s, and %s without a forecast; wanted are %s and %s", mark, s.due, s.plain, day, plain)
	}
}

// A limit that is far moves no day; nor do two readings, nor what differs without wear.
func TestNothingForetoldMovesNoDay(t *testing.T) {
	t.Parallel()
	for name, grooves := range map[string][]string{
		"none":  nil,
		"two":   {"0.04", "0.06"},
		"far":   {"0.00", "0.05", "0.10", "0.15"},
		"level": {"0.04", "0.05", "0.04", "0.05"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			c.wear("D-41", 60, grooves...)
			s := c.status("D-41")
			if s.due != s.plain || s.wears != "" {
				t.Errorf("due %s, without a forecast %s, by %q", s.due, s.plain, s.wears)
			}
			if all := c.coursesNow("D-41"); name == "far" && !all[0].forecast().Far() {
				t.Errorf("it isn't far: %+v", all[0].forecast())
			}
		})
	}
}

func (c *conversation) coursesNow(mark string) (all []*course) {
	c.Helper()
	s := c.status(mark)
	c.view(func(tx *store.Tx) (err error) {
		t := &turn{bot: c.bot, tx: tx, m: Message{Room: c.room}, zone: time.UTC}
		if all, err = t.coursesOf(s.item, s.sheet); err != nil {
			return err
		}
		folded, err := t.foldedCourses(s)
		if got, want := inJSON(readingsOf(all)), inJSON(readingsOf(folded)); got != want {
			c.Errorf("%s measured, as it was kept: %s; as all its answers fold: %s", mark, got, want)
		}
		return err
	})
	return all
}

// foldedCourses is what an item's signed inspections measured, from every answer of theirs.
func (t *turn) foldedCourses(s status) ([]*course, error) {
	rows, err := t.tx.InspectionsOf(t.m.Room, s.item.Mark)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(rows, func(a, b store.Inspection) int { return a.Day.Compare(b.Day) })
	all := courses{}
	if err := t.asNew(&all, s.item); err != nil {
		return nil, err
	}
	for _, row := range rows {
		if row.State != store.SignedOff && row.State != store.Interim {
			continue
		}
		i, err := t.bot.load(t.tx, row)
		if err != nil {
			return nil, err
		}
		all.add(i, s.sheet)
	}
	return all.list, nil
}

// readingsOf is all that courses say, as it can be compared.
func readingsOf(all []*course) (said []any) {
	for _, c := range all {
		said = append(said, []any{c.id, c.name, c.unit, c.values, c.doubt, c.mixed, c.limit, c.cited, c.limited, c.limits, c.Course})
	}
	return said
}

// Whatever shows the day shows the same one, here with the reasons in a digest's morning and in the calendar.
func TestAForetoldDayIsShownEverywhere(t *testing.T) {
	t.Parallel()
	c := worn(t)
	c.wantDue("D-41", "2027-08-08", "2027-10-12")
	const why = "8 August 2027, not 12 October 2027: the cam groove may be at its limit by then, as it has worn so far"
	for _, asks := range []string{"can I use D-41", "due", "find D-41", "handover", "plan", "papers D-41"} {
		c.wantSaid(c.say("@ana", "", asks), why)
	}
	c.view(func(tx *store.Tx) error {
		t := &turn{bot: c.bot, tx: tx, m: Message{Room: c.room}, zone: time.UTC}
		days, _, err := t.dueDays()
		for _, d := range days {
			if strings.HasPrefix(d.Title, "D-41") && (d.Day.String() != "2027-08-08" || !strings.Contains(d.Text, why)) {
				c.Errorf("the calendar has %+v", d)
			}
		}
		for _, by := range []struct {
			day  due.Date
			want bool
		}{{due.Date{Year: 2027, Month: 8, Day: 7}, false}, {due.Date{Year: 2027, Month: 8, Day: 8}, true}} {
			marks, errBy := tx.DueBy(c.room, by.day)
			if errBy != nil || slices.Contains(marks, "D-41") != by.want {
				c.Errorf("by %s: %v, %v", by.day, marks, errBy)
			}
		}
		return err
	})
	c.say("@cal", "", "digest daily 07:30 UTC")
	c.remind(c.bot)
	c.forward(21 * 24 * time.Hour)
	c.wantSaid(c.remind(c.bot), "\n  D-41: "+why)
	c.say("@cal", "", "digest off")
	told := 0
	for range 6 { // over on 9 August: said once, not each day
		c.forward(7 * 24 * time.Hour)
		if h := c.remind(c.bot); strings.Contains(h.text(), "D-41: it was due on "+why) {
			told++
		}
	}
	if told != 1 {
		t.Errorf("that it was due was told %d times", told)
	}
	c.wantSaid(c.say("@ana", "", "issue D-41 to @dee"), "it was due on "+why)
}

// A reading that was put right counts as it was put right.
func TestAReadingPutRightForetellsAsPutRight(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.wear("D-41", 80, "0.02", "0.27")
	c.forward(80 * 24 * time.Hour)
	thread := c.begin("@ben", "D-41")
	c.until("@ben", thread, "measure.cam_groove", nil)
	q, _ := c.open(thread).next()
	c.say("@ben", thread, "0.81 0.811 0.812")
	c.say("@ben", thread, fmt.Sprintf("put right %d 0.51 0.511 0.512", q.Position))
	c.until("@ben", thread, "", nil)
	c.say("@ben", thread, "sign watch")
	right := worn(t).status("D-41")
	c.wantDue("D-41", right.due.String(), right.plain.String())
}

// Where it would be measured again within days, whoever signs is told that there is another way.
func TestOftenMeasuredIsBetterReplaced(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.wear("D-41", 40, "0.02", "0.30", "0.62")
	if said := c.every[len(c.every)-1].Text; !strings.Contains(said, "look again by 16 March 2027") || !strings.Contains(said, foretoldOften) {
		t.Error(said)
	}
	c = worn(t)
	if said := c.every[len(c.every)-1].Text; strings.Contains(said, foretoldOften) {
		t.Error(said)
	}
}

// What somebody measured under supervision brings a day nearer too, though it puts none off.
func TestAnInterimReadingBringsADayNearer(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.wear("D-41", 40, "0.02", "0.30")
	c.wantDue("D-41", "2027-05-02", "2027-05-02")
	c.forward(40 * 24 * time.Hour)
	thread := c.begin("@dee", "D-41")
	c.until("@dee", thread, "", finds{"measure.cam_groove": "0.60 0.61 0.62"})
	c.wantSaid(c.say("@ben", "", "supervise D-41 watch"), "D-41 is due by 16 March 2027, not 2 May 2027: the cam groove may be at its limit by then")
	on := func(days int) time.Time { return time.Date(2026, 11, 14, 0, 0, 0, 0, time.UTC).AddDate(0, 0, days) }
	paper := wearsOut([]groove{{on(40), 0.022}, {on(80), 0.302}, {on(120), 0.62}})
	c.wantDue("D-41", paper.Format("2006-01-02"), "2027-05-02")
}

// Whoever is to measure isn't told which place wore, nor that one did.
func TestWhoMeasuresIsNotToldWhatWore(t *testing.T) {
	t.Parallel()
	c := worn(t)
	c.forward(24 * time.Hour)
	thread, h := c.send(Message{From: "@ben", Text: "inspect D-41"})
	c.wantSaid(h, "Due 8 August 2027.")
	for _, asks := range []string{"due", "find D-41", "handover", "plan", "can I use D-41", "wear D-41"} {
		if said := h.text() + c.say("@ben", "", asks).text(); strings.Contains(said, "groove") || strings.Contains(said, "worn") {
			t.Errorf("%s, while it is being measured: %s", asks, said)
		}
	}
	c.say("@ben", thread, "leave off")
}

// A record that is older than forecasts is looked through once, and its room told; all is as if it had been foretold at once.
func TestAnOlderRecordIsLookedThroughOnce(t *testing.T) {
	t.Parallel()
	c := worn(t)
	older := c.rewritten(t, func(_ store.Entry, ev store.Event) (store.Event, bool) {
		_, is := ev.(*store.Foretold)
		return ev, !is
	})
	o := &conversation{T: t, bot: c.bot, db: older, room: c.room, now: c.now}
	o.wantDue("D-41", "2027-10-12", "2027-10-12")
	o.wantSaid(o.remind(o.bot), "What was measured so far now brings due days nearer:\n  D-41 is due by 8 August 2027, not 12 October 2027: the cam groove")
	o.wantDue("D-41", "2027-08-08", "2027-10-12")
	if h := o.remind(o.bot); len(h) > 0 {
		t.Errorf("told again: %s", h.text())
	}
	if faults, err := New(Options{}).Verify(context.Background(), older); err != nil || len(faults) > 0 {
		t.Errorf("%v, %v", faults, err)
	}
}

// Every forecast in the record is worked out again from its readings, and those are looked for in the record.
func TestVerifyNamesAForgedForecast(t *testing.T) {
	t.Parallel()
	c := worn(t)
	for name, change := range map[string]func(*store.Foretold){
		"another day":       func(f *store.Foretold) { f.Day = f.Day.AddDays(40) },
		"no readings":       func(f *store.Foretold) { f.Course = nil },
		"another limit":     func(f *store.Foretold) { f.Course.Limit = 2 },
		"of another place":  func(f *store.Foretold) { f.Place = "wear_pin" },
		"a reading changed": func(f *store.Foretold) { f.Course.Readings[1].Value = 0.28; f.Day, _ = f.Course.Forecast().Look() },
	} {
		db := c.rewritten(t, func(_ store.Entry, ev store.Event) (store.Event, bool) {
			if f, is := ev.(*store.Foretold); is {
				change(f)
			}
			return ev, true
		})
		faults, err := New(Options{}).Verify(context.Background(), db)
		if err != nil || len(faults) != 1 || !strings.Contains(faults[0].What, "foretells") {
			t.Errorf("%s: %v, %v", name, faults, err)
		}
	}
}
