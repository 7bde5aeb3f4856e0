package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// deleted follows a message that was deleted. Its sender's own words and photos are taken out of the record. Who sent it and
// when, what was chosen and measured, and all that follows from it stay: nothing that is deleted lifts a hold. What had to
// be said in writing stays too.
func (t *turn) deleted() error {
	entries, err := t.brought(t.m.Deletes)
	if err != nil || len(entries) == 0 { // people delete what they said among themselves
		return err
	}
	if by := entries[0].By; by != t.m.From {
		t.refuse(deletedNotOwn, by)
		return nil
	}
	d := deletion{turn: t}
	for _, e := range entries {
		if err := d.entry(e); err != nil {
			return err
		}
	}
	if err := t.tx.ForgetMessage(t.m.Deletes); err != nil {
		return err
	}
	said, err := d.said()
	if err != nil {
		return err
	}
	t.reply(joined(said...))
	return nil
}

// brought are the entries that a message brought about here, and its edits after it.
func (t *turn) brought(message string) ([]store.Entry, error) {
	caused, err := t.tx.Caused(message)
	if err != nil {
		return nil, err
	}
	var all []store.Entry
	edited := map[string]bool{}
	for _, e := range caused {
		ours, err := t.isOurs(e)
		if err != nil {
			return nil, err
		}
		if !ours || e.Kind == (store.Blanked{}).Kind() {
			continue
		}
		all = append(all, e)
		ev, err := e.Event()
		if err != nil {
			return nil, err
		}
		if _, answers := ev.(*store.Answered); !answers || edited[e.Subject] {
			continue
		}
		edited[e.Subject] = true
		about, err := t.tx.Entries(e.Subject)
		if err != nil {
			return nil, err
		}
		for _, later := range about {
			ev, err := later.Event()
			if err != nil {
				return nil, err
			}
			if replaced(ev) == message {
				all = append(all, later)
			}
		}
	}
	return all, nil
}

// replaced is the message that an entry's own message edited; empty: none.
func replaced(ev store.Event) string {
	switch ev := ev.(type) {
	case *store.Answered:
		return ev.Replaces
	case *store.Noted:
		return ev.Replaces
	}
	return ""
}

// deletion is what a deleted message turns out to have brought about.
type deletion struct {
	*turn
	blanked, written bool
	within           *inspection
	step             string   // the last that it answered with more than free words; empty: none
	held             []string // the marks of what it holds
	reason           string   // of a signature
}

func (d *deletion) entry(e store.Entry) error {
	if id, is := strings.CutPrefix(e.Subject, store.InspectionSubject("")); is && d.within == nil {
		row, _, err := d.tx.Inspection(id)
		if err != nil {
			return err
		}
		if d.within, err = d.bot.load(d.tx, row); err != nil {
			return err
		}
		d.thread = row.Thread
	}
	ev, err := e.Event()
	if err != nil {
		return err
	}
	left, err := d.without(ev)
	if err != nil || left == nil {
		return err
	}
	d.blanked = true
	return d.tx.Blank(e, d.m.From, d.m.ID, left)
}

// without is an entry without its author's free words and photo; nil: it has none.
func (d *deletion) without(ev store.Event) (store.Event, error) {
	switch ev := ev.(type) {
	case *store.Answered:
		return d.answer(ev), nil
	case *store.Noted:
		if !strings.HasPrefix(ev.Text, clockNoted) && blank(&ev.Text) {
			return ev, nil
		}
	case *store.Signed:
		d.reason = ev.Reason
		if blank(&ev.Reason) {
			return ev, nil
		}
	case *store.HoldPlaced:
		d.held = append(d.held, ev.Mark)
		own := ev.Inspection == "" && ev.Why != noReasonGiven || ev.Inspection != "" && ev.Why == d.reason
		if own && blank(&ev.Why) {
			return ev, nil
		}
	case *store.Photographed:
		if ev.Hash == "" {
			return nil, nil
		}
		hash := ev.Hash
		ev.Hash, ev.Name = "", store.Blank
		return ev, d.tx.Unwanted(hash)
	case *store.HoldReleased, *store.StrikeAsked, *store.RetirementStruck, *store.GoodsOnly, *store.StatementSent, *store.PaperKept,
		*store.IncidentLogged, *store.IncidentAdded, *store.ConditionsLogged, *store.NoticeTaken, *store.HolderAnswered, *store.UnmarkedHeld,
		*store.CalledIn, *store.Destroyed, *store.Replaced, *store.MakerAsked, *store.MakerAnswered, *store.ParticularsTold, *store.ItemDetailed, *store.ReportIssued,
		*store.CorrectionAsked, *store.ItemCorrected:
		d.written = true
	}
	return nil, nil
}

// answer is an answer without free words. What rules read stays: letters, readings, what was read off the item, and where a
// watched finding is.
func (d *deletion) answer(a *store.Answered) store.Event {
	if a.Reopen {
		return nil // nobody's words
	}
	free := d.within.takesAnyWords(a.Step)
	if !free {
		d.step = a.Step
	}
	reason, text := blank(&a.Reason), free && blank(&a.Text)
	if !reason && !text {
		return nil
	}
	return a
}

// takesAnyWords tells whether no rule reads what is written at a step.
func (i *inspection) takesAnyWords(step string) bool {
	if flows.IsReason(step) {
		return true
	}
	return slices.ContainsFunc(i.flow.Steps(), func(s flows.Step) bool {
		return s.Name == step && s.Value != nil && s.Value.Kind == flows.ValueNote && s.Value.Unit == "" && s.Value.Match == ""
	})
}

// blank takes words out, and tells whether there were any.
func blank(words *string) bool {
	if *words == "" || *words == store.Blank {
		return false
	}
	*words = store.Blank
	return true
}

// said is what the sender is told: what is gone, what stays, and how that is put right.
func (d *deletion) said() ([]string, error) {
	var lines []string
	if d.blanked {
		lines = append(lines, deletedWords)
	}
	if i := d.within; d.step != "" {
		q, asked := flows.At(flows.Plan(i.flow, i.state), d.step)
		if open := i.State == store.Underway || i.State == store.OnHold; open && asked && i.Inspector == d.m.From {
			lines = append(lines, format(deletedAnswer, q.Position))
		} else {
			lines = append(lines, format(deletedClosed, i.Mark))
		}
	}
	for _, mark := range d.held {
		held, err := d.isHeld(mark)
		if err != nil {
			return nil, err
		}
		if held {
			lines = append(lines, format(deletedHold, mark))
		}
	}
	if d.written {
		lines = append(lines, deletedWritten)
	}
	if len(lines) == 0 {
		lines = append(lines, deletedDone)
	}
	return lines, nil
}
