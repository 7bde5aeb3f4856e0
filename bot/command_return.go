package bot

import (
	"slices"
	"strings"

	"becket/store"
)

// giveBack takes items back into the store: "return D-07, K-12 rack 2".
func (t *turn) giveBack(args string) error {
	all, place, found, err := t.thingsThen(args, "return D-07 rack 2")
	if err != nil || !found {
		return err
	}
	if rest := placeIn(place); rest == "" && strings.Trim(place, " .,:;-") != "" {
		t.refuse(placeForm)
		return nil
	}
	place = placeIn(place)
	all = outOnly(all, place)
	for _, one := range all {
		if refusal, err := t.cantReturn(one.item, place); err != nil || refusal != "" {
			if refusal != "" {
				t.refuse("%s", refusal)
			}
			return err
		}
	}
	var lines []string
	for _, one := range all {
		line, err := t.returnItem(one.item, place)
		if err != nil {
			return err
		}
		lines = append(lines, line)
	}
	t.reply(joined(lines...))
	return nil
}

// outOnly leaves out the parts of a set that are back already, as long as others aren't.
func outOnly(all []thing, place string) []thing {
	out := slices.DeleteFunc(slices.Clone(all), func(one thing) bool { return one.bundle.Mark != "" && one.item.Holder == "" })
	if place != "" || len(out) == 0 {
		return all
	}
	return out
}

// thingsThen finds what a line names first, and what it says after that.
func (t *turn) thingsThen(text, example string) (all []thing, rest string, found bool, err error) {
	rest = text
	for first := true; ; first = false {
		word, after := firstWord(rest)
		mark := strings.Trim(word, ".,:;&+")
		if strings.EqualFold(mark, "and") && !first || mark == "" && word != "" {
			rest = after
			continue
		}
		known := first || aMark(mark)
		if !known {
			if _, known, err = t.tx.Item(t.m.Room, mark); err != nil {
				return nil, "", false, err
			}
		}
		if !known {
			if _, known, err = t.tx.Bundle(t.m.Room, mark); err != nil || !known {
				return all, rest, true, err
			}
		}
		some, found, err := t.named(mark, example)
		if err != nil || !found {
			return nil, "", false, err
		}
		all, rest = append(all, some...), after
	}
}

// cantReturn says why an item can't be taken back; empty: it can.
func (t *turn) cantReturn(item store.Item, place string) (string, error) {
	c, err := t.tx.Custody(t.m.Room, item.Mark)
	switch {
	case err != nil:
		return "", err
	case !c.Unseen.IsZero():
		return format(returnUnseen, item.Mark, c.Unseen.Words(), item.Mark), nil
	case item.Holder != "" && place == "" && c.Since.IsZero():
		return format(returnWhere, item.Mark, item.Holder), nil // the register's place is where its holder has it, perhaps
	case item.Holder == "" && place == "":
		at := ""
		if item.Place != "" {
			at = format(atPlace, item.Place)
		}
		return format(returnNobody, item.Mark, at, item.Mark), nil
	}
	return "", nil
}

func (t *turn) returnItem(item store.Item, place string) (string, error) {
	if _, err := t.write(store.Returned{Mark: item.Mark, From: item.Holder, Place: place}); err != nil {
		return "", err
	}
	if place == "" {
		place = item.Place
	}
	if place == "" {
		place = noPlaceYet
	}
	said := format(returnedOne, item.Mark, place)
	if item.Holder == "" {
		said = format(placedOne, item.Mark, place)
	}
	s, err := t.statusOf(item)
	if err == nil && !s.usable(t.day()) {
		said += " " + s.sentence(t.day()) + "."
	}
	return strings.TrimSuffix(said, ".") + ".", err
}
