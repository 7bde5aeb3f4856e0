package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"becket/flows/due"
	"becket/store"
)

// notice takes a maker's safety notice, lists what of ours it speaks of, and asks before it holds anything. That none of
// ours is affected is written down too. Alone, or with a number, it shows the notices that were taken.
func (t *turn) notice(args string) error {
	if word, _ := firstWord(args); args == "" || strings.Trim(word, "0123456789") == "" {
		return t.notices(word)
	}
	n, name, err := readNotice(args)
	switch {
	case err != nil:
		t.refuse("%s", sentence(err.Error()))
		return nil
	case lacksCommas(name):
		t.refuse(noticeCommas)
		return nil
	}
	known, items, err := t.models()
	if err != nil {
		return err
	}
	if near := n.named(name, known); len(near) > 0 && !containsFold(args, noneOfOurs) {
		t.refuse(noticeNear, clip(name, 40), strings.Join(near, ", "), noneOfOurs)
		return nil
	}
	kept := store.Notice{Text: args, Maker: n.maker, Model: n.model, Batches: n.batches, Seen: len(items)}
	for _, r := range n.serials {
		kept.Serials = append(kept.Serials, r.String())
	}
	if n.dated {
		kept.Made = dayOrOpen(n.from) + " - " + dayOrOpen(n.to)
	}
	if kept.Matched, err = t.matched(n, items); err != nil {
		return err
	}
	if containsFold(args, noneOfOurs) && len(kept.Matched) > 0 {
		t.refuse(noticeSomeOfOurs, strings.Join(matchedMarks(kept.Matched), ", "))
		return nil
	}
	before, err := t.tx.Notices(t.m.Room)
	if err != nil {
		return err
	}
	entry, err := t.write(store.NoticeTaken{Number: len(before) + 1, Notice: kept})
	if err != nil {
		return err
	}
	if len(kept.Matched) == 0 {
		t.say(noticeNone, len(before)+1, len(items), n.maker+optionalWord(n.model))
		return nil
	}
	return t.startForm("notice", map[string]string{"notice": strconv.FormatInt(entry.Seq, 10)}, "")
}

func optionalWord(word string) string {
	if word == "" {
		return ""
	}
	return " " + word
}

func dayOrOpen(d due.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// matched lists what a notice speaks of, retired items left out.
func (t *turn) matched(n makersNotice, items []store.Item) (all []store.NoticeMatch, err error) {
	for _, item := range items {
		matches, doubt := n.speaksOf(item)
		if !matches {
			continue
		}
		s, err := t.statusOf(item)
		if err != nil {
			return nil, err
		}
		if s.retired == nil {
			all = append(all, store.NoticeMatch{Mark: item.Mark, Doubt: doubt})
		}
	}
	return all, nil
}

func matchedMarks(all []store.NoticeMatch) []string {
	marks := make([]string, len(all))
	for n, m := range all {
		marks[n] = m.Mark
	}
	return marks
}

// notices shows all notices, or asks again about one that nobody has acted on.
func (t *turn) notices(number string) error {
	all, err := t.tx.Notices(t.m.Room)
	if err != nil {
		return err
	}
	if number == "" {
		lines := []string{}
		for _, k := range all {
			line, err := t.noticeLine(k)
			if err != nil {
				return err
			}
			lines = append(lines, line)
		}
		if len(lines) == 0 {
			t.say(noticesNone)
			return nil
		}
		t.reply(joined(lines...))
		return nil
	}
	for _, k := range all {
		if strconv.Itoa(k.Number) != number {
			continue
		}
		if !k.Held && len(k.Matched) > 0 {
			return t.startForm("notice", map[string]string{"notice": strconv.FormatInt(k.N, 10)}, "")
		}
		line, err := t.noticeLine(k)
		if err != nil {
			return err
		}
		asked, err := t.noticeAnswers(k)
		t.reply(joined(append([]string{line}, asked...)...))
		return err
	}
	t.refuse(noSuchNotice, number)
	return nil
}

func (t *turn) noticeLine(k store.KeptNotice) (string, error) {
	e, _, err := t.tx.Entry(k.N)
	if err != nil {
		return "", err
	}
	how := noticeNotHeld
	switch {
	case len(k.Matched) == 0:
		how = format(noticeNil, k.Seen)
	case k.Held:
		how = format(noticeHeld, strings.Join(matchedMarks(k.Matched), ", "))
	}
	since, err := t.cameInSince(k)
	if err != nil {
		return "", err
	}
	if len(since) > 0 {
		how += " " + format(noticeSince, strings.Join(since, ", "))
	}
	return format(noticeShown, k.Number, due.On(e.At.In(t.zone)).Words(), e.By, strings.TrimRight(clip(k.Text, 120), "."), how), nil
}

func (t *turn) noticeAnswers(k store.KeptNotice) (lines []string, err error) {
	items, err := t.tx.NoticeItems(k.N)
	for _, i := range items {
		switch {
		case i.Answered.IsZero():
			lines = append(lines, format(noticeUnanswered, i.Mark, orKeepers(i.Holder), t.sinceDay(i.Asked)))
		case i.Has:
			lines = append(lines, format(noticeHasIt, i.Mark, i.By, due.On(i.Answered.In(t.zone)).Words()))
		default:
			lines = append(lines, format(noticeNotFound, i.Mark, i.By, due.On(i.Answered.In(t.zone)).Words()))
		}
	}
	return lines, err
}

func orKeepers(holder string) string {
	if holder == "" {
		return theKeepers
	}
	return holder
}

// halfNotice is the notice that a form asks about.
func (t *turn) halfNotice(f *form) (store.KeptNotice, error) {
	all, err := t.tx.Notices(t.m.Room)
	if err != nil {
		return store.KeptNotice{}, err
	}
	for _, k := range all {
		if strconv.FormatInt(k.N, 10) == f.Given["notice"] {
			return k, nil
		}
	}
	return store.KeptNotice{}, fmt.Errorf("the notice that was asked about isn't in the register")
}

func (t *turn) noticeFields(f *form) ([]field, error) {
	k, err := t.halfNotice(f)
	if err != nil {
		return nil, err
	}
	var sure, doubted []string
	for _, m := range k.Matched {
		item, _, err := t.tx.Item(t.m.Room, m.Mark)
		if err != nil {
			return nil, err
		}
		if m.Doubt != "" {
			doubted = append(doubted, format(nearOne, m.Mark, m.Doubt))
		} else {
			sure = append(sure, format(nearOne, m.Mark, whereIs(item)))
		}
	}
	said := []string{format(noticeIs, k.Number)}
	if len(sure) > 0 {
		said = append(said, format(noticeSure, strings.Join(sure, ", ")))
	}
	if len(doubted) > 0 {
		said = append(said, format(noticeDoubted, strings.Join(doubted, ", ")))
	}
	return []field{yesOrNo("confirm", joined(append(said, noticeAsk)...))}, nil
}

func (t *turn) finishNotice(f *form) error {
	k, err := t.halfNotice(f)
	if err != nil {
		return err
	}
	switch {
	case f.Given["confirm"] != "yes":
		t.say(noticeNotYet, k.Number, k.Number)
		return nil
	case k.Held: // somebody else said yes meanwhile
		t.say(noticeHeldAlready, k.Number)
		return nil
	}
	byHolder := map[string][]store.Item{}
	for _, m := range k.Matched {
		item, _, err := t.tx.Item(t.m.Room, m.Mark)
		if err != nil {
			return err
		}
		if err := t.holdByNotice(k, item); err != nil {
			return err
		}
		byHolder[item.Holder] = append(byHolder[item.Holder], item)
	}
	if _, err := t.write(store.NoticeActed{Notice: k.N}); err != nil {
		return err
	}
	asked, err := t.askHolders(k, byHolder)
	if err != nil {
		return err
	}
	t.reply(joined(format(noticeActed, strings.Join(matchedMarks(k.Matched), ", ")), format(noticeAsked, strings.Join(asked, ", "), k.Number), noticeRelease))
	return nil
}

// noticeSays is what stands after a notice's colon; the whole where there is none.
func noticeSays(text string) string {
	if _, said, cut := strings.Cut(text, ":"); cut && strings.TrimSpace(said) != "" {
		return strings.Trim(said, " .")
	}
	return strings.Trim(text, " .")
}

// askHolders asks each holder alone, and the keepers for what is in the store.
func (t *turn) askHolders(k store.KeptNotice, byHolder map[string][]store.Item) (asked []string, err error) {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return nil, err
	}
	questions := map[string][]string{}
	for holder, items := range byHolder {
		to := []string{holder}
		if holder == "" {
			to = keepersOf(people)
		}
		for _, id := range to {
			for _, i := range items {
				questions[id] = append(questions[id], i.Mark)
			}
		}
	}
	for id := range questions {
		asked = append(asked, id)
	}
	slices.Sort(asked)
	for _, id := range asked {
		marks := slices.Sorted(slices.Values(questions[id]))
		t.tell(id, format(noticeToHolder, noticeSays(k.Text), strings.Join(marks, ", "), marks[0], marks[0]))
	}
	return asked, nil
}

