package bot

import (
	"fmt"
	"strings"

	"becket/flows"
	"becket/store"
)

// signing takes "sign VERDICT" of the item in hand, "sign round fit" of all that are fit by the rules, and
// "sign K-05 retire" of one that waits in a round.
func (t *turn) signing(args string) error {
	word, rest := firstWord(args)
	if sameWord(word, "round") {
		return t.signRound(rest)
	}
	rows, err := t.tx.ToSign(t.m.Room, t.m.From)
	if err != nil {
		return err
	}
	for _, row := range rows {
		if !sameWord(row.Mark, strings.Trim(word, ".,:;")) {
			continue
		}
		i, err := t.bot.load(t.tx, row)
		if err != nil {
			return err
		}
		t.thread = i.Thread
		if aged, err := t.age(i); err != nil || aged {
			return err
		}
		return t.signAs(i, rest)
	}
	if t.here == nil && word != "" {
		if row, found, err := t.tx.Unfinished(t.m.Room, word); err != nil {
			return err
		} else if found && row.Inspector != t.m.From {
			t.refuse(notYoursLook, row.Mark, row.Inspector)
			return nil
		}
	}
	return t.inHand(args, (*turn).sign)
}

// signRound signs at once all that wait in a round and come out, by the rules, exactly as said: fit, or watch. Each
// gets its own record.
func (t *turn) signRound(args string) error {
	word, _ := firstWord(args)
	verdict, err := flows.ParseVerdict(strings.ToLower(strings.Trim(word, ".:,")))
	if err != nil || verdict != flows.Fit && verdict != flows.Watch {
		t.refuse(signRoundHow)
		return nil
	}
	rows, err := t.tx.ToSign(t.m.Room, t.m.From)
	if err != nil {
		return err
	}
	b := batch{verdict: verdict}
	for _, row := range rows {
		if err := t.signOne(row, &b); err != nil {
			return err
		}
	}
	if len(rows) > 0 {
		t.thread = rows[0].Thread
	}
	if len(b.signed) == 0 && len(b.stale) == 0 {
		t.refuse("%s", joined(append([]string{format(signRoundNone, verdict)}, b.not...)...))
		return nil
	}
	return t.signedRound(b)
}

// batch is what came of signing a round.
type batch struct {
	verdict flows.Verdict
	signed  []store.Signed
	not     []string // why others weren't
	stale   []*inspection
	rest    int // of another verdict
}

// signOne signs one of a round, where it comes out as said and the speaker may.
func (t *turn) signOne(row store.Inspection, b *batch) error {
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return err
	}
	if len(i.stale(t.tx.Now())) > 0 {
		b.stale = append(b.stale, i)
		return nil
	}
	if err := t.byNewerSheet(i); err != nil {
		return err
	}
	o := i.outcome()
	if o.Verdict != b.verdict {
		b.rest++
		return nil
	}
	if !t.mayOn(i) {
		why := format(signRoundNotYou, i.Mark, strings.ToLower(i.flow.Title))
		b.not = append(b.not, why)
		return nil
	}
	ev, err := t.putSignature(i, o, b.verdict, "")
	if err != nil {
		return err
	}
	b.signed = append(b.signed, ev)
	return t.drawRepeat(i, ev)
}

// signedRound says how many were signed, and asks again what has grown old meanwhile.
func (t *turn) signedRound(b batch) error {
	var lines []string
	if len(b.signed) > 0 {
		when := t.moment(t.tx.Now())
		lines = append(lines, format(signedRound, len(b.signed), strings.ToUpper(b.verdict.String()), t.m.From, when), signedRoundAlone)
		if err := t.tellSigned(b, lines[0]); err != nil {
			return err
		}
	}
	lines = append(lines, b.not...)
	if b.rest > 0 {
		lines = append(lines, format(signRoundRest, b.rest))
	}
	if len(b.signed) > 0 {
		lines = append(lines, cautionRecord)
	}
	if len(b.stale) == 0 {
		t.reply(joined(lines...))
		return nil
	}
	return t.askStale(joined(lines...), b.stale)
}

// tellSigned lists what was signed to the signer alone: somebody who is asked for a second look reads the round's
// conversation too, and would know how the first came out.
func (t *turn) tellSigned(b batch, head string) error {
	lines := []string{head}
	for _, s := range b.signed {
		line, err := t.signedLine(s)
		if err != nil {
			return err
		}
		lines = append(lines, line)
	}
	t.tell(t.m.From, joined(lines...))
	return nil
}

// signedLine says what a signature in a round means for its item.
func (t *turn) signedLine(s store.Signed) (string, error) {
	holds, err := t.tx.Standing(t.m.Room, s.Mark)
	if err != nil {
		return "", err
	}
	if len(holds) > 0 {
		return "  " + format(stillHeld, s.Mark, reasonsOf(holds)), nil
	}
	due := ""
	if item, found, err := t.tx.Item(t.m.Room, s.Mark); err != nil {
		return "", err
	} else if found {
		st, err := t.statusOf(item)
		if err != nil {
			return "", err
		}
		due = st.dueWords()
	}
	return fmt.Sprintf("  "+signedRoundLine, s.Mark, s.Number, s.Day.Words(), due), nil
}

// askStale puts the first of those that have rested too long in hand; the others wait to be asked after it.
func (t *turn) askStale(said string, stale []*inspection) error {
	var marks []string
	for n, i := range stale {
		marks = append(marks, i.Mark)
		if n > 0 {
			if _, err := t.write(store.SetDown{Inspection: i.ID}); err != nil {
				return err
			}
		}
	}
	i := stale[0]
	if _, err := t.write(store.Resumed{Inspection: i.ID}); err != nil {
		return err
	}
	i.State, t.thread = store.Underway, i.Thread
	if err := t.reopen(i, i.stale(t.tx.Now())); err != nil {
		return err
	}
	return t.ask(i, joined(said, format(signRoundStale, strings.Join(marks, ", "))))
}
