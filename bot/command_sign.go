package bot

import (
	"maps"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// sign takes "sign VERDICT", with a reason where it is stricter than the rules.
func (t *turn) sign(i *inspection, args string) error {
	if aged, err := t.age(i); err != nil || aged {
		return err
	}
	if q, open := i.next(); open {
		return t.again(i, format(signTooSoon, q.Position, q.Of+1))
	}
	return t.signAs(i, args)
}

// decide reads what is typed when everything is answered.
func (t *turn) decide(i *inspection, text string) error {
	word, rest := firstWord(text)
	if strings.EqualFold(word, "sign") {
		return t.signAs(i, rest)
	}
	if v, err := flows.ParseVerdict(strings.ToLower(word)); err == nil && v.Holds() {
		return t.signAs(i, text)
	}
	return t.again(i, format(signHow, i.outcome().Verdict))
}

func (t *turn) signAs(i *inspection, args string) error {
	if err := t.byNewerSheet(i); err != nil {
		return err
	}
	o := i.outcome()
	word, reason := firstWord(args)
	verdict, err := flows.ParseVerdict(strings.ToLower(strings.Trim(word, ".:,")))
	if err != nil || verdict == flows.Incomplete {
		return t.again(i, format(signHow, o.Verdict))
	}
	reason = reasonIn(reason)
	if verdict < o.Verdict {
		return t.again(i, format(signMilder, o.Verdict, o.Verdict))
	}
	if verdict > o.Verdict && reason == "" {
		return t.again(i, format(signWhy, verdict))
	}
	if ok, err := t.maySign(i); err != nil || !ok {
		return err
	}
	return t.close(i, o, verdict, reason)
}

// maySign tests competence on the day of the examination and on the day of signing, and that whoever signs
// felt and worked the item in their own hands.
func (t *turn) maySign(i *inspection) (bool, error) {
	if t.mayOn(i) {
		return true, nil
	}
	who, err := t.notYou(i)
	if err != nil {
		return false, err
	}
	return false, t.again(i, who)
}

// notYou says who may sign, to somebody who may not.
func (t *turn) notYou(i *inspection) (string, error) {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return "", err
	}
	return format(signNotYou, strings.ToLower(i.flow.Title), list(whoMay(people, actSign, i.flow.ID, t.day())), i.Mark), nil
}

// mayOn tests competence for an inspection's family, on the day of the examination and on that of signing.
func (t *turn) mayOn(i *inspection) bool {
	return may(t.person, t.listed, actSign, i.flow.ID, i.state.Day) && may(t.person, t.listed, actSign, i.flow.ID, t.day())
}

// close signs, and says what follows.
func (t *turn) close(i *inspection, o flows.Outcome, verdict flows.Verdict, reason string) error {
	ev, err := t.putSignature(i, o, verdict, reason)
	if err != nil {
		return err
	}
	when := t.moment(t.tx.Now())
	text := format(signedAs, t.m.From, when, ev.Number, strings.ToUpper(verdict.String()))
	shown := o
	shown.Verdict = verdict
	after, err := t.afterSigning(i, ev, &shown)
	if err != nil {
		return err
	}
	if verdict.Usable() {
		if after, err = t.orStillHeld(i.Mark, after); err != nil {
			return err
		}
		after = joined(after, cautionRecord)
	}
	if after, err = t.comparePair(i, ev, after, &shown); err != nil {
		return err
	}
	if verdict == flows.Retire {
		return t.retiredBySignature(i, joined(text, after, ev.Warned), &shown)
	}
	t.reply(joined(text, after, ev.Warned)).Verdict = &shown
	return t.drawRepeat(i, ev)
}

// retiredBySignature says, with a signed retirement, what could take its place, and asks about its neighbours.
func (t *turn) retiredBySignature(i *inspection, text string, shown *flows.Outcome) error {
	item, found, err := t.tx.Item(t.m.Room, i.Mark)
	if err != nil || !found {
		return err
	}
	spare, err := t.spareFor(item)
	if err != nil {
		return err
	}
	at := len(t.replies)
	t.reply(joined(text, spare)).Verdict = shown
	if flows.RetiredByLife(*shown) {
		return nil // its neighbours have lives of their own
	}
	if err := t.offerNeighbours(item); err != nil || len(t.replies) == at+1 {
		return err
	}
	offered := t.replies[at+1].Text // one reply, so that the verdict comes last
	t.replies = t.replies[:at+1]
	t.replies[at].Text = joined(t.replies[at].Text, offered)
	return nil
}

