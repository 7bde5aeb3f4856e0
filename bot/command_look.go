package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// canIUse says whether an item may be used now, worked out now.
func (t *turn) canIUse(args string) error {
	first, _ := firstWord(strings.TrimRight(args, "?. "))
	if b, is, err := t.tx.Bundle(t.m.Room, first); err != nil || is {
		if err == nil {
			err = t.canIUseAll(b)
		}
		return err
	}
	item, rest, found, err := t.namedItem(strings.TrimRight(args, "?"), "can I use D-07")
	if err != nil || !found {
		return err
	}
	if more, _, err := t.moreItems(rest); err != nil || len(more) > 0 {
		if err == nil {
			t.refuse(oneAtATime, item.Mark)
		}
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	if !s.custody.Gone.IsZero() {
		t.say(answerNo, s.sentence(t.day()))
		return nil
	}
	row, busy, err := t.tx.Unfinished(t.m.Room, item.Mark)
	switch {
	case err != nil:
		return err
	case busy && len(s.holds) > 0:
		t.say(sealedHeld, item.Mark, row.Inspector)
		return nil
	case busy:
		t.say(sealedUse, item.Mark, row.Inspector)
		return nil
	}
	unsaid, err := t.sayUnaccounted(copyNotSaid)
	if err != nil {
		return err
	}
	if asked, err := t.askedToRepeat(item.Mark); err != nil || asked && s.usable(t.day()) && unsaid == "" {
		if err == nil {
			t.reply(joined(format(repeatUse, item.Mark), cautionUse))
		}
		return err
	}
	answer := answerNo
	switch {
	case s.usable(t.day()) && unsaid != "":
		answer = answerCopy
	case s.usable(t.day()):
		answer = answerYes
	}
	inside := ""
	if in, is, err := t.tx.PartOf(t.m.Room, item.Mark); err != nil {
		return err
	} else if is {
		inside = partOfWords(in)
	}
	t.reply(joined(format(answer, strings.TrimRight(s.sentence(t.day()), ".")), unsaid, t.whatItIs(item), inside, cautionUse))
	return nil
}

// history lists what the record says of an item, newest first.
func (t *turn) history(args string) error {
	if b, is, err := t.tx.Bundle(t.m.Room, bareMark(strings.TrimSpace(args))); err != nil || is {
		if err == nil {
			err = t.historyOfAll(b)
		}
		return err
	}
	item, _, found, err := t.namedItem(args, "history D-07")
	if err != nil || !found {
		return err
	}
	if kept, err := t.withheld(item.Mark); err != nil || kept {
		return err
	}
	lines := []string{format(historyHead, item.Mark, t.describe(item), item.Serial, item.Use)}
	if item.CutFrom != "" {
		lines = append(lines, format(historyCut, item.Length, item.CutFrom, item.CutFrom))
	}
	corrected, err := t.corrections(item.Mark)
	if err != nil {
		return err
	}
	lines = append(lines, corrected...)
	rows, err := t.tx.InspectionsOf(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	for n := len(rows) - 1; n >= 0; n-- {
		line, err := t.historyLine(rows[n])
		if err != nil {
			return err
		}
		lines = append(lines, line)
	}
	if len(rows) == 0 {
		lines = append(lines, historyNone)
	}
	holds, err := t.tx.Holds(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	for _, h := range holds {
		state, err := t.holdEnded(h)
		if err != nil {
			return err
		}
		lines = append(lines, format(historyHold, h.At.In(t.zone).Format("2 January 2006"), h.Verdict, strings.TrimRight(h.Why, "."), h.By, state))
	}
	asked, err := t.makerLines(item.Mark)
	if err != nil {
		return err
	}
	moves, err := t.moves(item.Mark)
	if err != nil {
		return err
	}
	t.reply(joined(slices.Concat(lines, asked, moves)...))
	return nil
}

// holdEnded says whether a hold stands; else who ended it, when, and in which words.
func (t *turn) holdEnded(h store.Hold) (string, error) {
	if !h.Released {
		return holdStands, nil
	}
	e, found, err := t.tx.Entry(h.Ended)
	if err != nil || !found {
		return holdReleased, err
	}
	ev, err := e.Event()
	if err != nil {
		return "", err
	}
	on := t.on(e.At)
	switch ev := ev.(type) {
	case *store.HoldReleased:
		said := format(holdReleasedBy, e.By, on, strings.TrimRight(ev.Statement, "."))
		if ev.Outside != "" {
			said = format(holdReleasedOn, e.By, on, ev.Outside, strings.TrimRight(ev.Statement, "."))
		}
		if ev.Document != "" {
			said += format(holdDocument, ev.Document)
		}
		return said, nil
	case *store.HoldMoved:
		return format(holdMovedBy, ev.To, e.By, on), nil
	case *store.RetirementStruck:
		return format(holdStruckBy, ev.First, e.By, on, strings.TrimRight(ev.Why, ".")), nil
	}
	return holdReleased, nil
}

func (t *turn) historyLine(row store.Inspection) (string, error) {
	if row.State != store.SignedOff && row.State != store.Interim {
		return format(historyUnsigned, row.Started.In(t.zone).Format("2 January 2006"), row.Inspector, row.State), nil
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return "", err
	}
	return recordOf(i, *i.signed, row.Signer), nil
}

// due lists what is over, due within a month, held, or never inspected; and says so where there is nothing.
func (t *turn) due(_ string) error {
	today := t.day()
	marks, err := t.tx.DueBy(t.m.Room, today.AddDays(30))
	if err != nil {
		return err
	}
	var over, soon, unseen []string
	var fresh []string // never inspected and nothing else
	var named []string
	for _, mark := range slices.Sorted(slices.Values(marks)) {
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil || !found {
			return err
		}
		s, err := t.statusOf(item)
		if err != nil {
			return err
		}
		if s.retired == nil && len(s.holds) == 0 {
			named = append(named, item.Mark)
		}
		switch {
		case s.retired != nil || len(s.holds) > 0:
		case !s.custody.Unseen.IsZero():
			unseen = append(unseen, s.unseenLine())
		case slices.Equal(s.notForUse(today), []string{neverInspected}):
			fresh = append(fresh, item.Mark)
		case len(s.notForUse(today)) > 0:
			over = append(over, format(dueOver, item.Mark, strings.Join(s.notForUse(today), "; ")))
		default:
			soon = append(soon, format(dueSoon, item.Mark, s.dueWords()))
		}
	}
	held, err := t.heldLines(today)
	if err != nil {
		return err
	}
	bundles, open, err := t.dueBundles(slices.Concat(named, marksAt(held)))
	if err != nil {
		return err
	}
	unsaid, err := t.sayUnaccounted(copyOpen)
	if err != nil {
		return err
	}
	first := firstMark(over, soon, fresh, held)
	if len(fresh) > 0 {
		over = append(over, format(dueFresh, strings.Join(fresh, ", ")))
	}
	unmarked, err := t.unmarkedLines()
	if err != nil {
		return err
	}
	if len(over)+len(soon)+len(held)+len(unseen)+len(open)+len(unmarked) == 0 {
		all, err := t.tx.CountItems(t.m.Room)
		t.reply(joined(unsaid, format(dueNothing, all)))
		return err
	}
	t.reply(joined(unsaid, format(dueHead, today.Words()), section(dueOverHead, over), section(dueSoonHead, soon), section(dueHeldHead, allAlike(held)), ifAny(unmarkedHead, unmarked), ifAny(dueUnseenHead, unseen), ifAny(dueBundlesHead, bundles), ifAny(dueOpenHead, open), howToStart(first)))
	return nil
}

// unseenLine says since when an item wasn't seen, and when it is due all the same.
func (s status) unseenLine() string {
	still := ""
	if !s.due.IsZero() {
		still = format(dueUnseenDue, s.dueWords())
	}
	return format(dueUnseen, s.item.Mark, s.custody.Unseen.Words(), still)
}

// ifAny is a section that isn't spoken of where nothing is in it.
func ifAny(head string, lines []string) string {
	if len(lines) == 0 {
		return ""
	}
	return section(head, lines)
}

// marksAt are the marks with which lines begin.
func marksAt(lines []string) []string {
	var marks []string
	for _, l := range lines {
		marks = append(marks, firstMark([]string{l}))
	}
	return marks
}

// heldLines says of every item in quarantine since when it is there.
func (t *turn) heldLines(today due.Date) ([]string, error) {
	holds, err := t.tx.Quarantined(t.m.Room)
	var lines []string
	for n, h := range holds {
		if n == 0 || holds[n-1].Mark != h.Mark {
			lines = append(lines, format(dueHeld, h.Mark, since(due.On(h.At.In(t.zone)).DaysUntil(today))))
		}
	}
	return lines, err
}

// mostApart is how many lines of what is held stand apart: more are put together by how long.
const mostApart = 12

// allAlike puts the marks of many lines behind what their lines say alike, in the order in which it is first said.
func allAlike(lines []string) []string {
	if len(lines) <= mostApart {
		return lines
	}
	marks := map[string][]string{}
	var order []string
	for _, l := range lines {
		mark, says, _ := strings.Cut(l, ": ")
		if marks[says] == nil {
			order = append(order, says)
		}
		marks[says] = append(marks[says], mark)
	}
	for n, says := range order {
		order[n] = capital(says) + ": " + strings.Join(marks[says], ", ")
	}
	return order
}

func since(days int) string {
	switch days {
	case 0:
		return sinceToday
	case 1:
		return sinceYesterday
	}
	return format(forDays, days)
}

func section(head string, lines []string) string {
	if len(lines) == 0 {
		return format(sectionNone, head)
	}
	return head + "\n  " + strings.Join(lines, "\n  ")
}

// howToStart says how to begin with the first of what is due; nothing, where nothing can be begun.
func howToStart(mark string) string {
	if mark == "" {
		return ""
	}
	return format(dueHow, mark)
}

func firstMark(lists ...[]string) string {
	for _, l := range lists {
		if len(l) > 0 {
			mark, _, _ := strings.Cut(l[0], " ")
			return strings.TrimRight(mark, ":,")
		}
	}
	return ""
}

// why explains: the rules that applied and on whose word, and how the doubt of each reading is made up. What
// isn't read yet isn't explained.
func (t *turn) why(args string) error {
	i, err := t.whyOf(args)
	if err != nil || i == nil {
		return err
	}
	o := i.outcome()
	lines := []string{format(whyHead, i.Mark, strings.ToUpper(o.Verdict.String()))}
	if i.State == store.Underway || i.State == store.OnHold {
		lines = []string{format(whySoFar, i.Mark)}
	}
	lines = append(lines, i.ruleLines(o)...)
	if len(o.Rules) == 0 {
		lines = append(lines, whyNothing)
	}
	since, err := t.judgedSince(i)
	if err != nil {
		return err
	}
	lines = append(lines, since...)
	for _, step := range i.flow.Steps() {
		if _, ok := flows.WearOf(i.flow, i.state, step.Name); ok {
			if !slices.ContainsFunc(o.Rules, func(r flows.Rule) bool { return strings.HasPrefix(r.ID, step.Reading.ID+".") }) {
				lines = append(lines, fmt.Sprintf("  %s: %s", capital(strings.ReplaceAll(step.Reading.ID, "_", " ")), i.wear(step.Name)))
			}
		}
	}
	if line := i.doubtWords(); line != "" {
		lines = append(lines, line)
	}
	if i.signed != nil {
		lines = append(lines, i.intervalWords(o))
	}
	if !i.readingsDue() && i.Repeats == "" { // an answer may name a limit
		asked, err := t.makerLines(i.Mark)
		if err != nil {
			return err
		}
		lines = append(lines, asked...)
	}
	lines = append(lines, format(whyFlow, i.flow.ID, i.flow.Revision))
	r := t.reply(joined(lines...))
	if t.here == i {
		if q, open := i.next(); open {
			r.Text = joined(r.Text, wording(t.phrased(i.flow, q), q.Position, q.Of+1))
			r.Ask = askOf(i, q, q.Position, q.Of+1)
		} else {
			r.Ask = t.signAsk(i)
		}
	}
	return nil
}

// doubtWords says how the instrument's doubt is made up.
func (i *inspection) doubtWords() string {
	if i.started.Instrument == "" {
		return ""
	}
	if i.started.Errors != nil {
		return format(whyDoubtParts, i.started.Instrument, i.started.Errors.Budget().Sentence())
	}
	return format(whyDoubt, i.started.Instrument, i.started.Start.Doubt)
}

// whyOf finds what "why" asks about: the open inspection, the one of this conversation, or an item's last.
func (t *turn) whyOf(args string) (*inspection, error) {
	if args == "" && t.here != nil {
		return t.here, nil
	}
	var row store.Inspection
	found := false
	var err error
	if args == "" {
		if row, found, err = t.tx.InspectionIn(t.m.Room, t.m.Thread); err != nil {
			return nil, err
		}
		if !found || t.m.Thread == "" {
			t.refuse(whichMark, "why D-07")
			return nil, nil
		}
		return t.bot.load(t.tx, row)
	}
	item, _, known, err := t.namedItem(args, "why D-07")
	if err != nil || !known {
		return nil, err
	}
	if t.here != nil && sameWord(t.here.Mark, item.Mark) {
		return t.here, nil
	}
	if kept, err := t.withheld(item.Mark); err != nil || kept {
		return nil, err
	}
	if row, found, err = t.tx.LastSigned(t.m.Room, item.Mark); err != nil {
		return nil, err
	}
	if !found {
		asked, err := t.makerLines(item.Mark)
		t.reply(joined(append([]string{format(whyNever, item.Mark)}, asked...)...))
		return nil, err
	}
	return t.bot.load(t.tx, row)
}

// help says what can be typed here: at a question what can be said to it, elsewhere, or asked for by its name, what there is.
func (t *turn) help(about string) error {
	text := helpIdle
	for _, topic := range helpTexts() {
		if sameWord(strings.Trim(about, ".? "), topic[0]) {
			text = topic[1]
		}
	}
	switch {
	case !t.listed:
		t.say(helpStranger)
	case t.form != nil && text == helpIdle:
		return t.formAgain(helpForm)
	case t.here != nil && text == helpIdle:
		return t.ask(t.here, helpInspection)
	default:
		t.say("%s", text)
	}
	return nil
}
