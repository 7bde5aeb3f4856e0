package flows

import (
	"encoding/json"
	"strings"
	"testing"
)

// everyChoice lists the facts of a flow in all ways they can be answered, each fact varied on its own.
func everyChoice(f *Flow) []map[string]string {
	first := map[string]string{}
	for _, fact := range f.Facts {
		first[fact.ID] = fact.Choices[0].ID
	}
	ways := []map[string]string{first}
	for _, fact := range f.Facts {
		for _, c := range fact.Choices[1:] {
			way := map[string]string{}
			for id, choice := range first {
				way[id] = choice
			}
			way[fact.ID] = c.ID
			ways = append(ways, way)
		}
	}
	return ways
}

// The document that comes out fit does so read again from its own JSON, and for every choice of the facts.
func TestClearComesOutFit(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		for _, facts := range everyChoice(f) {
			d, err := f.ClearWith(facts)
			if err != nil {
				t.Fatalf("%v: %v", facts, err)
			}
			text, err := json.Marshal(d)
			if err != nil {
				t.Fatal(err)
			}
			read, err := ParseDocument(text)
			if err != nil {
				t.Fatalf("%s: %v", text, err)
			}
			o, err := f.Examine(read, anExamDay())
			if err != nil || o.Verdict != Fit || len(o.Rules)+len(o.Missing)+len(o.Ignored)+len(o.NotDone) > 0 {
				t.Errorf("%v: %+v (%v)", facts, o, err)
			}
			if disorder := f.SheetDisorder(read.Sheet); disorder != "" {
				t.Errorf("%v: %s", facts, disorder)
			}
		}
	})
}

// A clear document answers nothing that the facts close.
func TestClearLeavesOutWhatIsClosed(t *testing.T) {
	f := loaded(t, hookFlow)
	d, err := f.ClearWith(map[string]string{"catch": "no"})
	if err != nil {
		t.Fatal(err)
	}
	if _, there := d.Answers["look.spring"]; there {
		t.Error("it answers for a catch that isn't there")
	}
	if _, there := clearOf(t, f).Answers["look.spring"]; !there {
		t.Error("it doesn't answer for the catch that is there")
	}
}

// A step that only a finding opens has no place in something clear.
func TestClearAnswersNoOpenedStep(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		d := clearOf(t, f)
		for _, step := range f.Steps() {
			if when := step.when(); len(when.Found) > 0 && len(when.Facts) == 0 {
				if _, there := d.Answers[step.Name]; there {
					t.Errorf("it answers %s, which is asked %s", step.Name, strings.TrimSpace(when.Text))
				}
			}
		}
	})
}
