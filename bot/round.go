package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// fullEvery is how often the list of what to look for is shown in full to somebody who inspects one like another.
const fullEvery = 10

// current is the inspection of a round that is asked or paused now; nil: none.
func (t *turn) current(rows []store.Inspection) (*inspection, error) {
	for _, row := range rows {
		if row.State == store.Underway || row.State == store.OnHold {
			return t.bot.load(t.tx, row)
		}
	}
	return nil, nil
}

// goOn asks what a round asks now: of the item in hand, else of the next.
func (t *turn) goOn(said string) error {
	rows, err := t.tx.InRound(t.round.ID)
	if err != nil {
		return err
	}
	i, err := t.current(rows)
	switch {
	case err != nil:
		return err
	case i == nil:
		return t.nextItem(rows, said)
	case i.State == store.OnHold:
		t.refuse(isPaused, i.Mark)
		return nil
	}
	t.thread = i.Thread
	return t.ask(i, said)
}

// nextItem takes up an item that was interrupted, begins the next one in the round's order, or takes up one that was
// put by unlooked at. When none is left it says how the round stands.
func (t *turn) nextItem(rows []store.Inspection, said string) error {
	t.thread = t.round.Thread
	waiting, err := t.waitingIn(rows)
	if err != nil {
		return err
	}
	if len(waiting) > 0 && len(waiting[0].answers) > 0 {
		return t.takeUp(waiting[0], joined(said, format(roundAgain, waiting[0].Mark)))
	}
	for _, mark := range t.round.Marks {
		if slices.Contains(t.round.Unseen, mark) || slices.ContainsFunc(rows, func(r store.Inspection) bool { return r.Mark == mark }) {
			continue
		}
		begun, why, err := t.beginInRound(mark, rows, said)
		if err != nil || begun {
			return err
		}
		said = joined(said, why)
	}
	if len(waiting) > 0 {
		return t.takeUp(waiting[0], joined(said, format(roundAgain, waiting[0].Mark)))
	}
	return t.roundStands(said)
}

// waitingIn are the speaker's inspections of a round that were put by and can be gone on with now, those begun first.
func (t *turn) waitingIn(rows []store.Inspection) ([]*inspection, error) {
	var waiting []*inspection
	for _, row := range rows {
		if row.State != store.Waiting || row.Inspector != t.m.From {
			continue
		}
		i, err := t.bot.load(t.tx, row)
		if err != nil {
			return nil, err
		}
		if q, open := i.next(); open && i.onRope(q) {
			if why, err := t.noRopeNow(*t.round); err != nil || why != "" {
				if err != nil {
					return nil, err
				}
				continue
			}
		}
		waiting = append(waiting, i)
	}
	slices.SortStableFunc(waiting, func(a, b *inspection) int { return min(len(b.answers), 1) - min(len(a.answers), 1) })
	return waiting, nil
}

// takeUp goes on with an inspection of a round that was put by.
func (t *turn) takeUp(i *inspection, said string) error {
	if _, err := t.write(store.Resumed{Inspection: i.ID}); err != nil {
		return err
	}
	i.State, t.thread = store.Underway, i.Thread
	return t.ask(i, said)
}

// beginInRound begins the inspection of one of a round's items. One that can't be inspected any more is passed over,
// and it says why.
func (t *turn) beginInRound(mark string, rows []store.Inspection, said string) (begun bool, why string, err error) {
	item, found, err := t.tx.Item(t.m.Room, mark)
	if err != nil || !found {
		return false, "", err
	}
	if why, err = t.notInRound(item); err != nil || why != "" {
		return false, why, err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return false, "", err
	}
	f := t.bot.library[item.Flow]
	alike := 0
	for _, r := range rows {
		if r.Flow == f.Hash {
			alike++
		}
	}
	t.inFull = t.inFull || alike%fullEvery == 0
	i, err := t.begin(item, f, s, t.round)
	if err != nil {
		return false, "", err
	}
	return true, "", t.ask(i, joined(said, t.roundOpening(i, s, t.doneOf(rows)+1)))
}

// doneOf counts a round's items that have had their turn.
func (t *turn) doneOf(rows []store.Inspection) int {
	done := len(t.round.Unseen)
	for _, r := range rows {
		if !slices.Contains([]store.InspectionState{store.Underway, store.OnHold, store.Waiting}, r.State) && !slices.Contains(t.round.Unseen, r.Mark) {
			done++
		}
	}
	return done
}

// roundOpening names the next item, and what there is to know of it before looking.
func (t *turn) roundOpening(i *inspection, s status, n int) string {
	lines := []string{format(roundItem, n, len(t.round.Marks), i.Mark, t.describe(s.item), s.item.Use)}
	if len(s.holds) > 0 {
		lines = append(lines, openingHeld)
	}
	if i.started.Start.Unconfirmed != "" {
		lines = append(lines, format(openingUnconfirmed, i.started.Start.Unconfirmed))
	}
	return joined(lines...)
}

