package flows

import (
	"fmt"
	"slices"
	"strings"

	"becket/flows/due"
)

// Item is what the register knows of one piece of kit when it is examined.
type Item struct {
	Mark           string   `json:"mark,omitempty"`
	Serial         string   `json:"serial,omitempty"`
	Batch          string   `json:"batch,omitempty"`
	Made           due.Date `json:"made,omitzero"`
	FirstUse       due.Date `json:"first_use,omitzero"`
	Use            Use      `json:"use,omitempty"`
	IntervalMonths int      `json:"interval_months,omitempty"` // 0: the default for its use
	LifeMadeYears  int      `json:"life_made_years,omitempty"` // 0: no such limit
	LifeUseYears   int      `json:"life_use_years,omitempty"`
	Printed        due.Date `json:"printed,omitzero"`   // the end of its life as the maker printed it there
	OwnLimit       due.Date `json:"own_limit,omitzero"` // the end of its life by the team's own rule
}

// Use is what hangs on the item.
type Use string

// Goods never goes back to people.
const (
	People Use = "people"
	Goods  Use = "goods"
)

// Months is the item's interval in months: its own, else 6 for people and 12 for goods (LOLER 1998 reg 9(3)).
func (i Item) Months() int {
	switch {
	case i.IntervalMonths > 0:
		return i.IntervalMonths
	case i.Use == Goods:
		return 12
	}
	return 6
}

// Life is the item's life as its dates and limits give it.
func (i Item) Life() due.Life {
	return due.Life{Made: i.Made, FirstUse: i.FirstUse, MadeYears: i.LifeMadeYears, UseYears: i.LifeUseYears, Printed: i.Printed, Own: i.OwnLimit}
}

// Start is all that an inspection knows before its first answer. It is kept whole in the inspection's first
// entry, so that a later edit of a sheet or an instrument changes nothing that was judged.
type Start struct {
	Item  Item              `json:"item"`
	Day   due.Date          `json:"day"`             // the day of the examination
	Facts map[string]string `json:"facts,omitempty"` // FACT: CHOICE
	Sheet map[string]Number `json:"sheet,omitempty"` // FIGURE: value; figures typed by one person only are not here
	// Unconfirmed names the sheet whose figures only one person has typed. Empty: none is waiting.
	Unconfirmed string              `json:"unconfirmed,omitempty"`
	Doubt       Number              `json:"doubt,omitzero"` // the instrument's, in the reading's unit
	Last        map[string][]Number `json:"last,omitempty"` // READING: what the last signed inspection read
	Past        []Past              `json:"past,omitempty"` // what must be answered one by one
	// Measure names readings that are taken whatever opens them otherwise: what was measured before is measured again.
	Measure  []string `json:"measure,omitempty"`
	OneByOne bool     `json:"one_by_one,omitempty"` // no groups: for somebody who may not sign
	Seed     uint64   `json:"seed,omitempty"`
	// Beside draws the control questions from those that stand beside other checks of their section, where there are
	// enough that nobody can foresee which: they are answered with them.
	Beside bool `json:"beside,omitempty"`
	// Watched are the readings that were watched last time, with how many inspections running have watched them.
	Watched map[string]int `json:"watched,omitempty"` // READING: times
}

// Past is a finding of an earlier inspection, or the reason of a hold, that this one has to answer.
type Past struct {
	ID      string  `json:"id"`
	Text    string  `json:"text"`
	Verdict Verdict `json:"verdict"`
	Times   int     `json:"times,omitempty"` // how many inspections in a row have watched it
}

// Answer is one answer to one step. Exactly one of Clear, Findings, Readings, Text, Unknown and Reopen holds.
type Answer struct {
	Step     string   `json:"step"`
	Clear    bool     `json:"clear,omitempty"`
	Findings []string `json:"findings,omitempty"`
	Readings []Number `json:"readings,omitempty"`
	Text     string   `json:"text,omitempty"`
	Unknown  bool     `json:"unknown,omitempty"`
	// Reopen takes the step's answer back so that it is asked again. What it found that holds stays found.
	Reopen bool   `json:"reopen,omitempty"`
	Reason string `json:"reason,omitempty"`
	By     string `json:"by,omitempty"`
}

// State is an inspection so far: what it started from, and every answer in order. It is a value: Advance
// returns a new one and leaves the old as it was.
type State struct {
	Start
	answers []Answer
	// again counts how often a step's readings or text were set aside to be taken once more.
	again []string
}

// Start opens an inspection.
func (f *Flow) Start(s Start) State { return State{Start: s} }

// Answers lists all answers so far, taken back ones included, in order.
func (s State) Answers() []Answer { return slices.Clone(s.answers) }

// Recorded takes an answer as the record holds it: taken, or set aside. Unlike Advance it doesn't check again.
func (s State) Recorded(a Answer, aside Again) State {
	if aside != "" {
		return s.askedAgain(a.Step)
	}
	return s.with(a)
}

// Answered tells whether a step has an answer that stands.
func (s State) Answered(step string) bool {
	for n := len(s.answers) - 1; n >= 0; n-- {
		if s.answers[n].Step == step {
			return !s.answers[n].Reopen
		}
	}
	return false
}

