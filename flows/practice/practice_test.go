package practice

import (
	"testing"

	"becket/flows"
)

func exercisesForTest(t *testing.T) []Exercise {
	t.Helper()
	all, err := All()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestExercisesAreOfTheirFamilies: each is at a check that its family has, and what is planted there is a finding that
// nobody may pass over.
func TestExercisesAreOfTheirFamilies(t *testing.T) {
	library, err := flows.Library()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	planted := 0
	for _, e := range exercisesForTest(t) {
		if seen[e.ID] || e.ID == "" || e.Shows == "" || e.Tells == "" {
			t.Errorf("%+v: twice, or something of it is missing", e)
		}
		seen[e.ID] = true
		if e.Planted() {
			planted++
		}
		found := false
		for _, f := range library {
			if f.ID != e.Flow {
				continue
			}
			step, is := f.Step(e.Check)
			if found = is && step.Check != nil; !found {
				continue
			}
			if finding, known := step.Check.Finding(e.Is); e.Planted() && (!known || finding.Verdict <= flows.Fit) {
				t.Errorf("%s: %s is no fault at %s", e.ID, e.Is, e.Check)
			}
		}
		if !found {
			t.Errorf("%s: %s has no check %s", e.ID, e.Flow, e.Check)
		}
	}
	if planted*2 != len(seen) || planted < 10 {
		t.Errorf("%d of %d have a fault", planted, len(seen))
	}
}

// TestRoundIsHalfBad: whatever the chance, half of a round has a fault, nothing is in it twice, and its order doesn't
// tell (attention 17).
func TestRoundIsHalfBad(t *testing.T) {
	all := exercisesForTest(t)
	firsts := 0
	for seed := range uint64(400) {
		round, ids, planted := Round(all, seed, 12), map[string]bool{}, 0
		for _, e := range round {
			ids[e.ID] = true
			if e.Planted() {
				planted++
			}
		}
		if len(round) != 12 || len(ids) != 12 || planted != 6 {
			t.Fatalf("seed %d: %d exercises, %d different, %d with a fault", seed, len(round), len(ids), planted)
		}
		if round[0].Planted() {
			firsts++
		}
	}
	if firsts < 150 || firsts > 250 { // five standard deviations round half
		t.Errorf("the first has a fault in %d of 400 rounds", firsts)
	}
	if got := Round(all[:3], 1, 12); len(got) > 3 {
		t.Errorf("%d of 3", len(got))
	}
}
