package bot

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"becket/flows"
	"becket/store"
)

// describesUnmarked tells whether a report describes something instead of naming its mark: it says that there is no
// mark to read, or it begins with words and not with anything like a mark.
func (t *turn) describesUnmarked(args string) (bool, error) {
	first, rest := firstWord(args)
	mark := strings.Trim(first, ".,:;")
	if _, found, err := t.tx.Item(t.m.Room, mark); err != nil || found || mark == "" {
		return false, err
	}
	if saysNoMark(args) {
		return true, nil
	}
	if strings.ContainsFunc(mark, unicode.IsDigit) {
		return false, nil // a mark mistyped: nothing acts on a near one
	}
	return rest != "" || len(t.bot.familiesIn(args)) > 0, nil
}

// saysNoMark tells whether a text says that there is no mark to read.
func saysNoMark(text string) bool {
	return regexp.MustCompile(`(?i)\b(no (readable )?(mark|number|label)|(un|il)legible|unreadable|(mark|number|label) (is )?(gone|worn|missing)|can.?t read)\b`).MatchString(text)
}

// quarantineUnmarked takes a report of something that nobody can name. It gets a mark of its own for its tag; what it
// could be is listed, and nothing in the register is held for it.
func (t *turn) quarantineUnmarked(text string) error {
	could, err := t.candidates(text)
	if err != nil {
		return err
	}
	mark, err := t.unmarkedMark()
	if err != nil {
		return err
	}
	ev := store.UnmarkedHeld{Mark: mark, Text: text}
	for _, item := range could {
		ev.Could = append(ev.Could, item.Mark)
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	if err := t.photosOf(mark); err != nil {
		return err
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	listed := t.candidateLines(could)
	tell := slices.DeleteFunc(keepersOf(people), func(id string) bool { return id == t.m.From })
	for _, id := range tell {
		t.tell(id, joined(format(unmarkedToKeeper, t.m.From, clip(text, 200), mark), listed, format(unmarkedIs, mark)))
	}
	kept, told, provisional := format(unmarkedAskPhoto, mark), "", ""
	if len(t.m.Files) > 0 {
		kept = photoKept
	}
	if len(tell) > 0 {
		told = format(toldWhom, strings.Join(tell, ", "))
	}
	if !t.listed {
		provisional = format(provisionalHold, t.m.From)
	}
	inHand := ""
	if word, why := firstWord(text); t.saysThis(word) {
		inHand = format(faultInHand, t.here.Mark, t.here.Mark, why)
	}
	t.reply(joined(
		format(unmarkedTaken, mark, t.m.From, t.tx.Now().In(t.zone).Format("2 January 2006 15:04"), clip(text, 200)),
		format(quarantineTag, mark), kept, provisional, told, listed, format(unmarkedIs, mark), inHand,
	))
	return nil
}

// unmarkedMark is the next mark for something without one: U-1, U-2 and so on, never one of the register's.
func (t *turn) unmarkedMark() (string, error) {
	n, err := t.tx.CountUnmarked(t.m.Room)
	if err != nil {
		return "", err
	}
	for {
		n++
		mark := fmt.Sprintf("U-%d", n)
		if _, taken, err := t.tx.Item(t.m.Room, mark); err != nil || !taken {
			return mark, err
		}
	}
}

// mostCandidates is how many items are named as what something could be.
const mostCandidates = 8

// candidateLines name what it could be, as many as fit on a phone.
func (t *turn) candidateLines(could []store.Item) string {
	if len(could) == 0 {
		return unmarkedNothingLike
	}
	lines := []string{unmarkedCould}
	for n, item := range could {
		if n == mostCandidates {
			lines = append(lines, format(andMoreItems, len(could)-n))
			break
		}
		lines = append(lines, "  "+t.whatItIs(item))
	}
	return joined(lines...)
}

// candidates are the items that a description could mean: of the families that it names, those first whose place,
// model or holder agree too. Retired ones are among them, since that is how they come back.
func (t *turn) candidates(text string) ([]store.Item, error) {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return nil, err
	}
	families := t.bot.familiesIn(text)
	agree := map[string]int{}
	items = slices.DeleteFunc(items, func(i store.Item) bool {
		n := wordsShared(text, i.Place+" "+i.ModelName())
		if i.Holder == t.m.From {
			n++
		}
		agree[i.Mark] = n
		if len(families) > 0 {
			return !slices.Contains(families, i.Flow)
		}
		return n == 0
	})
	slices.SortStableFunc(items, func(a, b store.Item) int { return cmp.Compare(agree[b.Mark], agree[a.Mark]) })
	return items, nil
}

// familiesIn are the families whose names share the most words with a text; none where no word is shared.
func (b *Bot) familiesIn(text string) (ids []string) {
	most := 1
	text = inScriptsWords(text)
	for _, f := range b.families() {
		switch n := wordsShared(text, f.Title+" "+strings.ReplaceAll(f.ID, "-", " ")); {
		case n > most:
			ids, most = []string{f.ID}, n
		case n == most:
			ids = append(ids, f.ID)
		}
	}
	return ids
}

// inScriptsWords says connector for what many call one.
func inScriptsWords(text string) string {
	return regexp.MustCompile(`(?i)\b(krab|crab|karabiner|carabiner|biner)(s?)\b`).ReplaceAllString(text, "connector$2")
}

// wordsShared counts the telling words of two texts that are the same, one letter s at their ends aside.
func wordsShared(a, b string) int {
	bare := func(text string) []string {
		words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
		for n, w := range words {
			words[n] = strings.TrimSuffix(w, "s")
		}
		words = slices.DeleteFunc(words, func(w string) bool {
			return len(w) < 3 || slices.Contains([]string{"the", "and", "with", "device", "mark", "for", "not"}, w)
		})
		slices.Sort(words)
		return slices.Compact(words)
	}
	n := 0
	in := bare(b)
	for _, w := range bare(a) {
		if slices.Contains(in, w) {
			n++
		}
	}
	return n
}

// itWas names what was reported without a mark: "it was P-03". Who reported it or keeps the register says so, with the
// serial read off the item.
func (t *turn) itWas(args string) error {
	item, rest, found, err := t.namedItem(args, "it was P-03")
	if err != nil || !found {
		return err
	}
	u, found, err := t.whichUnmarked(rest)
	if err != nil || !found {
		return err
	}
	return t.startForm("it was", map[string]string{"unmarked": u.Mark, "item": item.Mark}, "")
}

// whichUnmarked is the open report that is meant: the one named, or the speaker's own, or a keeper's only one.
func (t *turn) whichUnmarked(named string) (u store.Unmarked, found bool, err error) {
	open, err := t.tx.OpenUnmarked(t.m.Room)
	if err != nil {
		return u, false, err
	}
	mine := slices.DeleteFunc(open, func(u store.Unmarked) bool { return u.By != t.m.From && !t.person.IsKeeper() })
	if word := strings.Trim(named, " .,:;"); word != "" {
		mine = slices.DeleteFunc(mine, func(u store.Unmarked) bool { return !sameWord(u.Mark, word) })
	}
	switch len(mine) {
	case 0:
		t.refuse(noUnmarked)
	case 1:
		return mine[0], true, nil
	default:
		var lines []string
		for _, u := range mine {
			lines = append(lines, format(unmarkedLine, u.Mark, clip(u.Text, 60)))
		}
		t.refuse("%s", joined(append(lines, format(whichUnmarkedHow, mine[0].Mark))...))
	}
	return u, false, nil
}

func (t *turn) itWasFields(f *form) ([]field, error) {
	item, _, err := t.tx.Item(t.m.Room, f.Given["item"])
	if err != nil {
		return nil, err
	}
	if item.Serial == "" {
		return []field{confirmField(format(itWasNoSerial, item.Mark, f.Given["unmarked"]))}, nil
	}
	return []field{{id: "serial", ask: format(askItsSerial, f.Given["unmarked"]), kind: flows.KindMatch, read: func(text string) (string, error) {
		if !flows.SameMark(item.Serial, text) {
			return "", complaint(format(itWasDiffers, item.Mark, f.Given["unmarked"]))
		}
		return text, nil
	}}}, nil
}

func (t *turn) finishItWas(f *form) error {
	item, found, err := t.tx.Item(t.m.Room, f.Given["item"])
	if err != nil || !found {
		return err
	}
	u, found, err := t.tx.Unmarked(t.m.Room, f.Given["unmarked"])
	if err != nil || !found {
		return err
	}
	if u.Settled {
		t.refuse(unmarkedSettled, u.Mark, cmp.Or(u.Became, unmarkedDestroyed))
		return nil
	}
	hold := store.HoldPlaced{Verdict: flows.Quarantine, Why: format(unmarkedWhy, strings.TrimRight(u.Text, "."), u.Mark), Reporter: u.By, Place: u.Place}
	if err := t.quarantineItem(item, hold); err != nil {
		return err
	}
	_, err = t.write(store.UnmarkedSettled{Mark: u.Mark, Became: item.Mark})
	return err
}
