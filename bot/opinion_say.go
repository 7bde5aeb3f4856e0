package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// sayOpinion thanks whoever gave it, and says in the inspection's conversation what it was and what follows. What the first
// one hasn't come to is kept from them until they have.
func (t *turn) sayOpinion(i *inspection, last store.Opinion) error {
	all, err := t.tx.OpinionsOf(t.m.Room, i.Mark)
	if err != nil {
		return err
	}
	var theirs, both []string
	kept := 0
	for _, o := range all {
		q, ok := questionOf(i, o)
		if !ok || !o.Answered || o.Together() != last.Together() {
			continue
		}
		line := format(opinionBoth, o.By, opinionWords(q, o.Answers), o.First, opinionWords(q, i.firstOn(o.Steps)))
		if o.View != "" {
			line += format(opinionView, o.View)
		}
		theirs = append(theirs, line)
		if len(i.firstOn(o.Steps)) < len(o.Steps) && !i.Closed() {
			kept++
			continue
		}
		follows, err := t.whatFollows(i, o)
		if err != nil {
			return err
		}
		both = append(both, line+".", follows)
	}
	t.say(opinionThanks, i.Mark, strings.Join(theirs, ".\n"))
	if kept > 0 {
		both = append(both, format(opinionKept, last.By, pointsWords(kept)))
	}
	if held, err := t.isHeld(i.Mark); err != nil {
		return err
	} else if held && kept > 0 {
		both = append(both, format(opinionHeldNow, i.Mark))
	}
	r := t.reply(joined(slices.Compact(both)...))
	r.Room, r.Thread, r.To = t.m.Room, i.Thread, last.AskedBy()
	return nil
}

// opinionsOn is what others have said of a point, told to the first one once they have answered it themselves.
func (t *turn) opinionsOn(i *inspection, steps []string) (string, error) {
	all, err := t.tx.OpinionsOf(t.m.Room, i.Mark)
	if err != nil {
		return "", err
	}
	var said []string
	for _, o := range all {
		q, ok := questionOf(i, o)
		if !ok || !o.Answered || o.Inspection != i.ID || !slices.Equal(o.Steps, steps) {
			continue
		}
		o.Differs = i.seenOtherwise(q, o)
		follows, err := t.whatFollows(i, o)
		if err != nil {
			return "", err
		}
		said = append(said, format(opinionToo, o.By, opinionWords(q, o.Answers)), follows)
	}
	return joined(said...), nil
}

// whatFollows says what two views on a point mean for the item.
func (t *turn) whatFollows(i *inspection, o store.Opinion) (string, error) {
	held, err := t.isHeld(i.Mark)
	switch {
	case err != nil:
		return "", err
	case o.Third:
		return format(opinionThird, i.Mark), nil
	case o.Differs && o.Verdict == flows.Retire:
		return format(opinionDifferEnd, i.Mark), nil
	case o.Differs && untold(o.Answers) && untold(i.firstOn(o.Steps)):
		return format(opinionBothUntold, i.Mark), nil
	case o.Differs && i.onlyUntold(o):
		return format(opinionUntold, i.Mark), nil
	case o.Differs:
		return format(opinionDiffer, i.Mark), nil
	case held:
		return format(opinionAgreeHeld, i.Mark), nil
	}
	return opinionAgree, nil
}

// pointsWords counts points.
func pointsWords(n int) string {
	if n == 1 {
		return opinionOnePoint
	}
	return format(opinionPoints, n)
}

// opinionWords are findings as they were chosen, or readings with their unit.
func opinionWords(q flows.Question, answers []flows.Answer) string {
	var words []string
	for _, a := range answers {
		for _, r := range a.Readings {
			words = append(words, r.String())
		}
		if a.Unknown && len(a.Readings) == 0 {
			words = append(words, cantTellWord)
		}
		for _, o := range q.Options {
			if o.Check == checkOf(a.Step) && slices.Contains(a.Findings, o.ID) {
				words = append(words, o.Label)
			}
		}
	}
	switch {
	case len(answers) == 0:
		return opinionNothingYet
	case len(words) == 0:
		return clearWord
	case len(answers[0].Readings) > 0:
		return strings.Join(words, " ") + " " + string(q.Unit)
	}
	return strings.Join(words, "; ")
}

// opinions is what nobody has answered yet.
func (s *survey) opinions() ([]matter, error) {
	waiting, err := s.t.tx.Unanswered(s.t.m.Room)
	var open []matter
	for _, o := range waiting {
		open = append(open, matter{name: o.Mark, key: "opinion " + o.ID, say: format(openOpinion, o.AskedBy()), who: o.Asked, do: format(openOpinionDo, o.Mark)})
	}
	return open, err
}
