package bot

import (
	"fmt"
	"strings"

	"becket/flows"
	"becket/flows/practice"
	"becket/store"
)

// practising is the form of a round of practice.
const practising = "practice"

// practiceLength is how many pieces a round of practice has.
const practiceLength = 12

// practice goes through invented kit with planted faults, with the speaker alone: nobody practises before an audience.
// "practice results" says how it went so far.
func (t *turn) practice(args string) error {
	if !t.private {
		t.tell(t.m.From, practiceInvite)
		t.say(practiceInRoom)
		return nil
	}
	if word := strings.Trim(args, " ."); sameWord(word, "results") || sameWord(word, "so far") {
		said, err := t.practiceSoFar()
		t.reply(said)
		return err
	}
	all, err := practice.All()
	if err != nil {
		return err
	}
	seed, err := t.seedFor()
	if err != nil {
		return err
	}
	var ids []string
	for _, e := range practice.Round(t.known(all), seed, practiceLength) {
		ids = append(ids, e.ID)
	}
	return t.startForm(practising, map[string]string{practiceIDs: strings.Join(ids, ",")}, practiceStart)
}

// practiceIDs is where the form keeps which exercises it has, in their order.
const practiceIDs = "exercises"

// known are the exercises of families that this program has.
func (t *turn) known(all []practice.Exercise) (kept []practice.Exercise) {
	for _, e := range all {
		if f, ok := t.bot.library[e.Flow]; ok {
			if step, ok := f.Step(e.Check); ok && step.Check != nil {
				kept = append(kept, e)
			}
		}
	}
	return kept
}

// practiceRound are a form's exercises in their order.
func (t *turn) practiceRound(f *form) ([]practice.Exercise, error) {
	all, err := practice.All()
	if err != nil {
		return nil, err
	}
	byID := map[string]practice.Exercise{}
	for _, e := range t.known(all) {
		byID[e.ID] = e
	}
	var round []practice.Exercise
	for id := range strings.SplitSeq(f.Given[practiceIDs], ",") {
		e, ok := byID[id]
		if !ok {
			return nil, fmt.Errorf("the exercise %q isn't in this program any more; type \"leave off\"", id)
		}
		round = append(round, e)
	}
	return round, nil
}

func (t *turn) practiceFields(f *form) ([]field, error) {
	round, err := t.practiceRound(f)
	if err != nil {
		return nil, err
	}
	fields := make([]field, len(round))
	for n, e := range round {
		check := t.checkOfExercise(e)
		pairs := [][2]string{{clearWord, practiceClear}}
		for _, finding := range check.Findings {
			pairs = append(pairs, [2]string{finding.ID, finding.Label})
		}
		choices, read := chooseFrom(pairs...)
		fields[n] = field{
			id: e.ID, ask: format(practiceAsk, t.bot.title(e.Flow), check.Ask, e.Shows), kind: flows.KindChoice, choices: choices,
			read: func(text string) (string, error) {
				if _, unknown := cantTell(text); unknown {
					return practiceUnknown, nil
				}
				said, err := read(text)
				if err != nil {
					return "", complaint(practiceHow)
				}
				return said, nil
			},
		}
	}
	return fields, nil
}

func (t *turn) checkOfExercise(e practice.Exercise) flows.Check {
	step, _ := t.bot.library[e.Flow].Step(e.Check) // known has looked
	return *step.Check
}

// flagged tells whether an answer would have kept the item from being called fit.
func flagged(check flows.Check, said string) bool {
	finding, found := check.Finding(said)
	return said == practiceUnknown || found && finding.Verdict > flows.Fit
}

func (t *turn) finishPractice(f *form) error {
	round, err := t.practiceRound(f)
	if err != nil {
		return err
	}
	var done store.Practised
	var told []string
	for n, e := range round {
		check := t.checkOfExercise(e)
		found := flagged(check, f.Given[e.ID])
		where := strings.ToLower(t.bot.title(e.Flow))
		switch {
		case e.Planted() && found:
			done.Planted, done.Caught = done.Planted+1, done.Caught+1
		case e.Planted():
			done.Planted++
			done.Missed = append(done.Missed, e.ID)
			is, _ := check.Finding(e.Is)
			told = append(told, format(practiceMissed, n+1, len(round), where, e.Shows, is.Label, e.Tells))
		case found:
			done.Clear, done.False = done.Clear+1, done.False+1
			told = append(told, format(practiceFalse, n+1, len(round), where, e.Tells))
		default:
			done.Clear++
		}
	}
	if _, err := t.write(done); err != nil {
		return err
	}
	if len(done.Missed) == 0 {
		told = append(told, practiceAll)
	}
	said, err := t.practiceSoFar()
	if err != nil {
		return err
	}
	t.reply(joined(append(append([]string{format(practiceDone, done.Planted, done.Caught, done.Clear, done.False)}, told...), said)...))
	return nil
}
