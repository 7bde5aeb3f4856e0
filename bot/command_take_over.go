package bot

import "becket/store"

// takeOver makes the speaker the inspector of somebody's unfinished inspection. What was felt or worked by hand
// is done again: nobody signs for another's fingers.
func (t *turn) takeOver(args string) error {
	i, err := t.unfinished(args)
	if err != nil || i == nil {
		return err
	}
	if i.Inspector == t.m.From {
		t.refuse(alreadyYours, i.Mark)
		return nil
	}
	from := i.Inspector
	if may, err := t.takesRound(i); err != nil || !may {
		return err
	}
	careful, err := t.askedWithCare()
	if err != nil {
		return err
	}
	ev := store.TakenOver{Inspection: i.ID, From: from, OneByOne: careful || !may(t.person, t.listed, actSign, i.flow.ID, t.day())}
	if _, err := t.write(ev); err != nil {
		return err
	}
	i.state.OneByOne = ev.OneByOne
	i.Inspector, i.State = t.m.From, store.Underway
	t.thread = i.Thread
	steps := append(i.byHand(), i.stale(t.tx.Now())...)
	if err := t.reopen(i, steps); err != nil {
		return err
	}
	return t.ask(i, format(takenOver, i.Mark, from))
}

// takesRound takes over the rest of a round with the item that was in hand there. What the other has answered of
// other items stays theirs to sign.
func (t *turn) takesRound(i *inspection) (bool, error) {
	r, found, err := t.tx.Round(i.Round)
	if err != nil || !found || !r.Open || r.Person != i.Inspector || i.State != store.Underway && i.State != store.OnHold {
		return true, err
	}
	if t.round != nil {
		t.refuse(ownRound)
		return false, nil
	}
	_, err = t.write(store.RoundTakenOver{Round: r.ID, From: r.Person})
	r.Person, t.round = t.m.From, &r
	return true, err
}

// unfinished is the inspection of a mark, or of this conversation.
func (t *turn) unfinished(mark string) (*inspection, error) {
	if mark == "" && t.others != nil {
		return t.others, nil
	}
	row, found, err := t.tx.Unfinished(t.m.Room, mark)
	if err != nil {
		return nil, err
	}
	if !found {
		t.refuse(nothingToTake)
		return nil, nil
	}
	return t.bot.load(t.tx, row)
}