// laysBy ends the asking of an item within its round: all is answered, or what is left needs a rope that the bench
// hasn't got. It tells whether it has said what comes next.
func (t *turn) laysBy(i *inspection, q flows.Question, open bool, said string) (bool, error) {
	r, found, err := t.tx.Round(i.Round)
	if err != nil || !found || !r.Open || r.Person != t.m.From {
		return false, err
	}
	var done string
	switch {
	case !open:
		if err := t.byNewerSheet(i); err != nil {
			return false, err
		}
		done = t.itemDone(i)
	case i.onRope(q):
		why, err := t.noRopeNow(r)
		if err != nil || why == "" {
			return false, err
		}
		done = format(ropeWaits, i.Mark, why)
	default:
		return false, nil
	}
	if _, err := t.write(store.SetDown{Inspection: i.ID, Complete: !open}); err != nil {
		return false, err
	}
	t.round = &r
	rows, err := t.tx.InRound(r.ID)
	if err != nil {
		return false, err
	}
	before := len(t.replies)
	cap, err := t.dayCap(rows, i.ID)
	if err != nil {
		return false, err
	}
	if err := t.nextItem(rows, joined(said, done, cap)); err != nil {
		return false, err
	}
	if !open {
		o := i.outcome()
		t.replies[before].Verdict = &o
	}
	return true, nil
}

// itemDone says what the rules make of an item whose signature waits for the round's end, where they hold it. What may be
// used is told to its inspector alone, at the end.
func (t *turn) itemDone(i *inspection) string {
	o := i.outcome()
	if o.Verdict.Usable() {
		return format(roundUsable, i.Mark)
	}
	return joined(append(i.ruleLines(o), format(roundDone, i.Mark, strings.ToUpper(o.Verdict.String())))...)
}

// dayCap says once that a day's work is done, when this item was the one that filled it.
func (t *turn) dayCap(rows []store.Inspection, last string) (string, error) {
	sum, now := 0, 0
	today := t.day()
	for _, row := range rows {
		if row.State == store.Waiting || row.Inspector != t.m.From {
			continue
		}
		item, _, err := t.tx.Item(t.m.Room, row.Mark)
		if err != nil {
			return "", err
		}
		if due.On(row.Touched.In(t.zone)) != today {
			continue
		}
		each := minutesOf(item.Flow).middle()
		sum += each
		if row.ID == last {
			now = each
		}
	}
	if sum < dayMinutes || sum-now >= dayMinutes {
		return "", nil
	}
	return format(roundCap, dayMinutes), nil
}

// lastInRound is the inspection that the same person did before this one in its round; nil: none.
func (t *turn) lastInRound(i *inspection) (*inspection, error) {
	if i.Round == "" {
		return nil, nil
	}
	rows, err := t.tx.InRound(i.Round)
	if err != nil {
		return nil, err
	}
	for n := len(rows) - 1; n >= 0; n-- {
		if rows[n].Seq < i.Seq && rows[n].Inspector == t.m.From {
			return t.bot.load(t.tx, rows[n])
		}
	}
	return nil, nil
}

// turnTo goes to another item of the round that is named by its mark, or by its serial number at the start of a line,
// as long as nothing is answered of the one in hand. The rest of the message is the answer to it.
func (t *turn) turnTo() (bool, error) {
	if t.round == nil || t.form != nil || t.m.Thread != "" && t.m.Thread != t.round.Thread {
		return false, nil
	}
	word, rest := firstWord(t.m.Text)
	mark, named := t.round.Has(strings.TrimRight(word, ".,:;"))
	if !named {
		var err error
		if mark, err = t.bySerial(); err != nil || mark == "" {
			return false, err
		}
		rest = t.m.Text
	}
	if t.here != nil && sameWord(t.here.Mark, mark) {
		return true, t.ask(t.here, "")
	}
	return true, t.openMark(mark, strings.TrimLeft(rest, ",:; "), named)
}

// mayMeanClear finds what "c" would say here of an item of which a line, or its round, has just taken "c" for clear: a hold for
// nothing, that only another person could lift.
func (i *inspection) mayMeanClear(q flows.Question, text string) (finding flows.Option, is bool) {
	if i.Round == "" && !i.lineTaken() || bare(text) != clearLetter || q.Kind != flows.KindChecks && q.Kind != flows.KindCritical {
		return flows.Option{}, false
	}
	options := optionsOf(q)
	n := keyIndex(clearLetter)
	if n >= len(options) {
		return flows.Option{}, false
	}
	return options[n], true
}

// bySerial is the mark of the round's item whose serial number a message begins with, where the one in hand has
// another and nothing is answered of it yet.
func (t *turn) bySerial() (string, error) {
	serial, _, _ := strings.Cut(t.m.Text, ",")
	if t.here != nil && (len(t.here.answers) > 0 || flows.SameMark(t.here.state.Item.Serial, serial)) || !strings.ContainsAny(serial, digits) {
		return "", nil
	}
	var found []string
	for _, mark := range t.round.Marks {
		item, known, err := t.tx.Item(t.m.Room, mark)
		if err != nil {
			return "", err
		}
		if known && item.Serial != "" && flows.SameMark(item.Serial, serial) {
			found = append(found, mark)
		}
	}
	if len(found) != 1 {
		return "", nil
	}
	return found[0], nil
}

