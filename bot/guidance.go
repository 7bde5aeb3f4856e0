package bot

import (
	"slices"

	"becket/flows"
	"becket/prompts"
)

// length is how much the speaker is told with each question of a family: what they chose, and else by whether they may
// sign for it. Who may not sign is never asked in short words.
func (t *turn) length(family string) prompts.Length {
	signs := may(t.person, t.listed, actSign, family, t.day())
	chosen := prompts.Length(t.person.Words)
	switch {
	case chosen == prompts.Short && !signs:
		return prompts.Usual
	case chosen != "":
		return chosen
	case signs:
		return prompts.Usual
	}
	return prompts.Explained
}

// phrased words a question for the speaker. What it means and how it is answered stays as the script has it.
func (t *turn) phrased(f *flows.Flow, q flows.Question) flows.Question {
	l := t.length(f.ID)
	q.Asks = slices.Clone(q.Asks)
	for n := range min(len(q.Asks), len(q.Steps)) {
		if step, ok := f.Step(q.Steps[n]); ok {
			q.Asks[n] = t.bot.guidance.Put(stepOf(f, step), q.Asks[n], l)
			if words, found := t.bot.guidance.For(stepOf(f, step)); found && l == prompts.Explained && t.bot.rewords != nil {
				t.explained = append(t.explained, words.Explained)
			}
		}
	}
	if len(q.Asks) == 1 {
		q.Ask = q.Asks[0]
	}
	return q
}

// stepOf names a step to the guidance.
func stepOf(f *flows.Flow, s flows.Step) prompts.Step {
	var from flows.Origin
	switch {
	case s.Check != nil:
		from = s.Check.Origin
	case s.Reading != nil:
		from = s.Reading.Origin
	}
	return prompts.Step{Family: f.ID, ID: s.ID(), Block: from.Block, InBlock: from.Step, Part: from.Part}
}
