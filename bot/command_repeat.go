package bot

import (
	"encoding/binary"
	"slices"
	"strconv"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// usualRepeats is of how many items signed in a round one is inspected again, where the team hasn't said: 5 to 10 % are
// common practice, no source.
const usualRepeats = 15

// repeat inspects an item again, blind ("repeat K-07"), gives that to somebody else ("repeat K-07 @ana"), sets how many
// are drawn ("repeat 1 in 15"), or lists what is asked for.
func (t *turn) repeat(args string) error {
	word, rest := firstWord(strings.Trim(args, ". "))
	switch {
	case word == "":
		return t.listRepeats()
	case sameWord(word, "off"), word == "1" && strings.HasPrefix(rest, "in "):
		return t.setRepeats(word, strings.TrimPrefix(rest, "in "))
	}
	item, rest, found, err := t.namedItem(args, "repeat K-07")
	if err != nil || !found {
		return err
	}
	asked, err := t.tx.OpenRepeats(t.m.Room)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(asked, func(r store.Repeat) bool { return r.Mark == item.Mark })
	if at < 0 {
		t.refuse(repeatNotAsked, item.Mark)
		return nil
	}
	first, _, err := t.tx.Inspection(asked[at].First)
	if err != nil {
		return err
	}
	if rest != "" {
		return t.giveRepeat(item, first, strings.Trim(rest, ". "))
	}
	return t.beginRepeat(item, asked[at], first)
}

// setRepeats sets of how many items one is drawn.
func (t *turn) setRepeats(word, number string) error {
	if ok, err := t.may(actRepeats, ""); err != nil || !ok {
		return err
	}
	oneIn := 0
	if !sameWord(word, "off") {
		n, err := strconv.Atoi(strings.TrimSpace(number))
		if err != nil || n < 2 || n > 100 {
			t.refuse(repeatHow)
			return nil
		}
		oneIn = n
	}
	if _, err := t.write(store.RepeatsSet{OneIn: oneIn}); err != nil {
		return err
	}
	if oneIn == 0 {
		t.say(repeatOff)
		return nil
	}
	t.say(repeatSet, oneIn)
	return nil
}

func (t *turn) listRepeats() error {
	asked, err := t.tx.OpenRepeats(t.m.Room)
	if err != nil {
		return err
	}
	if len(asked) == 0 {
		t.say(repeatNone)
		return nil
	}
	var lines []string
	for _, r := range asked {
		lines = append(lines, "  "+format(repeatLine, r.Mark, r.Who))
	}
	t.reply(joined(repeatList, strings.Join(lines, "\n")))
	return nil
}

// mayRepeat says why somebody can't inspect an item again, blind; empty: they can.
func (t *turn) mayRepeat(who string, first store.Inspection, family string) (string, error) {
	if who == first.Inspector || who == first.Signer {
		return format(repeatNotYou, first.Mark), nil
	}
	can, err := t.couldRepeat(first, family)
	if err != nil || slices.Contains(can, who) {
		return "", err
	}
	return format(repeatNotCompetent, who, first.Mark, list(can)), nil
}

// couldRepeat are the people who may sign for a family and had no part in the first inspection.
func (t *turn) couldRepeat(first store.Inspection, family string) ([]string, error) {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return nil, err
	}
	can := whoMay(people, actSign, family, t.day())
	return slices.DeleteFunc(can, func(p string) bool { return p == first.Inspector || p == first.Signer }), nil
}

// giveRepeat asks somebody else in the place of who was asked first.
func (t *turn) giveRepeat(item store.Item, first store.Inspection, who string) error {
	if ok, err := t.may(actRepeats, ""); err != nil || !ok {
		return err
	}
	if why, err := t.mayRepeat(who, first, item.Flow); err != nil || why != "" {
		if why != "" {
			t.refuse("%s", why)
		}
		return err
	}
	return t.askRepeat(first, who)
}

// askRepeat asks somebody, alone, for a second look.
func (t *turn) askRepeat(first store.Inspection, who string) error {
	if _, err := t.write(store.RepeatAsked{First: first.ID, Mark: first.Mark, Who: who}); err != nil {
		return err
	}
	t.tell(who, format(repeatPlease, first.Mark))
	return nil
}