// openMark makes another item of the round the one in hand, and takes what was said of it.
func (t *turn) openMark(mark, rest string, named bool) error {
	if t.here != nil && len(t.here.answers) > 0 {
		return t.again(t.here, format(roundFinish, t.here.Mark, mark))
	}
	rows, err := t.tx.InRound(t.round.ID)
	if err != nil {
		return err
	}
	if i := slices.IndexFunc(rows, func(r store.Inspection) bool { return r.State == store.OnHold }); i >= 0 {
		t.refuse(isPaused, rows[i].Mark)
		return nil
	}
	at := slices.IndexFunc(rows, func(r store.Inspection) bool { return r.Mark == mark })
	if at >= 0 && rows[at].State != store.Waiting {
		t.refuse(roundHasBeen, mark, rows[at].State)
		return nil
	}
	if t.here != nil {
		if _, err := t.write(store.SetDown{Inspection: t.here.ID}); err != nil {
			return err
		}
	}
	t.thread = t.round.Thread
	said := ""
	if !named {
		said = format(roundSerial, mark)
	}
	first := len(t.replies)
	if at >= 0 {
		i, err := t.bot.load(t.tx, rows[at])
		if err != nil {
			return err
		}
		err = t.takeUp(i, said)
		if err != nil || rest == "" {
			return err
		}
		return t.answerInstead(i, rest, said, first)
	}
	begun, why, err := t.beginInRound(mark, rows, said)
	if err != nil {
		return err
	}
	if !begun {
		t.refuse("%s", why)
		return nil
	}
	if rest == "" {
		return nil
	}
	i, err := t.inRound(mark)
	if err != nil {
		return err
	}
	return t.answerInstead(i, rest, said, first)
}

// inRound is the round's inspection of a mark, as it stands.
func (t *turn) inRound(mark string) (*inspection, error) {
	row, _, err := t.tx.Unfinished(t.m.Room, mark)
	if err != nil {
		return nil, err
	}
	return t.bot.load(t.tx, row)
}

// answerInstead answers a question that was asked by the same message that brings the answer, so that asking it
// needn't be said; which item it is about is.
func (t *turn) answerInstead(i *inspection, text, item string, first int) error {
	opening := t.replies[first]
	t.replies = t.replies[:first]
	t.inFull = false
	if err := t.answer(i, text); err != nil {
		return err
	}
	if last := &t.replies[len(t.replies)-1]; last.Refused { // nothing of it counted: then it is asked
		last.Text, last.Refused = joined(last.Text, opening.Text), false
	} else {
		t.replies[first].Text = joined(item, t.replies[first].Text)
	}
	return nil
}

// findRound finds the round that the speaker is going through.
func (t *turn) findRound() error {
	r, open, err := t.tx.OpenRound(t.m.Room, t.m.From)
	if open {
		t.round = &r
	}
	return err
}

// inHandAgain puts an inspection of a round that was laid by back in hand, in place of the one that is there.
func (t *turn) inHandAgain(i *inspection) error {
	if i.State != store.Waiting && i.State != store.Complete {
		return nil
	}
	if err := t.putBy(i); err != nil {
		return err
	}
	_, err := t.write(store.Resumed{Inspection: i.ID})
	i.State = store.Underway
	return err
}

// putBy lays by whatever else of its round the speaker has in hand, paused or not.
func (t *turn) putBy(i *inspection) error {
	if i.Round == "" {
		return nil
	}
	rows, err := t.tx.InRound(i.Round)
	if err != nil {
		return err
	}
	for _, row := range rows {
		if row.ID == i.ID || row.Inspector != t.m.From || row.State != store.Underway && row.State != store.OnHold {
			continue
		}
		if _, err := t.write(store.SetDown{Inspection: row.ID}); err != nil {
			return err
		}
	}
	return nil
}

// backInRound goes back from an item of which nothing is answered yet to the last answer of the item before it.
func (t *turn) backInRound(i *inspection) (bool, error) {
	if i.Round == "" {
		return false, nil
	}
	rows, err := t.tx.InRound(i.Round)
	if err != nil {
		return false, err
	}
	var last *store.Inspection
	for n, row := range rows {
		if row.State == store.Complete && row.Inspector == t.m.From && (last == nil || !row.Touched.Before(last.Touched)) {
			last = &rows[n]
		}
	}
	if last == nil {
		return false, nil
	}
	before, err := t.bot.load(t.tx, *last)
	if err != nil {
		return false, err
	}
	if err := t.inHandAgain(before); err != nil {
		return false, err
	}
	if err := t.reopen(before, before.lastSteps()); err != nil {
		return false, err
	}
	return true, t.ask(before, format(backToItem, before.Mark))
}

// beforeRest are the steps answered last before a rest that nobody announced, within a round: they are asked again,
// so that whoever comes back starts afresh. What was spent rigging a rope or setting a caliper was no rest.
func (t *turn) beforeRest(i *inspection, q flows.Question) []string {
	if i.Round == "" || t.tx.Now().Sub(i.Touched) <= store.Rest || q.Kind == flows.KindReading || i.onRope(q) {
		return nil
	}
	return i.lastSteps()
}
