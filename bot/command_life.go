package bot

import (
	"strings"

	"becket/flows/due"
	"becket/store"
)

// life says what limits an item's life and which limit comes first; or writes down a date that limits it.
func (t *turn) life(args string) error {
	item, rest, found, err := t.namedItem(args, "life D-07")
	if err != nil || !found {
		return err
	}
	for _, kind := range lifeDates() {
		if text, is := afterWords(rest, kind.words); is {
			return t.limitLife(item, kind, text)
		}
	}
	if strings.Trim(rest, " .?") != "" {
		t.refuse(lifeHow)
		return nil
	}
	said, err := t.lifeWords(item)
	t.reply(said)
	return err
}

// lifeWords lists every limit of an item's life, and which counts.
func (t *turn) lifeWords(item store.Item) (string, error) {
	s, err := t.statusOf(item)
	if err != nil {
		return "", err
	}
	limits := s.item.Life().Limits()
	if len(limits) == 0 {
		return format(lifeNone, item.Mark), nil
	}
	lines := []string{format(lifeHead, item.Mark, t.describe(item))}
	for _, l := range limits {
		lines = append(lines, limitWords(l))
	}
	if end := s.lifeEnd; !end.Date.IsZero() {
		lines = append(lines, format(lifeEarliest, end.Date.Words(), boundWords(end.Bound)))
	}
	if s.lifeEnd.Unknown {
		lines = append(lines, sentence(lifeUnknown))
	}
	return joined(lines...), nil
}

func limitWords(l due.Limit) string {
	switch {
	case l.Ends.IsZero():
		return format(lifeOpen, l.Years)
	case l.Bound == due.BoundMade:
		return format(lifeFromMade, l.Years, l.From.Words(), l.Ends.Words())
	case l.Bound == due.BoundFirstUse:
		return format(lifeFromUse, l.Years, l.From.Words(), l.Ends.Words())
	case l.Bound == due.BoundPrinted:
		return format(lifePrinted, l.From.Words(), l.Ends.Words())
	}
	return format(lifeOwn, l.Ends.Words())
}

// boundWords says which limit of a life came first.
func boundWords(bound string) string {
	switch bound {
	case due.BoundFirstUse:
		return boundFirstUse
	case due.BoundPrinted:
		return boundPrinted
	case due.BoundOwn:
		return boundOwn
	}
	return boundMade
}

// lifeDate is a date that can be written down afterwards.
type lifeDate struct {
	words string
	reads func(store.Item) due.Date // what the register has
	into  func(*store.LifeLimited, due.Date)
	fills bool // it fills in what isn't known; else it brings an end nearer
	why   bool // a reason is wanted
}

func lifeDates() []lifeDate {
	return []lifeDate{
		{words: "printed", reads: func(i store.Item) due.Date { return i.Printed }, into: func(l *store.LifeLimited, d due.Date) { l.Printed = d }},
		{words: "own limit", reads: func(i store.Item) due.Date { return i.OwnLimit }, into: func(l *store.LifeLimited, d due.Date) { l.Own = d }, why: true},
		{words: "made", reads: func(i store.Item) due.Date { return i.Made }, into: func(l *store.LifeLimited, d due.Date) { l.Made = d }, fills: true, why: true},
		{words: "first used", reads: func(i store.Item) due.Date { return i.FirstUse }, into: func(l *store.LifeLimited, d due.Date) { l.FirstUse = d }, fills: true},
	}
}

// limitLife writes down a date.
func (t *turn) limitLife(item store.Item, kind lifeDate, text string) error {
	if ok, err := t.may(actTakeIn, item.Flow); err != nil || !ok {
		return err
	}
	date, why, found := dateFirst(text)
	was := kind.reads(item)
	switch {
	case !found:
		t.refuse(lifeHow)
		return nil
	case kind.why && letters(why) < 3:
		t.refuse(lifeWhy, item.Mark, kind.words)
		return nil
	case kind.fills && !was.IsZero():
		t.refuse(lifeKnown, item.Mark, kind.words, was.Words())
		return nil
	case !was.IsZero() && date.After(was):
		t.refuse(lifeLater, was.Words())
		return nil
	}
	ev := store.LifeLimited{Mark: item.Mark, Why: why}
	kind.into(&ev, date)
	life := item.Life()
	life.Made, life.FirstUse = firstKnown(life.Made, ev.Made), firstKnown(life.FirstUse, ev.FirstUse)
	if err := life.Check(t.day()); err != nil {
		t.refuse("%s", sentence(err.Error()))
		return nil
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	item, _, err := t.tx.Item(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	said, err := t.lifeWords(item)
	t.reply(joined(lifeKept, said))
	return err
}

func firstKnown(a, b due.Date) due.Date {
	if a.IsZero() {
		return b
	}
	return a
}

// dateFirst reads the longest date that a text begins with, and what follows it.
func dateFirst(text string) (date due.Date, rest string, found bool) {
	words := strings.Fields(text)
	for n := min(3, len(words)); n > 0; n-- {
		d, err := due.ParseSpoken(strings.TrimRight(strings.Join(words[:n], " "), ".,:;"))
		if err == nil {
			return d, strings.Join(words[n:], " "), true
		}
	}
	return due.Date{}, text, false
}
