package bot

import (
	"slices"
	"strings"
	"testing"

	"becket/flows"
	"becket/flows/due"
)

// A line asks in the script's own words, in full and short, of every family: each check's sentence stands in it as the script has
// it, and in full each thing that can be found too. Nothing that kills and nothing that is measured stands in one.
func TestLineKeepsTheScriptsWords(t *testing.T) {
	asked := 0
	eachFlow(t, func(t *testing.T, f *flows.Flow, facts map[string]string) {
		clear, err := f.Clear()
		if err != nil {
			t.Fatal(err)
		}
		joined := func(q flows.Question) bool { return q.Kind == flows.KindChecks || q.Kind == flows.KindMatch }
		questions := slices.DeleteFunc(
			flows.Plan(f, f.Start(flows.Start{Item: clear.Item.Item, Day: due.Date{Year: 2026, Month: 11, Day: 14}, Facts: facts, Sheet: clear.Sheet, Seed: 1})),
			func(q flows.Question) bool { return !joined(q) },
		)
		full, short := lineWording("D-14", questions, true), lineWording("D-14", questions, false)
		for _, s := range f.Steps() {
			if !slices.ContainsFunc(questions, func(q flows.Question) bool { return slices.Contains(q.Steps, s.Name) }) || s.Check == nil {
				continue
			}
			asked++
			if s.Check.Critical {
				t.Errorf("%s kills and stands in a line", s.Name)
			}
			for _, said := range []string{full, short} {
				if !strings.Contains(said, s.Check.Ask) {
					t.Errorf("%s is asked otherwise than by %q", s.Name, s.Check.Ask)
				}
			}
			for _, finding := range s.Check.Findings {
				if !strings.Contains(full, finding.Label) {
					t.Errorf("%s: %q can't be found in full", s.Name, finding.Label)
				}
			}
		}
	})
	if asked < 700 {
		t.Errorf("only %d checks are asked in lines", asked)
	}
}