// beginRepeat asks the same questions as the first time, from what was known then, and says nothing of what came out.
func (t *turn) beginRepeat(item store.Item, r store.Repeat, row store.Inspection) error {
	why, err := t.mayRepeat(t.m.From, row, item.Flow)
	if err == nil && why == "" && r.Who != t.m.From {
		why = format(repeatAnother, item.Mark, r.Who, t.m.From)
	}
	if err == nil && why == "" {
		var s status
		if s, err = t.statusOf(item); err == nil {
			why, err = t.noInspection(item, s)
		}
	}
	if err != nil || why != "" {
		if err == nil {
			t.refuse("%s", why)
		}
		return err
	}
	first, err := t.bot.load(t.tx, row)
	if err != nil {
		return err
	}
	start := first.started.Start
	start.Day, start.Doubt = t.day(), flows.Number{}
	if start.OneByOne, err = t.askedWithCare(); err != nil {
		return err
	}
	start.Beside = !start.OneByOne && start.Beside
	ev := store.Started{
		Inspection: t.m.ID, Thread: t.m.ID, Mark: item.Mark, Flow: first.started.Flow, SheetRef: first.started.SheetRef,
		Interval: first.started.Interval, Sent: t.m.At, Zone: t.zoneName(), Repeats: row.ID,
	}
	if err := t.instrumentFor(&ev, &start, nil); err != nil {
		return err
	}
	ev.Start = start
	if _, err := t.write(ev); err != nil {
		return err
	}
	mine, _, err := t.tx.Inspection(ev.Inspection)
	if err != nil {
		return err
	}
	t.thread = mine.Thread
	i, err := t.bot.load(t.tx, mine)
	if err != nil {
		return err
	}
	return t.ask(i, format(repeatOpening, item.Mark, t.describe(item), item.Use))
}

// drawRepeat draws whether an item signed in a round is inspected again, and asks somebody who may. What is held
// carries a tag that nobody can be blind to, so it isn't drawn.
func (t *turn) drawRepeat(i *inspection, ev store.Signed) error {
	if i.Round == "" || !ev.Verdict.Usable() {
		return nil
	}
	r, found, err := t.tx.Round(i.Round)
	if err != nil || !found {
		return err
	}
	oneIn, set, err := t.tx.RepeatsOneIn(t.m.Room)
	if err != nil {
		return err
	}
	if !set {
		oneIn = usualRepeats
	}
	drawn := binary.BigEndian.Uint64([]byte(lot(r.Seed, "again "+i.Mark)))
	if oneIn == 0 || drawn%uint64(oneIn) != 0 {
		return nil
	}
	row, _, err := t.tx.Inspection(i.ID)
	if err != nil {
		return err
	}
	can, err := t.couldRepeat(row, i.flow.ID)
	if err != nil || len(can) == 0 {
		return err
	}
	return t.askRepeat(row, can[drawn/uint64(oneIn)%uint64(len(can))])
}

// askedToRepeat tells whether the speaker is asked for a second look at an item.
func (t *turn) askedToRepeat(mark string) (bool, error) {
	asked, err := t.tx.OpenRepeats(t.m.Room)
	return slices.ContainsFunc(asked, func(r store.Repeat) bool { return r.Mark == mark && r.Who == t.m.From }), err
}

// keptFrom keeps from somebody who is asked for a second look what the first one found, and says so.
func (t *turn) keptFrom(mark string) (bool, error) {
	asked, err := t.askedToRepeat(mark)
	if asked {
		t.say(repeatKept, mark)
	}
	return asked, err
}

// withheld keeps an item's past from somebody who is asked for a second look, and from everybody while it is under inspection with
// readings still to come, and says so.
func (t *turn) withheld(mark string) (bool, error) {
	if kept, err := t.keptFrom(mark); err != nil || kept {
		return kept, err
	}
	i, err := t.sealed(mark)
	if err != nil || i == nil {
		return false, err
	}
	t.say(sealedHistory, mark, i.Inspector)
	return true, nil
}

// comparePair says, once a blind repeat is signed, what came of the first look. Where that was stricter it stands, in
// place of what the second would mean.
func (t *turn) comparePair(i *inspection, ev store.Signed, after string, shown *flows.Outcome) (string, error) {
	if i.Repeats == "" {
		return after, nil
	}
	first, found, err := t.tx.Inspection(i.Repeats)
	if err != nil || !found {
		return after, err
	}
	verdict := strings.ToUpper(first.Verdict.String())
	switch {
	case first.Verdict == ev.Verdict:
		return joined(after, format(pairSame, first.Inspector, verdict)), nil
	case first.Verdict < ev.Verdict:
		return joined(after, format(pairMilder, first.Inspector, verdict)), nil
	}
	item, _, err := t.tx.Item(t.m.Room, i.Mark)
	if err != nil {
		return after, err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return after, err
	}
	shown.NextDue = &s.due
	return joined(format(pairStricter, first.Inspector, verdict), sentence(s.sentence(t.day())), cautionRecord), nil
}

// repeats are the second looks that are asked for and not done.
func (s *survey) repeats() ([]matter, error) {
	asked, err := s.t.tx.OpenRepeats(s.t.m.Room)
	var open []matter
	for _, r := range asked {
		open = append(open, matter{
			name: r.Mark, key: "repeat " + r.First, who: []string{r.Who}, do: format(openRepeatIt, r.Mark),
			say: format(openRepeat, since(due.On(r.Asked.In(s.t.zone)).DaysUntil(s.today))),
		})
	}
	return open, err
}
