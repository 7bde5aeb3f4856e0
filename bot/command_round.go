package bot

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"becket/store"
)

// roundOf begins a round of many items: what is due, a range or list of marks, a family, or the whole store.
func (t *turn) roundOf(args string) error {
	if t.round != nil {
		return t.whereRound()
	}
	items, err := t.pickItems(strings.Trim(args, " .?"), roundHow)
	if err != nil || items == nil {
		return err
	}
	items, left, err := t.leaveOut(items)
	if err != nil {
		return err
	}
	if len(items) == 0 {
		t.refuse("%s", joined(roundEmpty, strings.Join(left, "\n")))
		return nil
	}
	marks := make([]string, len(items))
	for n, item := range items {
		marks[n] = item.Mark
	}
	lines, all := t.workload(items)
	said := joined(format(roundIs, len(items), all.words()), strings.Join(lines, "\n"), strings.Join(left, "\n"))
	if all.middle() > dayMinutes {
		said = joined(said, format(roundLong, dayMinutes))
	}
	return t.startForm("round", map[string]string{"marks": strings.Join(marks, " ")}, joined(said, roundBench))
}

// pickItems reads which items are meant. Nil items: it has said what to type instead, how among it.
func (t *turn) pickItems(what, how string) ([]store.Item, error) {
	switch strings.ToLower(what) {
	case "":
		t.refuse("%s", how)
		return nil, nil
	case "due":
		return t.dueItems()
	case "store", "the store":
		items, err := t.tx.Items(t.m.Room)
		return slices.DeleteFunc(items, func(i store.Item) bool { return i.Holder != "" }), err
	}
	if family, ok := t.bot.familyNamed(what); ok {
		items, err := t.tx.Items(t.m.Room)
		return slices.DeleteFunc(items, func(i store.Item) bool { return i.Flow != family }), err
	}
	if from, to, ok := cutRange(what); ok {
		return t.rangeOf(from, to)
	}
	items, rest, err := t.moreItems(what)
	if err != nil || rest == "" && len(items) > 0 {
		return unique(items), err
	}
	word, _ := firstWord(rest)
	near, err := t.nearest(word)
	t.refuse("%s", joined(format(noSuchMark, clip(word, 30), near), how))
	return nil, err
}

func unique(items []store.Item) []store.Item {
	var once []store.Item
	for _, i := range items {
		if !slices.ContainsFunc(once, func(o store.Item) bool { return o.Mark == i.Mark }) {
			once = append(once, i)
		}
	}
	return once
}

// dueItems are the items that are over, due within a month, or were never inspected. What is held waits for more
// than a round.
func (t *turn) dueItems() ([]store.Item, error) {
	marks, err := t.tx.DueBy(t.m.Room, t.day().AddDays(30))
	if err != nil {
		return nil, err
	}
	items := []store.Item{}
	for _, mark := range marks {
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil {
			return nil, err
		}
		if held, err := t.isHeld(mark); err != nil {
			return nil, err
		} else if found && !held {
			items = append(items, item)
		}
	}
	return items, nil
}

// familyNamed finds a family by its title or id, one or many of it: "connectors".
func (b *Bot) familyNamed(what string) (string, bool) {
	what = inScriptsWords(what)
	for _, f := range b.families() {
		for _, name := range []string{f.Title, f.ID, strings.ReplaceAll(f.ID, "-", " ")} {
			if sameWord(what, name) || sameWord(what, name+"s") || strings.HasSuffix(name, "y") && sameWord(what, strings.TrimSuffix(name, "y")+"ies") {
				return f.ID, true
			}
		}
	}
	return "", false
}

// cutRange reads "K-01 to K-40".
func cutRange(what string) (from, to string, ok bool) {
	words := strings.Fields(what)
	if len(words) != 3 || !strings.EqualFold(words[1], "to") && words[1] != "-" {
		return "", "", false
	}
	return words[0], words[2], true
}

// rangeOf lists the items whose marks begin alike and whose numbers lie between two.
func (t *turn) rangeOf(from, to string) ([]store.Item, error) {
	head, first, ok := markNumber(from)
	tail, last, okay := markNumber(to)
	if !ok || !okay || !sameWord(head, tail) || last < first {
		t.refuse(roundRange, clip(from, 20), clip(to, 20))
		return nil, nil
	}
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return nil, err
	}
	items = slices.DeleteFunc(items, func(i store.Item) bool {
		begins, n, ok := markNumber(i.Mark)
		return !ok || !sameWord(begins, head) || n < first || n > last
	})
	return append([]store.Item{}, items...), nil
}

// markNumber cuts a mark before the number that it ends in.
func markNumber(mark string) (head string, n int, ok bool) {
	part := regexp.MustCompile(`^(.*?)(\d{1,9})$`).FindStringSubmatch(mark)
	if part == nil {
		return "", 0, false
	}
	n, err := strconv.Atoi(part[2])
	return part[1], n, err == nil
}

// leaveOut takes out what can't be inspected in a round, and says why.
func (t *turn) leaveOut(items []store.Item) (in []store.Item, left []string, err error) {
	for _, item := range items {
		why, err := t.notInRound(item)
		if err != nil {
			return nil, nil, err
		}
		if why == "" {
			in = append(in, item)
		} else {
			left = append(left, why)
		}
	}
	return in, left, nil
}

// notInRound says why an item is left out; empty: it isn't.
func (t *turn) notInRound(item store.Item) (string, error) {
	s, err := t.statusOf(item)
	if err != nil {
		return "", err
	}
	why, err := t.noInspection(item, s)
	if err != nil || why == "" {
		return "", err
	}
	return format(roundWithout, why), nil
}
