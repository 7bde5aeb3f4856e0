package bot

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"

	"becket/bot/calendar"
	"becket/flows/due"
	"becket/store"
)

// How many days before a day comes a calendar reminds of it.
const (
	remindFirst = 14
	remindLast  = 1
)

// calendarYears is how far ahead a calendar goes.
const calendarYears = 30

// calendar gives what falls due as a file for a calendar.
func (t *turn) calendar(string) error {
	events, without, err := t.dueDays()
	if err != nil {
		return err
	}
	inQuarantine, err := t.heldWords(calendarHeld)
	if err != nil {
		return err
	}
	if len(events) == 0 {
		t.say(calendarEmpty, without, inQuarantine)
		return nil
	}
	file, err := t.calendarFile(events)
	if err != nil {
		return err
	}
	kept, err := t.keep(calendarName, "text/calendar", file)
	if err != nil {
		return err
	}
	lines := []string{format(calendarHere, len(events), events[0].Title, events[0].Day.Words())}
	if without > 0 {
		lines = append(lines, format(calendarWithout, without, inQuarantine))
	}
	t.reply(joined(append(lines, calendarLater)...)).Files = []File{kept}
	return nil
}

// calendarFile writes events down. Each one made later counts before those made earlier.
func (t *turn) calendarFile(events []calendar.Event) ([]byte, error) {
	seq, _, err := t.tx.Head()
	return calendar.File("Becket", events, t.tx.Now(), seq), err
}

// dueDays is every day on which something of the team falls due, earliest first, and how many items have none because they may not
// be used before they are looked at.
func (t *turn) dueDays() (all []calendar.Event, without int, err error) {
	end := t.day().AddYears(calendarYears)
	add := func(about string, day due.Date, title, text string) {
		if day.IsZero() || day.After(end) {
			return
		}
		all = append(all, calendar.Event{Key: t.eventKey(about), Day: day, Title: title, Text: text, Before: []int{remindFirst, remindLast}})
	}
	s, err := t.survey(366 * calendarYears)
	if err != nil {
		return nil, 0, err
	}
	for _, i := range s.items {
		switch end := i.lifeEnd.Date; {
		case i.retired != nil || !i.custody.Gone.IsZero():
			continue
		case i.out() || len(i.notForUse(s.today)) > 0:
			without++
			continue
		case end == i.due:
			add("item "+i.item.Mark, end, format(calendarLife, i.item.Mark), t.whatItIs(i.item))
		default:
			add("item "+i.item.Mark, i.due, format(calendarDue, i.item.Mark), joined(t.whatItIs(i.item), sentence(i.why), i.soonerBy(), cautionUse))
			add("life "+i.item.Mark, end, format(calendarLife, i.item.Mark), t.whatItIs(i.item))
		}
	}
	instruments, err := t.tx.Instruments(t.m.Room)
	if err != nil {
		return nil, 0, err
	}
	for _, in := range instruments {
		add("instrument "+in.Mark, in.CheckBy, format(calendarCheck, in.Mark), in.Kind)
	}
	for _, p := range s.people {
		for _, c := range p.Competent {
			add("competence "+p.ID+" "+c.Flow, c.Until, format(calendarCompetence, p.ID, t.bot.title(c.Flow)), calendarCompetenceText)
		}
	}
	slices.SortStableFunc(all, func(a, b calendar.Event) int { return a.Day.Compare(b.Day) })
	return all, without, nil
}

// eventKey names an event for good, and says nothing of the room to who doesn't know it.
func (t *turn) eventKey(about string) string {
	return fmt.Sprintf("%x@becket", sha256.Sum256([]byte(t.m.Room+"\n"+strings.ToLower(about))))
}

// Calendar is what falls due in a team's store as a file for a calendar; nil where nothing has a day.
func (b *Bot) Calendar(ctx context.Context, db *store.DB, room string) (file []byte, err error) {
	err = db.View(ctx, func(tx *store.Tx) error {
		t, err := b.onBehalf(tx, room)
		if err != nil {
			return err
		}
		events, _, err := t.dueDays()
		if err != nil || len(events) == 0 {
			return err
		}
		file, err = t.calendarFile(events)
		return err
	})
	return file, err
}
