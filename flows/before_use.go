package flows

import (
	"fmt"
	"slices"
)

// mostBeforeUse is how many checks somebody goes through with the item in the hand and a rope waiting. Common practice,
// no source.
const mostBeforeUse = 6

func atBeforeUse(check string) string { return "before use " + check }

// ChecksBeforeUse are the steps, each a check, to make before each use of an item with these facts, in the order of the flow's list.
// A fact that isn't known closes none of them.
func (f *Flow) ChecksBeforeUse(facts map[string]string) []Step {
	var checks []Step
	for _, id := range f.BeforeUse {
		for _, s := range f.Steps() {
			if s.Check != nil && s.Check.ID == id && s.Check.When.open(facts, nil) {
				checks = append(checks, s)
			}
		}
	}
	return checks
}

// beforeUse reports what can't stand in the list for before use: it is short, it needs no rope, and what kills is in it.
func (p *proof) beforeUse() {
	listed := map[string]bool{}
	for _, id := range p.flow.BeforeUse {
		at := p.at[atBeforeUse(id)]
		if listed[id] {
			p.report(at, fmt.Sprintf("the check %q stands twice before use", id), "keep one of the two")
		}
		listed[id] = true
		n := slices.IndexFunc(p.steps, func(s Step) bool { return s.Check != nil && s.Check.ID == id })
		switch {
		case n < 0:
			p.report(at, fmt.Sprintf("there is no check %q", clipped(id)), instead(id, p.checkIDs()))
		case p.steps[n].Section.OnRope:
			p.report(at, fmt.Sprintf("the check %q loads a rope, and nobody does that before each use", id), "name one that is made in the hand")
		case len(p.steps[n].Check.When.Found) > 0:
			p.report(at, fmt.Sprintf("the check %q is asked only after a finding", id), "name one that is asked always, or by a fact")
		}
	}
	if len(listed) > mostBeforeUse {
		p.report(p.at[atBeforeUse(p.flow.BeforeUse[0])], fmt.Sprintf("there are %d checks before use", len(listed)), fmt.Sprintf("keep the %d that show soonest what kills", mostBeforeUse))
	}
	p.killsBeforeUse(listed)
}

// killsBeforeUse wants one of the checks that kill in the list, where there is one that needs no rope.
func (p *proof) killsBeforeUse(listed map[string]bool) {
	if len(listed) == 0 {
		return
	}
	var first string
	for _, s := range p.steps {
		if s.Check == nil || !s.Check.Critical || s.Section.OnRope {
			continue
		}
		if listed[s.Check.ID] {
			return
		}
		if first == "" {
			first = s.Check.ID
		}
	}
	if first != "" {
		p.report(p.at[atBeforeUse(p.flow.BeforeUse[0])], "no critical check is among those before use", fmt.Sprintf("add one, such as %q", first))
	}
}

func (p *proof) checkIDs() []string {
	var ids []string
	for _, s := range p.steps {
		if s.Check != nil {
			ids = append(ids, s.Check.ID)
		}
	}
	return ids
}
