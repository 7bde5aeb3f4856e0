package bot

import (
	"strings"

	"becket/store"
)

// strike takes back a retirement that was put on the wrong mark. Two people who may sign for the family say so,
// each by themselves; both words are additions, and the item is not for use until it is inspected.
func (t *turn) strike(args string) error {
	item, why, found, err := t.namedItem(args, "strike D-14 the record was meant for D-41")
	if err != nil || !found {
		return err
	}
	if ok, err := t.may(actStrike, item.Flow); err != nil || !ok {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	if s.retired == nil {
		t.refuse(notRetired, item.Mark)
		return nil
	}
	why = strings.TrimLeft(why, ":,- ")
	if len(why) < 10 {
		t.refuse(strikeInWriting, item.Mark)
		return nil
	}
	first, err := t.strikeAsked(item.Mark, s.retired.N)
	switch {
	case err != nil:
		return err
	case first == t.m.From:
		t.refuse(strikeSecond, item.Mark)
		return nil
	case first == "":
		t.say(strikeFirst, item.Mark, item.Mark)
		_, err := t.write(store.StrikeAsked{Mark: item.Mark, Hold: s.retired.N, Why: why})
		return err
	}
	if _, err := t.write(store.RetirementStruck{Mark: item.Mark, Hold: s.retired.N, First: first, Why: why}); err != nil {
		return err
	}
	t.say(struck, item.Mark, first, t.m.From, item.Mark)
	return nil
}

// strikeAsked is who already said that a retirement was a mistake; empty: nobody.
func (t *turn) strikeAsked(mark string, hold int64) (string, error) {
	entries, err := t.tx.EntriesIn(t.m.Room, "item:"+mark)
	if err != nil {
		return "", err
	}
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return "", err
		}
		if asked, ok := ev.(*store.StrikeAsked); ok && asked.Hold == hold {
			return e.By, nil
		}
	}
	return "", nil
}
