package bot

import (
	"strings"

	"becket/store"
)

// mostFound is how many items one answer lists: what fits a phone's screen.
const mostFound = 8

// findItems lists the items that all the words given are part of. Serials are looked through, and never shown.
func (t *turn) findItems(args string) error {
	words := strings.Trim(args, " .?")
	if strings.TrimSpace(words) == "" {
		t.refuse(findHow)
		return nil
	}
	marks, all, err := t.tx.Find(t.m.Room, words, mostFound)
	if err != nil {
		return err
	}
	if all == 0 {
		t.say(findNone, clip(words, 40))
		return nil
	}
	lines := []string{format(findFound, all)}
	for _, mark := range marks {
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil || !found {
			return err
		}
		s, err := t.statusOf(item)
		if err != nil {
			return err
		}
		how := s.short(t.day())
		if kept, err := t.hidden(item.Mark); err != nil {
			return err
		} else if kept && s.usable(t.day()) {
			how = findKept
		}
		lines = append(lines, format(findLine, item.Mark, t.describe(item), whereIs(item), how))
	}
	if all > len(marks) {
		lines = append(lines, format(findMore, all-len(marks)))
	}
	t.reply(joined(lines...))
	return nil
}

// whereIs says who has an item, and where it belongs.
func whereIs(item store.Item) string {
	where := inTheStore
	if item.Holder != "" {
		where = format(heldBy, item.Holder)
	}
	if item.Place != "" {
		where += format(atPlace, item.Place)
	}
	return where
}
