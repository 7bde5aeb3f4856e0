package bot

import (
	"strings"

	"becket/flows"
	"becket/store"
)

// holdUntold holds an item for what couldn't be told: with nobody to look further, doubt means out of use.
func (t *turn) holdUntold(i *inspection, o flows.Outcome) error {
	var untold []flows.Rule
	for _, r := range o.Rules {
		if r.Verdict.Holds() && strings.HasSuffix(r.ID, ".unknown") {
			r.Because = flows.LabelOf(i.flow, i.state, r.ID) + ". " + r.Because
			untold = append(untold, r)
		}
	}
	return t.hold(i, untold)
}

// leaveOff ends an inspection. Holds stay. What was found may already retire the item: then it can be signed
// so, and the record says what wasn't looked at.
func (t *turn) leaveOff(i *inspection, _ string) error {
	o := i.outcome()
	undone := append(o.Missing, o.NotDone...)
	toSign := o.Worst() == flows.Retire && !i.finishing
	if _, err := t.write(store.LeftOff{Inspection: i.ID, NotDone: undone, ToSign: toSign}); err != nil {
		return err
	}
	if !toSign {
		if err := t.holdUntold(i, o); err != nil {
			return err
		}
	}
	held, err := t.isHeld(i.Mark)
	if err != nil {
		return err
	}
	switch {
	case toSign:
		i.finishing, i.notDone = true, undone
		return t.ask(i, format(leftToSign, len(undone)))
	case held:
		return t.after(i, format(leftHeld, i.Mark, len(undone)))
	}
	return t.after(i, format(leftOff, i.Mark, len(undone), i.Mark))
}

// after says how an inspection ended, and within a round goes on with the next item.
func (t *turn) after(i *inspection, said string) error {
	if t.round == nil || t.round.ID != i.Round {
		t.reply(said)
		return nil
	}
	return t.goOn(said)
}
