package bot

import (
	"strings"

	"becket/flows"
	"becket/store"
)

// supervise closes what somebody else examined under the speaker's eyes. It counts as an interim inspection: what it
// finds holds at once, and nothing falls due later by it, since the speaker's own hands felt nothing.
func (t *turn) supervise(args string) error {
	item, rest, found, err := t.namedItem(args, superviseExample)
	if err != nil || !found {
		return err
	}
	row, found, err := t.tx.Unfinished(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	if !found {
		t.refuse(nothingToSupervise, item.Mark)
		return nil
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return err
	}
	if ok, err := t.maySupervise(i); err != nil || !ok {
		return err
	}
	if err := t.byNewerSheet(i); err != nil {
		return err
	}
	return t.closeSupervised(i, rest)
}

// maySupervise tests that everything is answered and fresh, by somebody else, and that the speaker is competent today and
// was on the day of the examination. If not, it has said so.
func (t *turn) maySupervise(i *inspection) (bool, error) {
	if ok, err := t.may(actSupervise, i.flow.ID); err != nil || !ok {
		return false, err
	}
	switch q, open := i.next(); {
	case i.Inspector == t.m.From:
		t.refuse(superviseOwn, i.Mark)
	case open:
		t.refuse(superviseTooSoon, i.Mark, q.Position, q.Of+1)
	case len(i.stale(t.tx.Now())) > 0:
		t.refuse(superviseStale, i.Mark, i.Inspector)
	case !may(t.person, t.listed, actSupervise, i.flow.ID, i.state.Day):
		t.refuse(superviseThen, i.state.Day.Words())
	default:
		return true, nil
	}
	return false, nil
}

func (t *turn) closeSupervised(i *inspection, args string) error {
	o := i.outcome()
	word, reason := firstWord(args)
	verdict, err := flows.ParseVerdict(strings.ToLower(strings.Trim(word, ".:,")))
	reason = reasonIn(reason)
	switch {
	case err != nil || verdict == flows.Incomplete:
		t.refuse(superviseHow, o.Verdict, i.Mark, o.Verdict)
		return nil
	case verdict < o.Verdict:
		t.refuse(signMilder, o.Verdict, o.Verdict)
		return nil
	case verdict > o.Verdict && reason == "":
		t.refuse(signWhy, verdict)
		return nil
	}
	number, err := t.nextNumber()
	if err != nil {
		return err
	}
	ev := store.Signed{Inspection: i.ID, Number: number, Mark: i.Mark, Day: i.state.Day, Verdict: verdict, Reason: reason, Outcome: o, Newer: i.newer}
	if _, err := t.write(store.Supervised{Signed: ev}); err != nil {
		return err
	}
	if err := t.holdBySignature(i, ev); err != nil {
		return err
	}
	if err := t.foretell(i.Mark, i.ID); err != nil {
		return err
	}
	sooner, err := t.foretoldInterim(i.Mark)
	if err != nil {
		return err
	}
	t.thread = i.Thread
	t.reply(joined(format(supervisedAs, i.Mark, i.Inspector, t.m.From, ev.Day.Words(), number, strings.ToUpper(verdict.String())), sooner))
	return nil
}
