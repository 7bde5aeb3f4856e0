package flows

import (
	"strings"
	"testing"
)

// A check that the proof takes for required and that the judge does without is reported: fit must lead through
// every required check.
func TestProofSeesARequiredCheckThatIsNotNeeded(t *testing.T) {
	f := loaded(t, example)
	f.Sections[0].Checks[0].Required = false
	r := &reporter{}
	p := proof{reporter: r, flow: f, at: places{}, steps: loaded(t, example).Steps()}
	p.onlyThroughAll()
	if len(r.problems) != 1 || !strings.Contains(r.problems[0].What, `fit without "look.cam"`) {
		t.Errorf("%v", r.problems)
	}
	r.problems = nil
	p.flow = loaded(t, example)
	if p.onlyThroughAll(); len(r.problems) > 0 {
		t.Errorf("a sound flow: %v", r.problems)
	}
}

// A flow with many facts is proved for each choice: this one breaks for the last.
func TestProofTriesEveryChoice(t *testing.T) {
	text := strings.Replace(withAsks, "sections:", "facts:\n  lid: {ask: A lid?, choices: {a: a, b: b, c: c}}\nsections:", 1)
	text = strings.Replace(text, "together:", `  - reading: lid_gap
    when: lid is c
    ask: Gap of the lid.
    unit: mm
    harm: up
    new: 0
    limits:
    - {at: 0.01, watch: Open.}
together:`, 1)
	f, problems := Load("lid.yaml", []byte(text))
	if f != nil || len(problems) != 1 || !strings.Contains(problems[0].What, "nothing can come out fit") {
		t.Errorf("%v", problems)
	}
}
