package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// opinionAlone takes what somebody says alone with Becket as the opinion they were asked for. It tells whether they were.
func (t *turn) opinionAlone() (bool, error) {
	waiting, err := t.tx.WaitFor(t.m.Room, t.m.From)
	if err != nil || len(waiting) == 0 {
		return false, err
	}
	mark, rest := firstWord(t.m.Text)
	mark = strings.TrimRight(mark, ".,:;")
	n := slices.IndexFunc(waiting, func(o store.Opinion) bool { return sameWord(o.Mark, mark) })
	text := rest
	if n < 0 {
		if len(waiting) > 1 {
			var marks []string
			for _, o := range waiting {
				marks = append(marks, o.Mark)
			}
			t.refuse(opinionOfWhich, strings.Join(marks, ", "), marks[0])
			return true, nil
		}
		n, text = 0, t.m.Text
	}
	return true, t.giveOpinion(waiting[n], text)
}

// giveOpinion reads an opinion as the answer to the script's own question, and lets the stricter stand.
func (t *turn) giveOpinion(o store.Opinion, text string) error {
	i, q, ok, err := t.opinionQuestion(o)
	if err != nil || !ok {
		return err
	}
	if ok, err := t.may(actSign, i.flow.ID); err != nil || !ok {
		return err
	}
	answers, err := read(q, text, 0)
	if err != nil {
		t.refuse("%s", joined(sentence(err.Error()), format(opinionHow, o.Mark)))
		return nil
	}
	o.By, o.Answers, o.Answered = t.m.From, answers, true
	o.Verdict = worstSeen(q, answers)
	var first []flows.Answer
	for _, step := range q.Steps {
		if a, given := i.state.Given(step); given {
			first = append(first, a)
		}
	}
	o.Differs = !sameFindings(first, answers)
	if _, err := t.write(store.OpinionGiven{Opinion: o}); err != nil {
		return err
	}
	held, err := t.holdByOpinion(i, q, o)
	if err != nil {
		return err
	}
	t.sayOpinion(i, q, o, first, held)
	return t.nextOpinion()
}

// nextOpinion asks the speaker about the next point that waits for them, where there is one.
func (t *turn) nextOpinion() error {
	waiting, err := t.tx.WaitFor(t.m.Room, t.m.From)
	if err != nil || len(waiting) == 0 {
		return err
	}
	o := waiting[0]
	o.Asked = []string{t.m.From}
	i, q, ok, err := t.opinionQuestion(o)
	if err != nil || !ok {
		return err
	}
	t.putToOthers(i, q, o)
	return nil
}

// worstSeen is the worst verdict of what somebody says they see; what they can't tell is at least quarantine.
func worstSeen(q flows.Question, answers []flows.Answer) flows.Verdict {
	worst := flows.Fit
	for _, a := range answers {
		if a.Unknown {
			worst = max(worst, flows.Quarantine)
		}
		for _, o := range q.Options {
			if o.Check == checkOf(a.Step) && slices.Contains(a.Findings, o.ID) {
				worst = max(worst, o.Verdict)
			}
		}
	}
	return worst
}

// sameFindings tells whether two people said the same of every check. What somebody can't tell, or hasn't said, is like
// nothing.
func sameFindings(a, b []flows.Answer) bool {
	if len(a) != len(b) {
		return false
	}
	for _, x := range a {
		n := slices.IndexFunc(b, func(y flows.Answer) bool { return y.Step == x.Step })
		if n < 0 || x.Unknown || b[n].Unknown || !slices.Equal(slices.Sorted(slices.Values(x.Findings)), slices.Sorted(slices.Values(b[n].Findings))) {
			return false
		}
	}
	return true
}

// holdByOpinion holds the item where two differ, or where the second finds what holds: as strictly as either says. It never
// ends a hold.
func (t *turn) holdByOpinion(i *inspection, q flows.Question, o store.Opinion) (bool, error) {
	verdict := o.Verdict
	if o.Differs {
		verdict = max(verdict, flows.Quarantine)
	}
	if !verdict.Holds() {
		return false, nil
	}
	standing, err := t.tx.Standing(t.m.Room, i.Mark)
	if err != nil {
		return false, err
	}
	if slices.ContainsFunc(standing, func(h store.Hold) bool { return h.Inspection == i.ID && h.Verdict >= verdict }) {
		return true, nil
	}
	why := format(opinionHeld, o.By, opinionWords(q, o.Answers))
	_, err = t.write(store.HoldPlaced{Mark: i.Mark, Verdict: verdict, Why: why, Inspection: i.ID})
	return true, err
}

// sayOpinion thanks whoever gave it, and says in the inspection's conversation what it was and what follows.
func (t *turn) sayOpinion(i *inspection, q flows.Question, o store.Opinion, first []flows.Answer, held bool) {
	theirs, own := opinionWords(q, o.Answers), opinionWords(q, first)
	if o.View != "" {
		own = joined(own, format(opinionView, o.View))
	}
	t.say(opinionThanks, i.Mark, theirs, o.First, own)
	follows := opinionAgree
	switch {
	case o.Third:
		follows = format(opinionThird, i.Mark)
	case o.Differs && o.Verdict == flows.Retire:
		follows = format(opinionDifferEnd, i.Mark)
	case o.Differs:
		follows = format(opinionDiffer, i.Mark)
	case held:
		follows = format(opinionAgreeHeld, i.Mark)
	}
	r := t.say(opinionToFirst, o.By, theirs, o.First, own, follows)
	r.Room, r.Thread, r.To = t.m.Room, i.Thread, o.First
}

// opinionWords are findings as they were chosen.
func opinionWords(q flows.Question, answers []flows.Answer) string {
	var words []string
	for _, a := range answers {
		if a.Unknown {
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
	}
	return strings.Join(words, "; ")
}

// opinions is what nobody has answered yet.
func (s *survey) opinions() ([]matter, error) {
	waiting, err := s.t.tx.Unanswered(s.t.m.Room)
	var open []matter
	for _, o := range waiting {
		open = append(open, matter{name: o.Mark, key: "opinion " + o.ID, say: format(openOpinion, o.First), who: o.Asked, do: format(openOpinionDo, o.Mark)})
	}
	return open, err
}
