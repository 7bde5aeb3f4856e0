package bot

import (
	"slices"
	"strings"

	"becket/store"
)

// seal writes down what is in a bag and the number on its seal: "seal B-1 number 4471 with H-01, K-02".
func (t *turn) seal(args string) error {
	mark, rest := firstWord(strings.TrimRight(args, "."))
	rest, ok := afterWords(rest, "number")
	number, rest := firstWord(rest)
	what, is := afterWords(rest, "with")
	number = strings.Trim(number, ".,:;")
	if mark == "" || !ok || number == "" || !is {
		t.refuse(sealHow)
		return nil
	}
	b, found, err := t.tx.Bundle(t.m.Room, mark)
	switch {
	case err != nil:
		return err
	case found && b.Kind != store.Bag:
		t.refuse(noSuchBag, b.Mark)
		return nil
	case found && b.Opened == nil:
		t.refuse(sealedAlready, b.Mark)
		return nil
	case found && sameWord(b.Seal, number):
		t.refuse(sealNumberTwo, number)
		return nil
	case !found:
		if complaint := t.markFree(mark); complaint != "" {
			t.refuse("%s", complaint)
			return nil
		}
		b.Mark = strings.ToUpper(mark)
	}
	marks, ok, err := t.freeParts(what, "seal B-1 number 4471 with H-01")
	if err != nil || !ok {
		return err
	}
	return t.sealWith(b, number, marks)
}

// sealWith seals a bag, where all that goes into it may be used.
func (t *turn) sealWith(b store.Bundle, number string, marks []string) error {
	all, err := t.statusOfAll(marks)
	if err != nil {
		return err
	}
	var why []string
	for _, s := range all {
		switch {
		case !s.usable(t.day()):
			why = append(why, format(issueLine, s.item.Mark, s.shortWhy(t.day())))
		case b.Opened != nil && slices.Contains(b.Opened.Was, s.item.Mark) && s.lastSeq < b.Opened.Seq:
			why = append(why, format(issueLine, s.item.Mark, format(sealLook, b.Opened.Day.Words())))
		}
	}
	if len(why) > 0 {
		t.refuse("%s", joined(sealRefused, strings.Join(why, "\n")))
		return nil
	}
	if _, err := t.write(store.BagSealed{Mark: b.Mark, Seal: number, Contents: marks, Day: t.day()}); err != nil {
		return err
	}
	_, first, when := worstOf(all, t.day())
	t.say(sealedNow, b.Mark, number, together(marks), when.Words(), first)
	return nil
}

// broken are words for a seal that can't be read as the one that was put on.
func broken(word string) bool {
	return slices.ContainsFunc([]string{"broken", "gone", "unlike", "another", "missing", "cut"}, func(w string) bool { return sameWord(w, word) })
}

// open ends a bag's seal: "open B-1 4471", with the number as it is read there.
func (t *turn) open(args string) error {
	mark, rest := firstWord(args)
	b, found, err := t.tx.Bundle(t.m.Room, bareMark(mark))
	read := strings.Trim(rest, " .,:;")
	switch {
	case err != nil:
		return err
	case mark == "":
		t.refuse(openHow)
		return nil
	case !found || b.Kind != store.Bag:
		t.refuse(noSuchBag, clip(mark, 30))
		return nil
	case b.Opened != nil:
		t.refuse(notSealed, b.Mark)
		return nil
	case read == "":
		t.refuse(openHow)
		return nil
	case !sameWord(read, b.Seal) && !broken(read):
		t.refuse(openAsk, b.Mark)
		return nil
	}
	parts, err := t.tx.Parts(t.m.Room, b.Mark)
	if err != nil {
		return err
	}
	ev := store.BagOpened{Mark: b.Mark, Seal: read, Unlike: broken(read), Day: t.day()}
	if _, err := t.write(ev); err != nil {
		return err
	}
	said := openedLike
	if ev.Unlike {
		said = openedUnlike
	}
	return t.sayParts(format(said, b.Mark), parts)
}
