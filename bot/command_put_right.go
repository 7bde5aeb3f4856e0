package bot

import (
	"strconv"
	"strings"

	"becket/flows"
	"becket/store"
)

// back asks the last question again. The answer it had stays in the record.
func (t *turn) back(i *inspection, _ string) error {
	steps := i.lastSteps()
	if len(steps) == 0 {
		if went, err := t.backInRound(i); err != nil || went {
			return err
		}
		return t.again(i, nothingBefore)
	}
	if err := t.reopen(i, steps); err != nil {
		return err
	}
	return t.ask(i, backTo)
}

// putRight answers an earlier question anew, by its position: "put right 4 d e".
func (t *turn) putRight(i *inspection, args string) error {
	word, rest := firstWord(args)
	n, err := strconv.Atoi(strings.TrimRight(word, ".:,"))
	plan := flows.Plan(i.flow, i.state)
	if err != nil || n < 1 || n > len(plan) {
		return t.again(i, format(putRightHow, len(plan)))
	}
	q := plan[n-1]
	if !i.state.Answered(q.Steps[0]) {
		return t.again(i, format(putRightUnanswered, n))
	}
	return t.correct(i, q, rest)
}

// correct takes a new answer to a question that had one. Both stay in the record.
func (t *turn) correct(i *inspection, q flows.Question, text string) error {
	text, reason := because(q, text)
	answers, err := read(q, text, len(t.m.Files))
	if err != nil {
		return t.complain(i, err)
	}
	for n := range answers {
		if answers[n].Reason == "" {
			answers[n].Reason = reason
		}
	}
	if _, err := t.keepPhotos(i, q.Steps[0]); err != nil {
		return err
	}
	return t.takeAnswers(i, q, answers, true)
}

// edit takes an edited message. An edited answer is a new answer; after signing it is an addition to the record.
func (t *turn) edit() error {
	entries, err := t.tx.Caused(t.m.Replaces)
	if err != nil {
		return err
	}
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return err
		}
		ours, err := t.isOurs(e)
		if err != nil {
			return err
		}
		if a, ok := ev.(*store.Answered); ok && ours && e.By == t.m.From {
			return t.editAnswer(a)
		}
	}
	t.refuse(editNothing)
	return nil
}

func (t *turn) editAnswer(a *store.Answered) error {
	row, found, err := t.tx.Inspection(a.Inspection)
	if err != nil || !found {
		return err
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return err
	}
	t.thread = i.Thread
	q, ok := flows.At(flows.Plan(i.flow, i.state), a.Step)
	if row.Closed() {
		return t.editRecord(i, q)
	}
	if !ok || i.Inspector != t.m.From {
		t.refuse(editNothing)
		return nil
	}
	return t.correct(i, q, t.m.Text)
}

// editRecord adds an edit to a record that is closed. The record stays as it was signed; a finding that
// holds takes the item out of use all the same.
func (t *turn) editRecord(i *inspection, q flows.Question) error {
	if _, err := t.write(store.Noted{Inspection: i.ID, Text: format(editNote, q.Ask, t.m.Text), Replaces: t.m.Replaces}); err != nil {
		return err
	}
	var held []flows.Rule
	if answers, err := read(q, t.m.Text, 0); err == nil {
		state := i.state
		for _, a := range answers {
			next, effect, err := flows.Advance(i.flow, state, a)
			if err == nil && effect.Again == "" {
				state, held = next, append(held, effect.Held...)
			}
		}
	}
	if err := t.hold(i, held); err != nil {
		return err
	}
	number := i.Number
	if number == "" {
		number = i.Mark
	}
	text := joined(format(editSigned, number), format(editThen, i.Mark))
	if len(held) > 0 {
		text = joined(format(heldNow, i.Mark), format(editSigned, number))
	}
	t.reply(text)
	return nil
}