// haveIt answers a notice's question: the item is in the hand, and held.
func (t *turn) haveIt(args string) error { return t.answerNotice(args, true) }

// haventGot answers that it isn't: it stays on the list until somebody finds it.
func (t *turn) haventGot(args string) error { return t.answerNotice(args, false) }

func (t *turn) answerNotice(args string, has bool) error {
	const example = "have it D-09"
	item, text, found, err := t.namedItem(args, example)
	if err != nil || !found {
		return err
	}
	more, text, err := t.moreItems(text)
	if err != nil {
		return err
	}
	open, err := t.tx.UnansweredNotices(t.m.Room)
	if err != nil {
		return err
	}
	marks := marksOfItems(append([]store.Item{item}, more...))
	var asked []store.NoticeItem
	for _, mark := range marks { // all of them, or none
		of := slices.DeleteFunc(slices.Clone(open), func(i store.NoticeItem) bool { return i.Mark != mark })
		if len(of) == 0 {
			t.refuse(notAskedOf, mark)
			return nil
		}
		if holder := of[0].Holder; holder != "" && holder != t.m.From && !t.person.IsKeeper() {
			t.refuse(notYoursToSay, holder, mark)
			return nil
		}
		asked = append(asked, of...)
	}
	for _, i := range asked {
		if _, err := t.write(store.HolderAnswered{Notice: i.Notice, Mark: i.Mark, Has: has, Text: strings.TrimLeft(text, ":,- ")}); err != nil {
			return err
		}
	}
	return t.thankFor(strings.Join(marks, ", "), has)
}

func (t *turn) thankFor(marks string, has bool) error {
	left, err := t.tx.UnansweredNotices(t.m.Room)
	if err != nil {
		return err
	}
	rest := noticeAllAnswered
	if len(left) > 0 {
		var lines []string
		for _, i := range left {
			lines = append(lines, i.Mark)
		}
		rest = format(noticeLeft, strings.Join(lines, ", "))
	}
	if has {
		t.reply(joined(format(haveItNoted, marks), rest))
		return nil
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	for _, id := range keepersOf(people) {
		if id != t.m.From {
			t.tell(id, format(haventToKeeper, t.m.From, marks))
		}
	}
	t.reply(joined(format(haventNoted, marks), rest))
	return nil
}
