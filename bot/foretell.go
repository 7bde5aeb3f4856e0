package bot

import (
	"math"
	"strings"

	"becket/flows/due"
	"becket/store"
)

// firstLook is the first day after an examination by which one of an item's places would have to be measured again, and what foretells it;
// without a day, where none is foretold.
func firstLook(all []*course, exam due.Date) (f store.Foretold) {
	for _, c := range all {
		look, told := c.forecast().Look()
		if told && look.After(exam) && (f.Day.IsZero() || look.Before(f.Day)) {
			counts := c.counts()
			f.Day, f.Place, f.Course = look, c.id, &counts
		}
	}
	return f
}

// foretell writes down by which day an item's readings would have it measured again, after an inspection that was signed.
func (t *turn) foretell(mark, inspection string) error {
	f, was, err := t.foretoldNow(mark)
	if err != nil || f.Day.IsZero() && was.Day.IsZero() {
		return err
	}
	f.Inspection = inspection
	_, err = t.write(f)
	return err
}

// foretoldInterim says that an item is due sooner by what an interim inspection measured; empty: its wear brings nothing nearer.
func (t *turn) foretoldInterim(mark string) (string, error) {
	item, found, err := t.tx.Item(t.m.Room, mark)
	if err != nil || !found {
		return "", err
	}
	s, err := t.statusOf(item)
	if err != nil || s.out() || s.wears == "" {
		return "", err
	}
	return format(foretoldSooner, item.Mark, s.dueWords()), nil
}

// foretellNearer is foretell where nothing new was measured, and only what it is held against changed: a milder limit moves nothing.
// It says what moved; empty: nothing did.
func (t *turn) foretellNearer(mark string) (string, error) {
	f, was, err := t.foretoldNow(mark)
	if err != nil || f.Day.IsZero() || !was.Day.IsZero() && !f.Day.Before(was.Day) {
		return "", err
	}
	item, _, err := t.tx.Item(t.m.Room, mark)
	if err != nil {
		return "", err
	}
	before, err := t.statusOf(item)
	if err != nil {
		return "", err
	}
	f.Inspection = before.last.ID
	if _, err := t.write(f); err != nil {
		return "", err
	}
	now, err := t.statusOf(item)
	if err != nil || now.due == before.due || now.out() {
		return "", err
	}
	return "  " + format(foretoldSooner, item.Mark, now.dueWords()), nil
}

// foretoldNow is what is foretold of an item by its readings and by what they are held against now, and what was foretold of it
// so far, each as far as it is after the last examination.
func (t *turn) foretoldNow(mark string) (now, was store.Foretold, err error) {
	now.Mark = mark
	item, found, err := t.tx.Item(t.m.Room, mark)
	if err != nil || !found {
		return now, was, err
	}
	s, err := t.statusOf(item)
	if err != nil || !s.signed {
		return now, was, err
	}
	all, err := t.coursesOf(s.item, s.sheet)
	if err != nil {
		return now, was, err
	}
	now = firstLook(all, s.last.Day)
	now.Mark = item.Mark
	was, err = t.tx.Foretold(t.m.Room, item.Mark)
	if !was.Day.After(s.last.Day) {
		was.Day = due.Date{}
	}
	return now, was, err
}

// enoughMeasured is in how many inspections something was measured at least, where anything may be foretold: the third reading may be of the day
// on which the item was taken in.
const enoughMeasured = 2

// sayForetold looks once through the readings of a record that is older than what is foretold of them, and says in its room which
// days came nearer.
func (b *Bot) sayForetold(tx *store.Tx, room string) error {
	const once = "1"
	if done, err := tx.Told(room, store.RuleForetold, once); err != nil || done {
		return err
	}
	if err := tx.Occurred(room, store.RuleForetold, once, tx.Now(), ""); err != nil {
		return err
	}
	marks, err := tx.Measured(room, enoughMeasured)
	if err != nil || len(marks) == 0 {
		return err
	}
	t, err := b.onBehalf(tx, room)
	if err != nil {
		return err
	}
	t.m.From, t.m.ID = teller, "foretold/"+room
	var sooner []string
	for _, mark := range marks {
		said, err := t.foretellNearer(mark)
		if err != nil {
			return err
		}
		if said != "" {
			sooner = append(sooner, strings.TrimSpace(said))
		}
	}
	if len(sooner) == 0 {
		return nil
	}
	if more := len(sooner) - mostMoved; more > 0 {
		sooner = append(sooner[:mostMoved], format(againLeft, more))
	}
	return t.sayByItself(Reply{Key: t.m.ID, Room: room, Text: section(foretoldHead, sooner)})
}

// wouldFallDue is when an item would be due again were an inspection signed as the rules say, and at which place its wear brings that
// day nearer; empty: it doesn't. Whoever looks a second time, blind, isn't told before the signature what was measured earlier.
func (t *turn) wouldFallDue(i *inspection, plain due.Date) (next due.Date, place string, err error) {
	if i.Repeats != "" {
		return plain, "", nil
	}
	item, found, err := t.tx.Item(t.m.Room, i.Mark)
	if err != nil || !found {
		return plain, "", err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return plain, "", err
	}
	all, err := t.coursesWith(s.item, s.sheet, math.MaxInt64, i)
	f := firstLook(all, i.state.Day)
	if next = due.Nearer(plain, f.Day, i.state.Day); next == plain {
		return plain, "", err
	}
	return next, f.Place, err
}

// foretoldAfter is what was foretold after a signed inspection: what counts now, where it is the item's last.
func (t *turn) foretoldAfter(i *inspection) (f store.Foretold, err error) {
	last, signed, err := t.tx.LastSigned(t.m.Room, i.Mark)
	if err != nil {
		return f, err
	}
	if signed && last.ID == i.ID {
		return t.tx.Foretold(t.m.Room, i.Mark)
	}
	entries, err := t.tx.EntriesIn(t.m.Room, store.ItemSubject(i.Mark))
	for _, e := range entries {
		if e.Kind != f.Kind() {
			continue
		}
		ev, err := e.Event()
		if err != nil {
			return f, err
		}
		if then := ev.(*store.Foretold); then.Inspection == i.ID {
			f = *then
		}
	}
	return f, err
}

// nextAfter is when an item, as an inspection knew it, fell due again after it, and a sentence that says why where its wear brought that day
// nearer.
func (t *turn) nextAfter(item store.Item, i *inspection) (next due.Date, why string, err error) {
	plain := item.DueAfter(i.Inspection)
	ahead, err := t.foretoldAfter(i)
	next = due.Nearer(plain, ahead.Day, i.Day)
	if next != plain {
		why = sentence(soonerWords(next, plain, ahead.Place))
	}
	return next, why, err
}

// soonerWords is a due day that wear brought nearer, with why; the day alone, where it didn't.
func soonerWords(day, plain due.Date, place string) string {
	if place == "" || day == plain {
		return day.Words()
	}
	return format(dueSooner, day.Words(), plain.Words(), strings.ReplaceAll(place, "_", " "))
}
