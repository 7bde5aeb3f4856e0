package bot

import (
	"errors"
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// opinionAlone takes what somebody says alone with Becket as the opinion they were asked for. It tells whether they were.
func (t *turn) opinionAlone() (bool, error) {
	waiting, err := t.tx.WaitFor(t.m.Room, t.m.From)
	if err != nil {
		return false, err
	}
	if len(waiting) == 0 {
		return t.tooLate()
	}
	label, rest := firstWord(t.m.Text)
	label = bareMark(label)
	n := slices.IndexFunc(waiting, func(o store.Opinion) bool { return sameWord(o.Called(), label) })
	text := rest
	if n < 0 {
		if len(waiting) > 1 {
			var labels []string
			for _, o := range waiting {
				labels = append(labels, o.Called())
			}
			t.refuse(opinionOfWhich, strings.Join(labels, ", "), labels[0])
			return true, nil
		}
		n, text = 0, t.m.Text
	}
	o := waiting[n]
	i, q, ok, err := t.opinionQuestion(o)
	if err != nil || !ok {
		return true, err
	}
	if text == "" { // the mark alone: what was it again
		o.Asked = []string{t.m.From}
		t.putToOthers(i, q, o)
		return true, nil
	}
	return true, t.giveOpinion(i, q, o, text)
}

// isView tells whether a text that answers nothing here is a second view that the speaker was asked for alone: letters,
// clear or can't tell, perhaps with its mark first.
func (t *turn) isView() bool {
	text := t.m.Text
	if word, rest := firstWord(text); aMark(word) {
		text = rest
	}
	_, unknown := cantTell(text)
	return unknown || bare(text) == clearWord || isLetters(bare(text), mostViews) || len(bare(text)) == 1 && keyIndex(bare(text)) >= 0
}

// mostViews is how many letters there are that a point's choices could have.
const mostViews = 26

// viewGoesAlone sends a second view to where who looked first can't read it. Where none is asked for, the text is nothing that is understood.
func (t *turn) viewGoesAlone() error {
	waiting, err := t.tx.WaitFor(t.m.Room, t.m.From)
	if err != nil {
		return err
	}
	if len(waiting) == 0 {
		t.notUnderstood()
		return nil
	}
	t.refuse(opinionNotHere, waiting[0].Mark)
	return nil
}

// tooLate tells somebody whom another has forestalled.
func (t *turn) tooLate() (bool, error) {
	last, asked, err := t.tx.LastAsked(t.m.Room, t.m.From)
	if err != nil || !asked || last.By == t.m.From {
		return false, err
	}
	t.refuse(opinionTaken, last.By, last.Mark)
	return true, nil
}

// opinionQuestion is the question that an opinion answers, and the inspection that it is of.
func (t *turn) opinionQuestion(o store.Opinion) (*inspection, flows.Question, bool, error) {
	row, found, err := t.tx.Inspection(o.Inspection)
	if err != nil || !found {
		return nil, flows.Question{}, false, err
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return nil, flows.Question{}, false, err
	}
	q, ok := questionOf(i, o)
	if !ok {
		t.refuse(opinionGone, o.Mark)
	}
	return i, q, ok, nil
}

// giveOpinion reads an opinion as the answer to the script's own question, and lets the stricter stand.
func (t *turn) giveOpinion(i *inspection, q flows.Question, o store.Opinion, text string) error {
	if ok, err := t.may(actSign, i.flow.ID); err != nil || !ok {
		return err
	}
	answers, verdict, problem := readOpinion(i, q, text)
	if problem != "" {
		how := opinionHow
		if q.Kind == flows.KindReading {
			how = opinionHowRead
		}
		t.refuse("%s", joined(problem, format(how, o.Called())))
		return nil
	}
	o.By, o.Answers, o.Answered, o.Verdict = t.m.From, answers, true, verdict
	o.Differs = i.seenOtherwise(q, o)
	if _, err := t.write(store.OpinionGiven{Opinion: o}); err != nil {
		return err
	}
	if err := t.holdByOpinion(i, q, o); err != nil {
		return err
	}
	if len(o.Rest) > 0 {
		return t.putNext(i, o)
	}
	if err := t.sayOpinion(i, o); err != nil {
		return err
	}
	return t.nextOpinion()
}

// readOpinion reads somebody's answer and what the rules make of it by itself. The problem says what to type instead.
func readOpinion(i *inspection, q flows.Question, text string) (answers []flows.Answer, worst flows.Verdict, problem string) {
	text, reason := because(q, text)
	answers, err := read(q, text, 0)
	if err != nil {
		return nil, worst, sentence(err.Error())
	}
	worst = flows.Fit
	for n, a := range answers {
		taken, verdict, again, err := flows.Second(i.flow, i.state.Start, a)
		var refusal flows.Refusal
		switch {
		case errors.As(err, &refusal):
			return nil, worst, refusalWords(refusal)
		case err != nil:
			return nil, worst, sentence(err.Error())
		case again != "":
			return nil, worst, opinionSpread
		}
		if taken.Reason == "" {
			taken.Reason = reason
		}
		answers[n], worst = taken, max(worst, verdict)
	}
	return answers, worst, ""
}

// putNext asks whoever answered for the next of several points: they and nobody else, so that one person has looked at all
// of them, and so that nobody answers a question that they haven't seen.
func (t *turn) putNext(i *inspection, o store.Opinion) error {
	t.say(opinionNoted, o.Called())
	next := store.Opinion{
		ID: t.m.ID, Inspection: o.Inspection, Mark: o.Mark, Steps: o.Rest[0], Rest: o.Rest[1:], First: o.First, View: o.View, Asked: []string{t.m.From},
		Blind: o.Blind && !i.saidOf(o.Rest[0]), Third: o.Third, Asker: o.Asker, Request: o.Together(), Nth: o.Nth + 1, Label: o.Label,
	}
	return t.putOpinion(i, next)
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

// firstOn are the first one's own answers to a point, as they stand.
func (i *inspection) firstOn(steps []string) (first []flows.Answer) {
	for _, step := range steps {
		if a, given := i.state.Given(step); given {
			first = append(first, a)
		}
	}
	return first
}

// seenOtherwise tells whether two people see a point otherwise: other findings, or readings that the rules take otherwise. What
// somebody can't tell is like nothing. A point that the first can still come to isn't compared before.
func (i *inspection) seenOtherwise(q flows.Question, o store.Opinion) bool {
	first := i.firstOn(q.Steps)
	if len(first) < len(q.Steps) && !i.Closed() {
		return false
	}
	if q.Kind != flows.KindReading || len(first) == 0 || first[0].Unknown || o.Answers[0].Unknown {
		return !sameFindings(first, o.Answers)
	}
	_, verdict, _, err := flows.Second(i.flow, i.state.Start, first[0])
	return err != nil || verdict != o.Verdict
}

// sameFindings tells whether two people said the same of every check.
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

// untold tells whether nothing could be told of a point.
func untold(answers []flows.Answer) bool {
	return !slices.ContainsFunc(answers, func(a flows.Answer) bool { return !a.Unknown })
}

// onlyUntold tells whether two people differ in nothing but that one can't tell what the other finds clear.
func (i *inspection) onlyUntold(o store.Opinion) bool {
	first := i.firstOn(o.Steps)
	all := slices.Concat(first, o.Answers)
	return len(first) > 0 && !slices.ContainsFunc(all, func(a flows.Answer) bool { return !a.Unknown && !a.Clear })
}

// holdByOpinion holds the item where two differ, or where the second finds what holds: as strictly as either says. It never
// ends a hold.
func (t *turn) holdByOpinion(i *inspection, q flows.Question, o store.Opinion) error {
	verdict := o.Verdict
	if o.Differs {
		verdict = max(verdict, flows.Quarantine)
	}
	if !verdict.Holds() {
		return nil
	}
	standing, err := t.tx.Standing(t.m.Room, i.Mark)
	if err != nil {
		return err
	}
	why := format(opinionHeld, o.By, opinionWords(q, o.Answers))
	if o.Differs && i.onlyUntold(o) {
		why = format(opinionHeldUntold, strings.TrimRight(strings.Join(q.Asks, " "), "?."))
	}
	own := o.Differs && o.Verdict.Holds() && !i.onlyUntold(o) // something that the first didn't find
	if slices.ContainsFunc(standing, func(h store.Hold) bool {
		return h.Inspection == i.ID && h.Verdict >= verdict && (!own || h.Why == why)
	}) {
		return nil
	}
	_, err = t.write(store.HoldPlaced{Mark: i.Mark, Verdict: verdict, Why: why, Inspection: i.ID})
	return err
}

// againstOpinions holds the item where the first one comes to a point after the second, and sees it otherwise.
func (t *turn) againstOpinions(i *inspection, step string) error {
	given, err := t.tx.OpinionsOf(t.m.Room, i.Mark)
	if err != nil {
		return err
	}
	for _, o := range given {
		if !o.Answered || o.Differs || o.Inspection != i.ID || !slices.Contains(o.Steps, step) {
			continue
		}
		q, ok := questionOf(i, o)
		if !ok || !i.seenOtherwise(q, o) {
			continue
		}
		o.Differs = true
		if err := t.holdByOpinion(i, q, o); err != nil {
			return err
		}
	}
	return nil
}
