package flows

import "slices"

// Alone is the question that asks for some steps of one section by themselves. It follows from the script and where the
// inspection started, and from no answer: whoever looks a second time reads the same whatever the first one said. False
// where the steps can't be asked so: what has to be typed off the item, what was found before, what isn't there.
func Alone(f *Flow, s State, steps []string) (Question, bool) {
	var q Question
	for n, name := range steps {
		step, found := f.Step(name)
		if !found || step.Value != nil || n > 0 && (step.Section.ID != q.Section || step.Check == nil) {
			return Question{}, false
		}
		one := step.question(State{Start: s.Start})
		if n == 0 {
			q = one
			continue
		}
		q.Steps, q.Asks, q.Options = append(q.Steps, one.Steps...), append(q.Asks, one.Asks...), append(q.Options, one.Options...)
	}
	return q, len(steps) > 0
}

// Second is what the rules make of one step's answer by itself, given by somebody who looks a second time. A Refusal says
// why it can't be taken; again, that readings lie too far apart and are taken once more. Nothing of the first one's answers
// is used. Metal that grew was measured wrongly, and can't be told.
func Second(f *Flow, start Start, a Answer) (taken Answer, worst Verdict, again Again, err error) {
	s := State{Start: start}
	step, found := f.Step(a.Step)
	switch {
	case !found:
		return a, Incomplete, "", Refusal{Why: NoSuchStep, Step: a.Step, Got: a.Step}
	case a.Reopen || a.saysTwoThings():
		return a, Incomplete, "", Refusal{Why: WrongForm, Step: a.Step}
	case a.Unknown:
		return a, Quarantine, "", nil
	case step.Check != nil:
		_, _, err = step.Check.take(s, a)
	case step.Reading != nil:
		if err = step.Reading.plausible(s, a); err == nil {
			again = step.Reading.doubtful(s, a.Readings)
			a.Unknown = again == AgainGrown
		}
	default:
		err = Refusal{Why: WrongForm, Step: a.Step}
	}
	if err != nil || again == AgainSpread {
		return a, Incomplete, again, err
	}
	rules, _ := newJudging(f, s).answer(step, a)
	return a, Outcome{Rules: rules}.Worst(), "", nil
}

// HeldBy lists the steps that a rule speaks of, in the script's order: one for a finding, a reading or what couldn't be
// told, more for a rule over several. Empty for a rule that no step of the script brings.
func HeldBy(f *Flow, rule string) []string {
	ids := []string{rule}
	for _, t := range f.Together {
		if t.ID == rule {
			ids = t.Of
		}
	}
	var steps []string
	for _, s := range f.Steps() {
		if slices.ContainsFunc(ids, func(id string) bool { return len(id) > len(s.ID()) && id[:len(s.ID())+1] == s.ID()+"." }) {
			steps = append(steps, s.Name)
		}
	}
	return steps
}

// Deadliest lists the critical checks of a script that don't need the rope, as the item's facts open them and whatever was
// found: what a second look at the whole item goes through.
func Deadliest(f *Flow, s State) []string {
	facts := s.facts(s.standing())
	var steps []string
	for _, step := range f.Steps() {
		if step.Check != nil && step.Check.Critical && !step.Section.OnRope && len(step.Check.When.Found) == 0 && s.opens(step, facts, nil) {
			steps = append(steps, step.Name)
		}
	}
	return steps
}
