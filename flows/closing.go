package flows

import (
	"fmt"
	"strings"
)

// closingSection asks, after the last check, for what the record needs to say where a finding is. No rule
// reads these answers, but a watch whose place nobody could name is no watch.
const (
	closingSection = "close"
	placePrefix    = closingSection + ".place-"
	goneStep       = closingSection + ".gone"
	reasonStep     = closingSection + ".why"
)

// PhotoStep asks for a photo of an item that goes out of use.
const PhotoStep = closingSection + ".photo"

func isClosing(step string) bool {
	return step == PhotoStep || strings.HasPrefix(step, placePrefix) || step == reasonStep || step == goneStep
}

func takeClosing(s State, a Answer) (State, Again, error) {
	a.Text = strings.TrimSpace(a.Text)
	switch {
	case a.Unknown || a.Reopen:
	case a.Text == "":
		return s, "", Refusal{Why: Nothing, Step: a.Step}
	case strings.HasPrefix(a.Step, placePrefix) && !strings.ContainsAny(a.Text, "0123456789"):
		return s, "", Refusal{Why: NeedsNumber, Step: a.Step, Got: a.Text}
	}
	return s.with(a), "", nil
}

// PlaceStep is the closing step that asks where a watched finding is.
func PlaceStep(rule string) string { return placePrefix + strings.ReplaceAll(rule, ".", "-") }

// Placed names the finding whose place a closing step asks for; false: it asks for none.
func Placed(step string) (finding string, is bool) {
	id, is := strings.CutPrefix(step, placePrefix)
	return strings.NewReplacer("-", " ", "_", " ").Replace(id), is
}

// Place is where a watched finding was said to be, with its number.
func (s State) Place(rule string) string {
	a, _ := s.Given(PlaceStep(rule))
	return a.Text
}

// askClosing asks why something couldn't be told, for the place of each watched finding, and for a photo of
// an item that goes out of use.
func (p *planning) askClosing(o Outcome) {
	if unsaid := p.withoutReason(); len(unsaid) > 0 {
		p.ask(Question{
			Section: closingSection, Title: titleClosing, Steps: []string{reasonStep}, Kind: KindNote, Required: true,
			Ask: askReason + strings.Join(unsaid, ", ") + "?",
		})
	}
	if gone := p.goneUnsaid(); len(gone) > 0 {
		p.ask(Question{
			Section: closingSection, Title: titleClosing, Steps: []string{goneStep}, Kind: KindNote, Required: true,
			Ask: fmt.Sprintf(askGone, strings.Join(gone, "; ")),
		})
	}
	for _, r := range p.watched(o) {
		p.ask(Question{
			Section: closingSection, Title: titleClosing, Steps: []string{PlaceStep(r.ID)}, Kind: KindNote, Required: true,
			Ask: p.label(r.ID) + askPlace,
		})
	}
	if o.Worst().Holds() {
		p.ask(Question{
			Section: closingSection, Title: titleClosing, Steps: []string{PhotoStep}, Kind: KindPhoto,
			Ask: askPhoto,
		})
	}
}

// goneUnsaid names what held the item before and is said to be gone, where nobody said how.
func (p *planning) goneUnsaid() []string {
	var gone []string
	for _, past := range p.state.Past {
		if a, _ := p.standing.of(pastSection + "." + past.ID); a.Clear && a.Reason == "" && past.Verdict.Holds() {
			gone = append(gone, strings.TrimRight(past.Text, "."))
		}
	}
	return gone
}

// withoutReason names what couldn't be told and nobody said why.
func (p *planning) withoutReason() []string {
	var unsaid []string
	for _, step := range p.steps {
		if a, _ := p.standing.of(step.Name); a.Unknown && a.Reason == "" && len(a.Readings) == 0 {
			unsaid = append(unsaid, step.called())
		}
	}
	return unsaid
}

// called is a step in a few words, for speaking of it later.
func (s Step) called() string {
	return strings.ReplaceAll(s.ID(), "_", " ") + " (" + strings.ToLower(s.Section.Title) + ")"
}

// watched are the rules that watch something seen or felt; a reading carries its number already.
func (p *planning) watched(o Outcome) []Rule {
	var watched []Rule
	for _, r := range o.Rules {
		if r.Verdict == Watch && p.label(r.ID) != "" {
			watched = append(watched, r)
		}
	}
	return watched
}

// label is what a person chose when this rule is a finding's; empty for other rules, and for what was watched
// before: its place is known.
func (p *planning) label(rule string) string {
	check, finding, _ := strings.Cut(rule, ".")
	for _, step := range p.steps {
		if step.Check != nil && step.Check.ID == check && step.Section.ID != pastSection {
			f, _ := step.Check.Finding(finding)
			return f.Label
		}
	}
	return ""
}

// Watches lists what the next inspection has to answer of this one: each watched finding with its place, and
// how many inspections running have watched it.
func Watches(f *Flow, s State) []Past {
	before := map[string]int{}
	for _, p := range s.Past {
		before[p.ID] = p.Times
	}
	p := planning{judging: judgeAll(f, s)}
	var past []Past
	seen := map[string]bool{}
	for _, r := range p.outcome().Rules {
		if r.Verdict != Watch {
			continue
		}
		check, finding, _ := strings.Cut(r.ID, ".")
		id, text := pastID(r.ID), p.label(r.ID)
		if finding == "same" && before[check] > 0 {
			id, text = check, pastText(s.Past, check)
		}
		if text == "" || seen[id] {
			continue
		}
		seen[id] = true
		if place := s.Place(r.ID); place != "" {
			text += ": " + place
		}
		past = append(past, Past{ID: id, Text: text, Verdict: Watch, Times: before[id] + 1})
	}
	return past
}

// WatchedReadings are the readings that an inspection watches, each with how many inspections running have watched it.
func WatchedReadings(f *Flow, s State) map[string]int {
	j := judgeAll(f, s)
	watched := map[string]int{}
	for _, step := range j.steps {
		if step.Reading != nil && j.watches(step.Reading) {
			watched[step.ID()] = s.Watched[step.ID()] + 1
		}
	}
	return watched
}

func pastText(past []Past, id string) string {
	for _, p := range past {
		if p.ID == id {
			return p.Text
		}
	}
	return ""
}

// LabelOf is the finding that a rule stands for, in the words in which it was chosen; empty for other rules.
func LabelOf(f *Flow, s State, rule string) string {
	check, finding, _ := strings.Cut(rule, ".")
	for _, step := range f.facing(s.Past).Steps() {
		switch {
		case step.ID() == check && finding == "unknown":
			return step.called()
		case step.Check != nil && step.Check.ID == check:
			found, _ := step.Check.Finding(finding)
			return found.Label
		}
	}
	return ""
}

// IsReason tells whether a step asks why something couldn't be told.
func IsReason(step string) bool { return step == reasonStep || step == goneStep }

// IsPlace tells whether a step asks where a watched finding is.
func IsPlace(step string) bool { return strings.HasPrefix(step, placePrefix) }
