package bot

import (
	"fmt"
	"strconv"
	"strings"

	"becket/flows"
	"becket/store"
)

// release ends one hold, in writing. It takes a competent person who isn't the only one that reported it nor
// the item's holder, and a complete new inspection, on rope included, that came out usable.
func (t *turn) release(args string) error {
	item, rest, found, err := t.namedItem(args, "release D-02 cleaned, spring replaced by the maker")
	if err != nil || !found {
		return err
	}
	if ok, err := t.may(actRelease, item.Flow); err != nil || !ok {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	switch {
	case s.retired != nil:
		t.refuse(neverReleased, item.Mark)
		return nil
	case len(s.holds) == 0:
		t.refuse(notHeld, item.Mark)
		return nil
	}
	hold, statement, ok := t.whichHold(s, rest)
	if !ok {
		return nil
	}
	inspection, err := t.clears(s, hold)
	if err != nil || inspection == "" {
		return err
	}
	if _, err := t.write(store.HoldReleased{Mark: item.Mark, Hold: hold.N, Statement: statement, Inspection: inspection}); err != nil {
		return err
	}
	after, err := t.statusOf(item)
	if err != nil {
		return err
	}
	now := after.sentence(t.day())
	if i, err := t.sealed(item.Mark); err != nil {
		return err
	} else if i != nil { // how it was last time would steer who is measuring it now
		now = format(sealedUse, item.Mark, i.Inspector)
	}
	unsaid, err := t.sayUnaccounted(copyNotSaid)
	if err != nil {
		return err
	}
	t.reply(joined(format(released, item.Mark, t.m.From, strings.TrimRight(hold.Why, ".")), now, unsaid))
	return nil
}

// whichHold reads the hold's number, where there are several, and the written statement.
func (t *turn) whichHold(s status, rest string) (store.Hold, string, bool) {
	hold := s.holds[0]
	if len(s.holds) > 1 {
		word, after := firstWord(rest)
		n, err := strconv.Atoi(strings.TrimRight(word, ".:,"))
		if err != nil || n < 1 || n > len(s.holds) {
			lines := []string{format(whichHold, s.item.Mark)}
			for i, h := range s.holds {
				lines = append(lines, fmt.Sprintf("  %d  %s (%s, %s)", i+1, h.Why, h.By, h.At.Format("2 January 2006")))
			}
			t.refuse("%s", joined(append(lines, format(whichHoldHow, s.item.Mark))...))
			return hold, "", false
		}
		hold, rest = s.holds[n-1], after
	}
	statement := strings.TrimLeft(rest, ":,- ")
	if len(statement) < 10 {
		t.refuse(releaseInWriting, s.item.Mark)
		return hold, "", false
	}
	return hold, statement, true
}

// clears finds the inspection that clears a hold, and tests who may release it. Empty: it has said why not.
func (t *turn) clears(s status, hold store.Hold) (string, error) {
	last := s.last
	if !s.signed || !last.Verdict.Usable() || last.Seq < hold.N {
		t.refuse(releaseInspectFirst, s.item.Mark, s.item.Mark)
		return "", nil
	}
	if hold.By == t.m.From {
		t.refuse(releaseNotReporter, t.m.From)
		return "", nil
	}
	if s.item.Holder == t.m.From {
		t.refuse(releaseNotHolder, s.item.Mark)
		return "", nil
	}
	i, err := t.bot.load(t.tx, last)
	if err != nil {
		return "", err
	}
	if o := i.outcome(); len(o.NotDone) > 0 || !o.Verdict.Usable() {
		t.refuse(releaseInspectFirst, s.item.Mark, s.item.Mark)
		return "", nil
	}
	if !answers(i, hold) {
		t.refuse(releaseUnanswered, strings.TrimRight(hold.Why, "."))
		return "", nil
	}
	return i.ID, nil
}

// answers tells whether an inspection asked about this hold and found it gone.
func answers(i *inspection, hold store.Hold) bool {
	step := fmt.Sprintf("since.%s%d", pastHold, hold.N)
	a, given := i.state.Given(step)
	return given && a.Clear && !flows.Judge(i.flow, i.state).Held()
}
