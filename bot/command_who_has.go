package bot

import (
	"strings"

	"becket/store"
)

// whoHas says who has an item, a set or a bag; or what somebody has.
func (t *turn) whoHas(args string) error {
	args = strings.Trim(args, " ?.")
	if args == "" {
		t.refuse(whoHasHow)
		return nil
	}
	person, listed, err := t.someone(args)
	if err != nil {
		return err
	}
	if listed || strings.HasPrefix(args, "@") {
		if !listed {
			person.ID = args
		}
		return t.whatHas(person.ID)
	}
	all, found, err := t.things(args, "who has D-07")
	if err != nil || !found {
		return err
	}
	for _, one := range all {
		if err := t.sayWho(one.item); err != nil {
			return err
		}
	}
	return nil
}

func (t *turn) whatHas(person string) error {
	items, err := t.tx.IssuedTo(t.m.Room, person)
	if err != nil {
		return err
	}
	if len(items) == 0 {
		t.say(personNone, person)
		return nil
	}
	var marks []string
	for _, item := range items {
		marks = append(marks, item.Mark)
	}
	t.say(personHas, person, len(marks), strings.Join(marks, ", "))
	return nil
}

func (t *turn) sayWho(item store.Item) error {
	c, err := t.tx.Custody(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	place := ""
	if item.Place != "" {
		place = format(atPlace, item.Place)
	}
	var lines []string
	switch {
	case item.Holder == "":
		lines = append(lines, format(hasNobody, item.Mark, place))
	case c.Since.IsZero():
		lines = append(lines, format(hasAlways, item.Holder, item.Mark))
	default:
		lines = append(lines, format(hasSince, item.Holder, item.Mark, t.on(c.Since)))
	}
	if c.Visitor != "" {
		lines = append(lines, format(hasVisitor, c.Visitor))
	}
	if item.Holder != "" && item.Place != "" {
		lines = append(lines, format(usualPlace, item.Place))
	}
	if !c.Unseen.IsZero() {
		lines = append(lines, format(hasUnseen, c.Unseen.Words()))
	}
	in, isPart, err := t.tx.PartOf(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	if isPart {
		lines = append(lines, partOfWords(in))
	}
	t.reply(strings.Join(lines, " "))
	return nil
}
