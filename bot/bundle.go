package bot

import (
	"strings"

	"becket/flows/due"
	"becket/store"
)

// partOfWords says what an item is in.
func partOfWords(in store.Bundle) string {
	if in.Kind == store.Bag {
		return format(sealedInBag, in.Mark)
	}
	return format(partOfSet, in.Mark)
}

func kindWord(b store.Bundle) string {
	if b.Kind == store.Bag {
		return bagWord
	}
	return setWord
}

// contents are the items that a set or bag has in it now, each with its status.
func (t *turn) contents(b store.Bundle) ([]status, error) {
	marks, err := t.tx.Parts(t.m.Room, b.Mark)
	if err != nil {
		return nil, err
	}
	return t.statusOfAll(marks)
}

func (t *turn) statusOfAll(marks []string) ([]status, error) {
	var all []status
	for _, mark := range marks {
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil || !found {
			return nil, err
		}
		s, err := t.statusOf(item)
		if err != nil {
			return nil, err
		}
		all = append(all, s)
	}
	return all, nil
}

// worstOf says what keeps a set or bag from being used, a line for each item; and otherwise which is the first to be due, and when.
func worstOf(all []status, today due.Date) (lines []string, first string, when due.Date) {
	for _, s := range all {
		if !s.usable(today) {
			lines = append(lines, format(bundleLine, s.sentence(today)))
			continue
		}
		if when.IsZero() || s.due.Before(when) {
			first, when = s.item.Mark, s.due
		}
	}
	return lines, first, when
}

// canIUseAll answers for a set or a bag: it is as bad as its worst.
func (t *turn) canIUseAll(b store.Bundle) error {
	all, err := t.contents(b)
	if err != nil {
		return err
	}
	lines, first, when := worstOf(all, t.day())
	unsaid, err := t.sayUnaccounted(copyNotSaid)
	if err != nil {
		return err
	}
	switch {
	case unsaid != "":
		t.reply(joined(unsaid, strings.Join(lines, "\n")))
	case len(all) == 0:
		t.say(bundleNoneIn, b.Mark)
	case len(lines) > 0:
		t.say(bundleNo, b.Mark, strings.Join(lines, "\n"))
	default:
		t.reply(joined(format(bundleYes, b.Mark, first, when.Words()), cautionUse))
	}
	return nil
}

// whatIsIn says what a set or bag is.
func (t *turn) whatIsIn(b store.Bundle) (string, error) {
	marks, err := t.tx.Parts(t.m.Room, b.Mark)
	switch {
	case err != nil:
		return "", err
	case b.Opened != nil:
		return format(bagOpen, b.Mark, b.Opened.Day.Words(), together(b.Opened.Was)), nil
	case b.Kind == store.Bag:
		return format(bagIs, b.Mark, together(marks), b.Sealed.Words()), nil
	case len(marks) == 0:
		return format(bundleEmpty, b.Mark), nil
	}
	return format(setIs, b.Mark, together(marks)), nil
}

// historyOfAll lists what was written down of a set or bag, newest first.
func (t *turn) historyOfAll(b store.Bundle) error {
	head, err := t.whatIsIn(b)
	if err != nil {
		return err
	}
	entries, err := t.tx.EntriesIn(t.m.Room, store.BundleSubject(b.Mark))
	if err != nil {
		return err
	}
	lines := []string{head}
	for n := len(entries) - 1; n >= 0 && len(lines) < 2*mostMoves; n-- {
		ev, err := entries[n].Event()
		if err != nil {
			return err
		}
		lines = append(lines, bundleWords(b, ev, t.on(entries[n].At), entries[n].By))
	}
	t.reply(joined(lines...))
	return nil
}

// bundleWords says one entry of a set or bag. The number on a seal that is still to be read off the bag isn't said.
func bundleWords(b store.Bundle, ev store.Event, on, by string) string {
	switch ev := ev.(type) {
	case *store.SetMade:
		return format(historySet, on, together(ev.Parts), by)
	case *store.PartsChanged:
		why := ""
		if ev.Why != "" {
			why = format(becauseWords, ev.Why)
		}
		return format(historyParts, on, orNothing(ev.Out), orNothing(ev.In), why, by)
	case *store.BagSealed:
		number := ""
		if b.Opened != nil || b.Seal != ev.Seal {
			number = format(historyNumber, ev.Seal)
		}
		return format(historySealed, on, number, together(ev.Contents), by)
	case *store.BagOpened:
		unlike := ""
		if ev.Unlike {
			unlike = historyUnlike
		}
		return format(historyOpened, on, unlike, by)
	}
	return ""
}

func orNothing(marks []string) string {
	if len(marks) == 0 {
		return nothingWord
	}
	return together(marks)
}

// spelledOut puts the marks of what is in a set or bag in place of its own, where a line begins with it.
func (t *turn) spelledOut(args string) (string, error) {
	word, rest := firstWord(args)
	b, found, err := t.tx.Bundle(t.m.Room, bareMark(word))
	if err != nil || !found {
		return args, err
	}
	parts, err := t.tx.Parts(t.m.Room, b.Mark)
	if err != nil || len(parts) == 0 {
		return args, err
	}
	return strings.Join(parts, ", ") + " " + rest, nil
}

// dueBundles lists the sets and bags that any of these marks is in, and the bags that wait to be sealed again.
func (t *turn) dueBundles(marks []string) (bundles, open []string, err error) {
	in := map[string][]string{}
	var order []string
	for _, mark := range marks {
		b, is, err := t.tx.PartOf(t.m.Room, mark)
		if err != nil {
			return nil, nil, err
		}
		if is && in[b.Mark] == nil {
			order = append(order, b.Mark)
		}
		if is {
			in[b.Mark] = append(in[b.Mark], mark)
		}
	}
	for _, b := range order {
		bundles = append(bundles, format(dueBundle, b, together(in[b])))
	}
	bags, err := t.tx.OpenBags(t.m.Room)
	for _, b := range bags {
		open = append(open, format(dueOpen, b.Mark, b.Opened.Day.Words(), together(b.Opened.Was)))
	}
	return bundles, open, err
}
