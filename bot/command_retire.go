package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// retire ends an item by hand: "retire D-02 cut in the webbing". From somebody who may not retire, it is a quarantine.
func (t *turn) retire(args string) error {
	const example = "retire D-02 side plate bent"
	if u, found, err := t.openUnmarkedCalled(args); err != nil || found {
		if found {
			t.refuse(unmarkedEnds, u.Mark)
		}
		return err
	}
	item, why, found, err := t.namedItem(args, example)
	if err != nil || !found {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	why = strings.TrimLeft(why, ":,- ")
	switch {
	case s.retired != nil:
		t.refuse("%s", s.sentence(t.day()))
		return nil
	case len(why) < 4:
		t.refuse(retireWhy, item.Mark)
		return nil
	}
	if !may(t.person, t.listed, actRetire, item.Flow, t.day()) {
		people, err := t.tx.People(t.m.Room)
		if err != nil {
			return err
		}
		if err := t.quarantineItem(item, store.HoldPlaced{Verdict: flows.Quarantine, Why: format(retireAsked, why)}); err != nil {
			return err
		}
		t.say(retireWhoCan, list(whoMay(people, actRetire, item.Flow, t.day())), item.Mark)
		return nil
	}
	if _, err := t.write(store.HoldPlaced{Mark: item.Mark, Verdict: flows.Retire, Why: why}); err != nil {
		return err
	}
	if err := t.photosOf(item.Mark); err != nil {
		return err
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	told := t.tellRetired(item, why, people)
	spare, err := t.spareFor(item)
	if err != nil {
		return err
	}
	t.reply(joined(format(retiredNow, item.Mark, t.m.From, why), t.whatItIs(item),
		format(retireTag, item.Mark, t.day().Words()), told, spare, format(destroyHow, item.Mark), format(causeTell, item.Mark), format(retireMistake, item.Mark)))
	if err := t.tellOldConversation(item.Mark); err != nil {
		return err
	}
	return t.offerNeighbours(item)
}

// tellRetired tells the keepers and the holder, each alone.
func (t *turn) tellRetired(item store.Item, why string, people []store.Person) string {
	tell := keepersOf(people)
	if item.Holder != "" && !slices.Contains(tell, item.Holder) {
		tell = append(tell, item.Holder)
	}
	tell = slices.DeleteFunc(tell, func(id string) bool { return id == t.m.From })
	for _, id := range tell {
		t.tell(id, format(toldRetired, item.Mark, t.describe(item), t.m.From, strings.TrimRight(why, ".")))
	}
	if len(tell) == 0 {
		return ""
	}
	return format(toldWhom, strings.Join(tell, ", "))
}

func (t *turn) openUnmarkedCalled(args string) (store.Unmarked, bool, error) {
	word, _ := firstWord(args)
	u, found, err := t.tx.Unmarked(t.m.Room, bareMark(word))
	return u, found && !u.Settled, err
}

// spareFor names what could take a retired item's place today: of its family, fit and in the store, its own model
// first. Where there is none, it is to be bought.
func (t *turn) spareFor(item store.Item) (string, error) {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return "", err
	}
	var spare *status
	for _, other := range items {
		if other.Flow != item.Flow || other.Mark == item.Mark || other.Holder != "" || item.Use == flows.People && other.Use != flows.People {
			continue
		}
		s, err := t.statusOf(other)
		if err != nil {
			return "", err
		}
		if _, busy, err := t.tx.Unfinished(t.m.Room, other.Mark); err != nil {
			return "", err
		} else if busy || !s.usable(t.day()) {
			continue
		}
		if spare == nil || sameModel(other, item) && !sameModel(spare.item, item) {
			spare = &s
		}
	}
	if spare == nil {
		return format(toBuy, item.Mark), nil
	}
	return format(spareIs, t.whatItIs(spare.item), spare.due.Words(), item.Mark, spare.item.Mark), nil
}

func sameModel(a, b store.Item) bool {
	return a.Model != "" && strings.EqualFold(a.Maker, b.Maker) && strings.EqualFold(a.Model, b.Model)
}

// replaced takes a retired item off the list of what is to be replaced.
func (t *turn) replaced(args string) error {
	const example = "replaced D-02 by D-09"
	item, rest, found, err := t.namedItem(args, example)
	if err != nil || !found {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	if s.retired == nil {
		t.refuse(notRetiredYet, item.Mark, item.Mark)
		return nil
	}
	if why, is := afterWords(rest, "by nothing"); is {
		if why = strings.TrimLeft(why, ":,- "); why == "" {
			t.refuse(replacedHow, example)
			return nil
		}
		t.say(replacedByNothing, item.Mark)
		_, err := t.write(store.Replaced{Mark: item.Mark, Why: why})
		return err
	}
	mark, is := afterWords(rest, "by")
	if !is {
		t.refuse(replacedHow, example)
		return nil
	}
	by, _, found, err := t.namedItem(mark, example)
	if err != nil || !found {
		return err
	}
	if by.Mark == item.Mark {
		t.refuse(replacedHow, example)
		return nil
	}
	t.say(replacedBy, item.Mark, by.Mark)
	_, err = t.write(store.Replaced{Mark: item.Mark, By: by.Mark})
	return err
}
