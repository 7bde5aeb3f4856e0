package bot

import (
	"slices"
	"strings"

	"becket/store"
)

// set makes a set of items, or says what is in one: "set S-1 of D-07, K-01, R-02".
func (t *turn) set(args string) error {
	mark, rest := firstWord(strings.TrimRight(args, "."))
	parts, isNew := afterWords(rest, "of")
	if mark == "" || !isNew {
		b, found, err := t.tx.Bundle(t.m.Room, mark)
		if err != nil {
			return err
		}
		if !found {
			t.refuse(setHow)
			return nil
		}
		said, err := t.whatIsIn(b)
		t.reply(said)
		return err
	}
	if ok, err := t.may(actTakeIn, ""); err != nil || !ok {
		return err
	}
	if complaint := t.markFree(mark); complaint != "" {
		t.refuse("%s", complaint)
		return nil
	}
	all, ok, err := t.freeParts(parts, "set S-1 of D-07, K-01")
	if err != nil || !ok {
		return err
	}
	if len(all) < 2 {
		t.refuse(setTooFew)
		return nil
	}
	ev := store.SetMade{Mark: strings.ToUpper(mark), Parts: all}
	if _, err := t.write(ev); err != nil {
		return err
	}
	return t.sayParts(format(setMade, ev.Mark, together(all)), all)
}

// freeParts finds items that can be put into a set or bag: in the store, in no other, and not retired.
func (t *turn) freeParts(text, example string) (marks []string, ok bool, err error) {
	all, found, err := t.things(text, example)
	if err != nil || !found {
		return nil, false, err
	}
	for _, one := range all {
		in, isPart, err := t.tx.PartOf(t.m.Room, one.item.Mark)
		if err != nil {
			return nil, false, err
		}
		s, err := t.statusOf(one.item)
		if err != nil {
			return nil, false, err
		}
		switch {
		case isPart:
			t.refuse(partElsewhere, one.item.Mark, in.Mark)
			return nil, false, nil
		case s.retired != nil:
			t.refuse(partRetired, one.item.Mark)
			return nil, false, nil
		case one.item.Holder != "":
			t.refuse(partOut, one.item.Mark, one.item.Holder)
			return nil, false, nil
		}
		marks = append(marks, one.item.Mark)
	}
	return marks, true, nil
}

// sayParts says how each part is.
func (t *turn) sayParts(said string, marks []string) error {
	all, err := t.statusOfAll(marks)
	if err != nil {
		return err
	}
	lines := []string{said}
	for _, s := range all {
		lines = append(lines, format(newPartState, s.item.Mark, s.short(t.day())))
	}
	t.reply(joined(lines...))
	return nil
}

// theSet finds a set by its mark, with what is in it; it has said so where there is none.
func (t *turn) theSet(mark string) (b store.Bundle, parts []string, found bool, err error) {
	mark = strings.Trim(mark, " .,:;")
	b, found, err = t.tx.Bundle(t.m.Room, mark)
	if err != nil {
		return b, nil, false, err
	}
	if !found || b.Kind != store.Set {
		t.refuse(noSuchSet, clip(mark, 30))
		return b, nil, false, nil
	}
	parts, err = t.tx.Parts(t.m.Room, b.Mark)
	return b, parts, true, err
}

// swap puts one part in another's place: "swap K-01 for K-09 in S-1 gate bent".
func (t *turn) swap(args string) error {
	out, rest := firstWord(args)
	in, ok := afterWords(rest, "for")
	in, rest = firstWord(in)
	rest, is := afterWords(rest, "in")
	mark, why := firstWord(rest)
	if out == "" || !ok || !is || mark == "" {
		t.refuse(swapHow)
		return nil
	}
	b, parts, found, err := t.theSet(mark)
	if err != nil || !found {
		return err
	}
	gone, ok, err := t.partIn(b, parts, out)
	if err != nil || !ok {
		return err
	}
	come, ok, err := t.freeParts(in, "swap K-01 for K-09 in S-1")
	if err != nil || !ok {
		return err
	}
	ev := store.PartsChanged{Set: b.Mark, Out: []string{gone}, In: come, Why: strings.Trim(why, " .,:;-")}
	if _, err := t.write(ev); err != nil {
		return err
	}
	return t.sayParts(format(swapped, b.Mark, gone, together(come)), come)
}

// partIn is a set's part of that mark, as it is written; where it is out with somebody it isn't changed.
func (t *turn) partIn(b store.Bundle, parts []string, mark string) (string, bool, error) {
	mark = strings.Trim(mark, " .,:;")
	n := slices.IndexFunc(parts, func(p string) bool { return sameWord(p, mark) })
	if n < 0 {
		t.refuse(notInSet, clip(mark, 30), b.Mark, orNothing(parts))
		return "", false, nil
	}
	item, _, err := t.tx.Item(t.m.Room, parts[n])
	if err == nil && item.Holder != "" {
		t.refuse(partOut, b.Mark, item.Holder)
		return "", false, nil
	}
	return parts[n], true, err
}

// addPart puts further items into a set: "add part K-05 to S-1".
func (t *turn) addPart(args string) error {
	what, mark, ok := cutLast(args, " to ")
	if !ok {
		t.refuse(addPartHow)
		return nil
	}
	b, _, found, err := t.theSet(mark)
	if err != nil || !found {
		return err
	}
	come, ok, err := t.freeParts(what, "add part K-05 to S-1")
	if err != nil || !ok {
		return err
	}
	if _, err := t.write(store.PartsChanged{Set: b.Mark, In: come}); err != nil {
		return err
	}
	return t.sayParts(format(partAdded, together(come), b.Mark), come)
}

// takeOut takes a part out of a set: "take out K-01 of S-1".
func (t *turn) takeOut(args string) error {
	what, mark, ok := cutLast(args, " of ")
	if !ok {
		t.refuse(takeOutHow)
		return nil
	}
	b, parts, found, err := t.theSet(mark)
	if err != nil || !found {
		return err
	}
	gone, ok, err := t.partIn(b, parts, what)
	if err != nil || !ok {
		return err
	}
	if _, err := t.write(store.PartsChanged{Set: b.Mark, Out: []string{gone}}); err != nil {
		return err
	}
	t.say(partTakenOut, gone, b.Mark)
	return nil
}