// Given is a step's standing answer.
func (s State) Given(step string) (Answer, bool) {
	a, given := s.standing().of(step)
	return a, given
}

func (s State) with(a Answer) State {
	s.answers = append(slices.Clip(s.answers), a)
	return s
}

// upTo is the state before its nth answer, counted from 0.
func (s State) upTo(n int) State {
	s.answers = s.answers[:n:n]
	return s
}

func (s State) askedAgain(step string) State {
	s.again = append(slices.Clip(s.again), step)
	return s
}

// standing is the last answer of each step; a step taken back has none.
type standing struct {
	answers []Answer
	last    map[string]int // STEP: its place among the answers
}

func (s State) standing() standing {
	st := standing{answers: s.answers, last: make(map[string]int, len(s.answers))}
	for n := range s.answers {
		if a := &s.answers[n]; a.Reopen {
			delete(st.last, a.Step)
		} else {
			st.last[a.Step] = n
		}
	}
	return st
}

// of is a step's standing answer.
func (st standing) of(step string) (Answer, bool) {
	n, given := st.last[step]
	if !given {
		return Answer{}, false
	}
	return st.answers[n], true
}

// facts are those of the start and those answered on the way. What couldn't be told is no longer known.
func (s State) facts(standing standing) map[string]string {
	facts := make(map[string]string, len(s.Facts))
	for id, choice := range s.Facts {
		facts[id] = choice
	}
	for step, n := range standing.last {
		id, ok := strings.CutPrefix(step, factSection+".")
		if !ok {
			continue
		}
		switch a := standing.answers[n]; {
		case a.Unknown:
			delete(facts, id)
		case len(a.Findings) == 1:
			facts[id] = a.Findings[0]
		}
	}
	return facts
}

// factSection is the section name under which facts are asked that neither the sheet nor the register knows.
const factSection = "facts"

// pastSection holds the questions about what was found before.
const pastSection = "since"

// The findings of a question about what was found before: it is there and no worse, or worse.
const (
	PastSame  = "same"
	PastWorse = "worse"
)

// IsPast tells whether a step asks about what was found before.
func IsPast(step string) bool { return strings.HasPrefix(step, pastSection+".") }

// facing is the flow with a section that asks about each past finding, put before the first section that
// isn't identity or papers.
func (f *Flow) facing(past []Past) *Flow {
	if len(past) == 0 {
		return f
	}
	since := Section{ID: pastSection, Title: titleSince}
	for _, p := range past {
		since.Checks = append(since.Checks, p.check())
	}
	g := *f
	at := 0
	for at < len(f.Sections) && (f.Sections[at].ID == "identity" || f.Sections[at].ID == "papers") {
		at++
	}
	g.Sections = slices.Insert(slices.Clone(f.Sections), at, since)
	g.steps = g.listSteps()
	return &g
}

func (p Past) check() Check {
	same := Finding{ID: PastSame, Label: labelSame, Verdict: p.Verdict, Because: becauseStillThere, Basis: commonPractice}
	if p.Verdict.Holds() {
		same.Verdict = Quarantine
	}
	if p.Verdict == Watch && p.Times >= 2 {
		same.Verdict = Quarantine
		same.Because = becauseThreeTimes
	}
	return Check{
		ID: p.ID, Part: p.Text, Required: true,
		Ask:   fmt.Sprintf(askSince, p.Text),
		Clear: clearGone,
		Findings: []Finding{
			same,
			{ID: PastWorse, Label: labelWorse, Verdict: Quarantine, Because: becauseGrown, Basis: commonPractice},
			{ID: "gone-unknown", Label: labelGone, Verdict: Quarantine, Because: becauseGone, Basis: commonPractice},
		},
	}
}

// pastID is the id under which a later inspection asks about what this rule found.
func pastID(rule string) string { return strings.ReplaceAll(rule, ".", "-") }

// opens tells whether a step is asked in this inspection.
func (s State) opens(step Step, facts map[string]string, found map[string]bool) bool {
	return step.when().open(facts, found) || step.Reading != nil && slices.Contains(s.Measure, step.ID())
}

// open tells whether a step is asked, given the facts and what has been found.
func (w When) open(facts map[string]string, found map[string]bool) bool {
	if len(w.Found) == 0 && len(w.Facts) == 0 {
		return true
	}
	for _, id := range w.Found {
		if found[id] {
			return true
		}
	}
	for _, want := range w.Facts {
		fact, choice, _ := strings.Cut(want, ".")
		if is, known := facts[fact]; !known || is == choice {
			return true
		}
	}
	return false
}

func (s Step) when() When {
	switch {
	case s.Check != nil:
		return s.Check.When
	case s.Reading != nil:
		return s.Reading.When
	}
	return s.Value.When
}

func (s Step) required() bool {
	switch {
	case s.Check != nil:
		return s.Check.Required
	case s.Reading != nil:
		return s.Reading.Required
	}
	return s.Value.Required
}

// ID is the step's own id, without its section.
func (s Step) ID() string {
	_, id, _ := strings.Cut(s.Name, ".")
	return id
}
