package flows

import (
	"crypto/sha256"
	"encoding/binary"
	"slices"
	"strings"
)

// Kind is the form of a question's answer.
type Kind string

const (
	KindMatch    Kind = "match"
	KindChecks   Kind = "checks"
	KindCritical Kind = "critical"
	KindChoice   Kind = "choice"
	KindReading  Kind = "reading"
	KindPhoto    Kind = "photo"
	KindNote     Kind = "note"
	KindConfirm  Kind = "confirm"
	KindSign     Kind = "sign"
)

// Question is what is asked next: one step, or a group of checks in one place.
type Question struct {
	Section  string // id
	Title    string // of the section
	Steps    []string
	Kind     Kind
	Ask      string
	Asks     []string // one for each step
	Part     string
	Clear    string // a critical check's clear state in words
	Options  []Option
	Unit     Unit
	Repeat   int
	Required bool
	Expect   string // the right value of a match; never shown
	Position int    // from 1
	Of       int
}

// Option is one thing that can be chosen. Check is the check it belongs to, ID the finding or the choice.
type Option struct {
	Check, ID, Label string
	Verdict          Verdict
}

// No group is longer than a person takes in at a glance.
const (
	groupChecks  = 6
	groupOptions = 12
)

// Next is the first question without an answer; false when all is answered.
func Next(f *Flow, s State) (Question, bool) {
	standing := s.standing()
	for _, q := range Plan(f, s) {
		for _, step := range q.Steps {
			if _, given := standing.of(step); !given {
				return q, true
			}
		}
	}
	return Question{}, false
}

// Plan lists all questions of the inspection as it stands, answered ones included, in the order of asking.
func Plan(f *Flow, s State) []Question {
	p := planning{judging: judgeAll(f, s)}
	outcome := p.outcome()
	p.open = func(step Step) bool {
		if !p.state.opens(step, p.facts, p.found) {
			return false
		}
		_, given := p.standing.of(step.Name)
		return given || !step.Section.OnRope || !outcome.Held()
	}
	p.askFacts()
	p.askSteps(p.chosen())
	p.askClosing(outcome)
	for i := range p.questions {
		p.questions[i].Position, p.questions[i].Of = i+1, len(p.questions)
	}
	return p.questions
}

// At finds the question of the plan that asks for a step.
func At(plan []Question, step string) (Question, bool) {
	for _, q := range plan {
		if slices.Contains(q.Steps, step) {
			return q, true
		}
	}
	return Question{}, false
}

type planning struct {
	*judging
	open      func(Step) bool
	questions []Question
}

func (p *planning) ask(q Question) { p.questions = append(p.questions, q) }

// askFacts asks what neither the sheet nor the register says and some step hangs on.
func (p *planning) askFacts() {
	for _, f := range p.flow.Facts {
		if _, known := p.state.Facts[f.ID]; known {
			continue
		}
		q := Question{Section: factSection, Title: titleFacts, Steps: []string{factSection + "." + f.ID}, Kind: KindChoice, Ask: f.Ask, Required: true}
		for _, c := range f.Choices {
			q.Options = append(q.Options, Option{Check: f.ID, ID: c.ID, Label: c.Label})
		}
		p.ask(q)
	}
}

func (p *planning) askSteps(chosen map[string]bool) {
	group := -1 // index of the question that further checks may join
	for _, step := range p.steps {
		if !p.open(step) || !step.required() && !p.wanted(step, chosen) {
			continue
		}
		if group >= 0 && p.joins(p.questions[group], step) {
			q := &p.questions[group]
			q.Steps = append(q.Steps, step.Name)
			q.Asks = append(q.Asks, step.Check.Ask)
			q.Options = append(q.Options, step.Check.options()...)
			continue
		}
		p.ask(step.question(p.state))
		group = -1
		if step.groups() {
			group = len(p.questions) - 1
		}
	}
}

// wanted tells whether a step that nothing hangs on is asked all the same: a control question that chance picked,
// a reading that the sheet has something to hold against.
func (p *planning) wanted(step Step, chosen map[string]bool) bool {
	switch {
	case step.Value != nil:
		return chosen[step.Name]
	case step.Reading != nil:
		return step.Reading.comparable(p.state.Sheet)
	}
	return true
}

// groups tells whether a check may stand in one question with others: not the one that kills, and not one
// that a finding opened.
func (s Step) groups() bool {
	return s.Check != nil && !s.Check.Critical && len(s.Check.When.Found) == 0
}

func (p *planning) joins(q Question, step Step) bool {
	return step.groups() && !p.state.OneByOne && step.Section.ID == q.Section && step.Check.Part == q.Part &&
		step.Section.ID != pastSection &&
		len(q.Steps) < groupChecks && len(q.Options)+len(step.Check.Findings) <= groupOptions
}

func (s Step) question(state State) Question {
	q := Question{Section: s.Section.ID, Title: s.Section.Title, Steps: []string{s.Name}, Required: s.required()}
	switch {
	case s.Check != nil:
		q.Kind, q.Ask, q.Part, q.Clear, q.Options = KindChecks, s.Check.Ask, s.Check.Part, s.Check.Clear, s.Check.options()
		if s.Check.Critical {
			q.Kind = KindCritical
		}
	case s.Reading != nil:
		q.Kind, q.Ask, q.Unit, q.Repeat = KindReading, s.Reading.Ask, s.Reading.Unit, s.Reading.Repeat
	default:
		q.Ask, q.Unit = s.Value.Ask, s.Value.Unit
		q.Kind = Kind(s.Value.Kind)
		q.Expect, _ = s.Value.expected(state)
	}
	q.Asks = []string{q.Ask}
	return q
}

func (c *Check) options() []Option {
	options := make([]Option, len(c.Findings))
	for i, f := range c.Findings {
		options[i] = Option{Check: c.ID, ID: f.ID, Label: f.Label, Verdict: f.Verdict}
	}
	return options
}

// inHand is how many answers of an inspection can't be given without the item in the hand.
const inHand = 3

// unforeseen is from how many control questions chance has to draw, so that none can be prepared for.
const unforeseen = 4

// chosen picks control questions by the seed: one at least, and as many as it takes to have three values
// that only the hand can give.
func (p *planning) chosen() map[string]bool {
	var controls []string
	fixed := 0
	grouped := map[string]bool{} // sections with checks that come in groups
	for _, step := range p.steps {
		switch {
		case !p.open(step):
		case step.groups():
			grouped[step.Section.ID] = true
		case step.Reading != nil, step.Value != nil && step.Value.Required:
			fixed++
		case step.Value != nil:
			controls = append(controls, step.Name)
		}
	}
	all := slices.Clone(controls)
	if p.state.Beside {
		beside := slices.DeleteFunc(slices.Clone(controls), func(name string) bool {
			section, _, _ := strings.Cut(name, ".")
			return !grouped[section]
		})
		if len(beside) >= unforeseen {
			controls = beside
		}
	}
	slices.SortFunc(controls, func(a, b string) int { return strings.Compare(p.lot(a), p.lot(b)) })
	chosen := map[string]bool{}
	for _, name := range controls[:min(len(controls), max(1, inHand-fixed))] {
		chosen[name] = true
	}
	for _, name := range all { // one that has been asked stays asked
		if _, given := p.standing.of(name); given {
			chosen[name] = true
		}
	}
	return chosen
}

// lot draws a step's place by chance, the same for the same seed on every machine.
func (p *planning) lot(step string) string {
	sum := sha256.Sum256(binary.BigEndian.AppendUint64([]byte(step), p.state.Seed))
	return string(sum[:])
}
