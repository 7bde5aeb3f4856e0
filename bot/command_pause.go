package bot

import (
	"becket/flows"
	"becket/store"
)

// pause stops the asking until "carry on".
func (t *turn) pause(i *inspection, why string) error {
	if why != "" && !sameWord(why, i.Mark) {
		if _, err := t.write(store.Noted{Inspection: i.ID, Text: format(pausedBecause, why)}); err != nil {
			return err
		}
	}
	if i.State == store.OnHold {
		t.refuse(isPaused, i.Mark)
		return nil
	}
	if _, err := t.write(store.Paused{Inspection: i.ID}); err != nil {
		return err
	}
	q, _ := i.next()
	t.say(paused, i.Mark, q.Position, q.Of+1, i.Mark)
	return nil
}

// carryOn takes a paused inspection up again: the last check is asked once more, after a long pause everything
// that was seen or felt.
func (t *turn) carryOn(args string) error {
	rows, err := t.tx.OpenInspections(t.m.Room)
	if err != nil {
		return err
	}
	var mine []store.Inspection
	for _, r := range rows {
		if r.Inspector == t.m.From && r.State == store.OnHold && (args == "" || sameWord(args, r.Mark)) && (t.m.Thread == "" || t.m.Thread == r.Thread) {
			mine = append(mine, r)
		}
	}
	if len(mine) == 0 && args != "" {
		if done, err := t.carryOnInRound(args); err != nil || done {
			return err
		}
	}
	switch {
	case len(mine) == 0 && t.here == nil && len(t.several) > 0 && args != "":
		return t.askOpen(args)
	case len(mine) == 0 && t.here != nil:
		return t.ask(t.here, notPaused)
	case len(mine) == 0:
		t.refuse(nothingPaused)
		return nil
	case len(mine) > 1:
		t.refuse(whichPaused, marksOf(mine), mine[0].Mark)
		return nil
	}
	i, err := t.bot.load(t.tx, mine[0])
	if err != nil {
		return err
	}
	t.thread = i.Thread
	return t.resume(i)
}

// carryOnInRound goes on with one of the speaker's own that was laid by in a round.
func (t *turn) carryOnInRound(mark string) (bool, error) {
	row, found, err := t.tx.Unfinished(t.m.Room, mark)
	if err != nil || !found || row.Inspector != t.m.From || row.State != store.Waiting && row.State != store.Complete {
		return false, err
	}
	if t.here != nil && t.here.Round == row.Round && len(t.here.answers) > 0 {
		return true, t.again(t.here, format(roundFinish, t.here.Mark, row.Mark))
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return true, err
	}
	if err := t.inHandAgain(i); err != nil {
		return true, err
	}
	t.thread = i.Thread
	return true, t.resume(i)
}

// askOpen asks the question of one of the speaker's several open inspections.
func (t *turn) askOpen(mark string) error {
	i, err := t.unfinished(mark)
	if err != nil || i == nil {
		return err
	}
	if i.Inspector != t.m.From {
		t.refuse(nothingPaused)
		return nil
	}
	t.thread = i.Thread
	return t.ask(i, notPaused)
}

func (t *turn) resume(i *inspection) error {
	if err := t.putBy(i); err != nil {
		return err
	}
	if _, err := t.write(store.Resumed{Inspection: i.ID}); err != nil {
		return err
	}
	i.State = store.Underway
	said, steps := carryingOn, i.lastSteps()
	if len(steps) == 0 {
		said = carryingOnFresh
	}
	if stale := i.stale(t.tx.Now()); len(stale) > 0 {
		said, steps = carryingOnLate, append(stale, steps...)
	}
	if err := t.reopen(i, steps); err != nil {
		return err
	}
	t.inFull = i.Round != ""
	return t.ask(i, said)
}

// lastSteps are the steps of the question answered last.
func (i *inspection) lastSteps() []string {
	plan := flows.Plan(i.flow, i.state)
	for n := len(i.answers) - 1; n >= 0; n-- {
		a := i.answers[n]
		if a.Reopen || a.SetAside != "" || !i.state.Answered(a.Step) {
			continue
		}
		if q, ok := flows.At(plan, a.Step); ok {
			return q.Steps
		}
	}
	return nil
}

func marksOf(rows []store.Inspection) string {
	marks := make([]string, len(rows))
	for n, r := range rows {
		marks[n] = r.Mark
	}
	return list(marks)
}