// putSignature writes the signature: the record gets its number, and an item that isn't usable is held by it too.
func (t *turn) putSignature(i *inspection, o flows.Outcome, verdict flows.Verdict, reason string) (store.Signed, error) {
	number, err := t.nextNumber()
	if err != nil {
		return store.Signed{}, err
	}
	warned, err := t.independence(i)
	if err != nil {
		return store.Signed{}, err
	}
	ev := store.Signed{
		Inspection: i.ID, Number: number, Mark: i.Mark, Day: i.state.Day,
		Verdict: verdict, Reason: reason, Outcome: o, Newer: i.newer, Warned: warned,
	}
	if held, err := t.isHeld(i.Mark); err != nil {
		return ev, err
	} else if verdict.Holds() && !held {
		if err := t.tellOldConversation(i.Mark); err != nil {
			return ev, err
		}
	}
	if _, err := t.write(ev); err != nil {
		return ev, err
	}
	if err := t.holdBySignature(i, ev); err != nil {
		return ev, err
	}
	return ev, t.foretell(i.Mark, i.ID)
}

// nextNumber is the number of the year's next record. What was signed after a copy was made isn't in the record that goes on
// from it, and papers bear those numbers: for the rest of that year each has the day of the restoring behind it, like
// 2026-0041-R1126, so that no number is given twice.
func (t *turn) nextNumber() (string, error) {
	year := t.tx.Now().In(t.zone).Format("2006")
	n, err := t.tx.SignedIn(t.m.Room, year+"-")
	if err != nil {
		return "", err
	}
	number := format("%s-%04d", year, n+1)
	at, restored, err := t.tx.LastRestored()
	if at = at.In(t.zone); restored && at.Format("2006") == year {
		number += at.Format("-R0102")
	}
	return number, err
}

// reasonIn takes a reason out of the words around it.
func reasonIn(text string) string {
	return strings.TrimSpace(strings.TrimPrefix(strings.TrimLeft(text, ":,- "), "because "))
}

// orStillHeld says, in place of what a clear inspection would mean, that the item is held all the same.
func (t *turn) orStillHeld(mark, after string) (string, error) {
	holds, err := t.tx.Standing(t.m.Room, mark)
	if err != nil || len(holds) == 0 {
		return after, err
	}
	return format(stillHeld, mark, reasonsOf(holds)), nil
}

// holdBySignature places the hold of a signed quarantine or retirement.
func (t *turn) holdBySignature(i *inspection, ev store.Signed) error {
	if !ev.Verdict.Holds() {
		return nil
	}
	holds, err := t.tx.Holds(t.m.Room, i.Mark)
	if err != nil {
		return err
	}
	for _, h := range holds {
		if h.Inspection == i.ID && !h.Released && h.Verdict >= ev.Verdict {
			return nil
		}
	}
	why := ev.Reason
	if why == "" && len(ev.Outcome.Rules) > 0 {
		why = ev.Outcome.Rules[0].Because
	}
	_, err = t.write(store.HoldPlaced{Mark: i.Mark, Verdict: ev.Verdict, Why: why, Inspection: i.ID})
	return err
}

// tooOften is in how many days nobody wants to measure the same place again: common practice, no source.
const tooOften = 14

// afterSigning says what follows from the signed verdict, and sets its next date.
func (t *turn) afterSigning(i *inspection, ev store.Signed, o *flows.Outcome) (string, error) {
	item := store.Item{Item: i.state.Item}
	plain := item.DueAfter(store.Inspection{Day: ev.Day, Verdict: ev.Verdict})
	ahead, err := t.foretoldAfter(i)
	if err != nil {
		return "", err
	}
	next := due.Nearer(plain, ahead.Day, ev.Day)
	said := soonerWords(next, plain, ahead.Place)
	often := ""
	if next != plain && ev.Day.DaysUntil(next) < tooOften {
		often = "\n" + foretoldOften
	}
	o.NextDue = nil
	switch ev.Verdict {
	case flows.Fit:
		o.NextDue = &next
		return format(afterFit, i.Mark, ev.Day.Words(), said) + forGoods(item) + often, nil
	case flows.Watch:
		o.NextDue = &next
		return format(afterWatch, i.Mark, ev.Day.Words(), said) + forGoods(item) + often, nil
	case flows.Quarantine:
		return format(afterQuarantine, i.Mark, ev.Day.Words(), ev.Number), nil
	}
	return format(afterRetire, i.Mark, ev.Day.Words(), ev.Number), nil
}

// forGoods says of a goods item that it is one.
func forGoods(item store.Item) string {
	if item.Use == flows.Goods {
		return " " + goodsOnlyStop
	}
	return ""
}

// byNewerSheet looks whether the model's sheet has changed since the inspection began. A limit that was tightened
// meanwhile counts; one that was widened doesn't help.
func (t *turn) byNewerSheet(i *inspection) error {
	item, found, err := t.tx.Item(t.m.Room, i.Mark)
	if err != nil || !found {
		return err
	}
	sheet, found, err := t.tx.Sheet(t.m.Room, item.Maker, item.Model)
	if err != nil || !found {
		return err
	}
	now := flows.Start{}
	ref := sheetFor(i.flow, sheet, &now)
	if maps.EqualFunc(now.Sheet, i.state.Sheet, flows.Number.Equal) && now.Unconfirmed == i.state.Unconfirmed {
		return nil
	}
	i.newer = &store.NewerSheet{Figures: now.Sheet, Unconfirmed: now.Unconfirmed, Ref: ref}
	return nil
}
