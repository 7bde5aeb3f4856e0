package bot

import (
	"regexp"
	"strings"

	"becket/store"
)

// thing is an item that a line names, by its own mark or by that of the set or bag that it is in.
type thing struct {
	item   store.Item
	bundle store.Bundle // zero: named by itself
}

// marksIn cuts a list of marks: "D-07, K-01 and K-02".
func marksIn(text string) []string {
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \t\n,;&+", r) })
	var marks []string
	for _, w := range words {
		if w = bareMark(w); w != "" && !strings.EqualFold(w, "and") {
			marks = append(marks, w)
		}
	}
	return marks
}

// things finds everything that a list of marks names, each once. Where one isn't there it has said so, and found is
// false: nothing acts on a part of what was meant.
func (t *turn) things(text, example string) (all []thing, found bool, err error) {
	marks := marksIn(text)
	if len(marks) == 0 {
		t.refuse(whichMark, example)
		return nil, false, nil
	}
	seen := map[string]bool{}
	for _, mark := range marks {
		some, found, err := t.named(mark, example)
		if err != nil || !found {
			return nil, false, err
		}
		for _, one := range some {
			if !seen[one.item.Mark] {
				seen[one.item.Mark] = true
				all = append(all, one)
			}
		}
	}
	return all, true, nil
}

// named finds the item of a mark, or the items of the set or bag of that mark.
func (t *turn) named(mark, example string) (some []thing, found bool, err error) {
	bundle, is, err := t.tx.Bundle(t.m.Room, mark)
	if err != nil {
		return nil, false, err
	}
	if !is {
		item, _, found, err := t.namedItem(mark, example)
		return []thing{{item: item}}, found, err
	}
	parts, err := t.tx.Parts(t.m.Room, bundle.Mark)
	if err == nil && len(parts) == 0 {
		t.refuse(bundleEmpty, bundle.Mark)
	}
	for _, part := range parts {
		item, found, err := t.tx.Item(t.m.Room, part)
		if err != nil || !found {
			return nil, false, err
		}
		some = append(some, thing{item: item, bundle: bundle})
	}
	return some, len(some) > 0, err
}

// someone is the listed person whom a word means: an id with or without its @, a name, or "me".
func (t *turn) someone(word string) (store.Person, bool, error) {
	word = bareMark(strings.TrimSpace(word))
	if sameWord(word, "me") {
		return t.person, t.listed, nil
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil || word == "" {
		return store.Person{}, false, err
	}
	var is []store.Person
	for _, p := range people {
		switch {
		case strings.EqualFold(p.ID, word):
			return p, true, nil
		case strings.EqualFold(strings.TrimPrefix(p.ID, "@"), word), strings.EqualFold(p.Name, word):
			is = append(is, p)
		}
	}
	if len(is) != 1 {
		return store.Person{}, false, nil
	}
	return is[0], true, nil
}

// aMark tells whether a word is written as marks are, so that it isn't taken for something else.
func aMark(word string) bool {
	return regexp.MustCompile(`^\p{L}{1,4}-\d+\p{L}?$`).MatchString(bareMark(word))
}

// bareMark is a mark without what a sentence puts round it.
func bareMark(word string) string { return strings.Trim(word, "?!.,:;\"'“”()") }

// marksNamed are the marks of what was named: a set or bag by its own.
func marksNamed(all []thing) []string {
	var names []string
	for n, one := range all {
		switch {
		case one.bundle.Mark == "":
			names = append(names, one.item.Mark)
		case n == 0 || all[n-1].bundle.Mark != one.bundle.Mark:
			names = append(names, one.bundle.Mark)
		}
	}
	return names
}

// together is how several marks are said: "D-07, K-01 and K-02".
func together(marks []string) string {
	if len(marks) < 2 {
		return strings.Join(marks, "")
	}
	return strings.Join(marks[:len(marks)-1], ", ") + " and " + marks[len(marks)-1]
}
