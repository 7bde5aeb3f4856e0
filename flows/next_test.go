package flows

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
)

// beginnings are the starts of inspections that a walk over questions has to see: all choices of the facts, one
// by one or in groups.
func beginnings(t testing.TB, f *Flow) []Start {
	t.Helper()
	var starts []Start
	for _, facts := range everyChoice(f) {
		for _, oneByOne := range []bool{false, true} {
			d := clearOf(t, f)
			starts = append(starts, Start{Item: d.Item.Item, Day: anExamDay(), Facts: facts, Sheet: d.Sheet, Doubt: d.Instrument.Doubt, OneByOne: oneByOne})
		}
	}
	return starts
}

// The check that kills is asked alone, first in its section, and has at least four states.
func TestAttention01_Critical(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		for _, start := range beginnings(t, f) {
			seen := map[string]bool{} // sections in which something else was asked
			for _, q := range Plan(f, f.Start(start)) {
				if q.Kind != KindCritical {
					seen[q.Section] = true
					continue
				}
				if len(q.Steps) != 1 || q.Clear == "" || len(q.Options) < 3 {
					t.Errorf("%v: %d steps, clear %q and %d findings", q.Steps, len(q.Steps), q.Clear, len(q.Options))
				}
				if seen[q.Section] {
					t.Errorf("%v isn't asked first in its section", q.Steps)
				}
			}
			for _, step := range f.Steps() {
				q, asked := At(Plan(f, f.Start(start)), step.Name)
				if asked && step.Check != nil && step.Check.Critical != (q.Kind == KindCritical) {
					t.Errorf("%s is asked as %s", step.Name, q.Kind)
				}
			}
		}
	})
}

// Other checks come in groups of one place, six at most; one by one for who may not sign.
func TestAttention02_Groups(t *testing.T) {
	grouped := 0
	eachFlow(t, func(t *testing.T, f *Flow) {
		for _, start := range beginnings(t, f) {
			for _, q := range Plan(f, f.Start(start)) {
				if len(q.Steps) > 1 {
					grouped++
				}
				if len(q.Steps) > 6 || start.OneByOne && len(q.Steps) > 1 || len(q.Steps) != max(1, len(q.Asks)) {
					t.Errorf("%v with %d texts, one by one %v", q.Steps, len(q.Asks), start.OneByOne)
				}
				for _, name := range q.Steps {
					step, inFlow := f.Step(name)
					if inFlow && (step.Section.ID != q.Section || len(q.Steps) > 1 && step.Check.Part != q.Part) {
						t.Errorf("%s is asked in the section %s, part %q", name, q.Section, q.Part)
					}
				}
			}
		}
	})
	if grouped == 0 {
		t.Error("nothing was asked in groups")
	}
}

func isInHand(q Question) bool {
	return q.Kind == KindReading || q.Kind == KindMatch || q.Kind == KindNote
}

// Values, not ticks: at least three answers in an inspection need the item in the hand, the same ones for the
// same seed and others for others; each section has one that could be picked.
func TestAttention03_InHand(t *testing.T) {
	for _, f := range libraryFlows(t) {
		t.Run(f.ID, func(t *testing.T) {
			for _, section := range f.Sections {
				if len(section.Values)+len(section.Readings) == 0 {
					t.Errorf("the section %s has nothing that needs the item in the hand", section.ID)
				}
			}
			for _, start := range beginnings(t, f) {
				picked := map[string]bool{}
				for seed := range uint64(40) {
					start.Seed = seed
					var now []string
					for _, q := range Plan(f, f.Start(start)) {
						if isInHand(q) {
							now = append(now, q.Steps...)
						}
					}
					if len(now) < 3 {
						t.Errorf("seed %d: only %v", seed, now)
					}
					picked[strings.Join(now, " ")] = true
					for range 2 {
						var again []string
						for _, q := range Plan(f, f.Start(start)) {
							if isInHand(q) {
								again = append(again, q.Steps...)
							}
						}
						if !slices.Equal(now, again) {
							t.Fatalf("seed %d picks %v, and then %v", seed, now, again)
						}
					}
				}
				if len(picked) < 2 {
					t.Errorf("forty seeds always pick the same: %v", slices.Collect(maps.Keys(picked)))
				}
			}
		})
	}
}

// Limits, new values and last readings are in no question, whatever the sheet has. The figures here are odd
// enough to stand in no text by chance.
func TestAttention04_NothingToCopy(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		for _, start := range beginnings(t, f) {
			var secrets []string
			sheet := map[string]Number{}
			for i, g := range f.Figures {
				sheet[g.ID] = MustNumber(fmt.Sprintf("7%d.83", 10+i))
				secrets = append(secrets, sheet[g.ID].String())
			}
			start.Sheet, start.Last = sheet, map[string][]Number{}
			for i, step := range f.Steps() {
				if step.Reading != nil {
					start.Last[step.Reading.ID] = numbers(fmt.Sprintf("6%d.97", 10+i), fmt.Sprintf("6%d.98", 10+i))
					secrets = append(secrets, start.Last[step.Reading.ID][0].String(), start.Last[step.Reading.ID][1].String())
				}
			}
			secrets = append(secrets, start.Item.Serial)
			for _, q := range Plan(f, f.Start(start)) {
				said := strings.Join(append([]string{q.Title, q.Ask, q.Part, q.Clear}, q.Asks...), "\n")
				for _, o := range q.Options {
					said += "\n" + o.Label
				}
				for _, secret := range secrets {
					if strings.Contains(said, secret) {
						t.Errorf("%v says %s", q.Steps, secret)
					}
				}
			}
		}
	})
}

// Fixed limits stand in the flow itself, so no reading's question may name one either.
func TestAttention04_FixedLimits(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		for _, step := range f.Steps() {
			if step.Reading == nil {
				continue
			}
			words := strings.FieldsFunc(step.Reading.Ask, func(r rune) bool { return !strings.ContainsRune("0123456789.", r) })
			for _, l := range step.Reading.Limits {
				for _, word := range words {
					if n, err := ParseNumber(strings.Trim(word, ".")); err == nil && l.At.Figure == "" && n.Equal(l.At.Value) {
						t.Errorf("%s asks %q and its limit is %s", step.Name, step.Reading.Ask, l.At.Value)
					}
				}
			}
		}
	})
}

// After a find, and after one that ends it, the rest of the bench is asked all the same; only the rope is spared.
func TestAttention08_RestOfTheBench(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		d := clearOf(t, f)
		start := Start{Item: d.Item.Item, Day: anExamDay(), Facts: d.Facts, Sheet: d.Sheet}
		all := map[string]bool{}
		for _, q := range Plan(f, f.Start(start)) {
			for _, name := range q.Steps {
				all[name] = true
			}
		}
		for _, step := range f.Steps() {
			if step.Check == nil || !all[step.Name] || step.Section.OnRope {
				continue
			}
			for _, found := range step.Check.Findings {
				s := answered(t, f, f.Start(start), Answer{Step: step.Name, Findings: []string{found.ID}})
				asked := map[string]bool{}
				for _, q := range Plan(f, s) {
					for _, name := range q.Steps {
						asked[name] = true
					}
				}
				for _, other := range f.Steps() {
					if all[other.Name] && !asked[other.Name] && other.required() && !(other.Section.OnRope && found.Verdict.Holds()) {
						t.Errorf("after %s.%s nobody asks %s any more", step.Name, found.ID, other.Name)
					}
				}
			}
		}
	})
}

// Can't tell needs a reason, and never leads to fit; with a reason it is asked for no second one.
func TestAttention10_CantTell(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		d := clearOf(t, f)
		for _, step := range f.Steps() {
			for _, reason := range []string{"", "the part is sealed"} {
				s := f.Start(Start{Item: d.Item.Item, Day: anExamDay(), Facts: d.Facts, Sheet: d.Sheet})
				if !isOpen(f, s, step) {
					continue
				}
				s = answered(t, f, s, Answer{Step: step.Name, Unknown: true, Reason: reason})
				if _, asked := At(Plan(f, s), reasonStep); asked != (reason == "") {
					t.Errorf("%s couldn't be told, for %q: why is asked %v", step.Name, reason, asked)
				}
				for _, other := range f.Steps() {
					if other.Name == step.Name || s.Answered(other.Name) {
						continue
					}
					s = answeredIfOpen(f, s, clearAnswer(f, s.Start, other))
				}
				if o := Judge(f, s); o.Verdict != Quarantine {
					t.Errorf("%s couldn't be told, and all else is clear: %s, missing %v", step.Name, o.Verdict, o.Missing)
				}
			}
		}
	})
}

// A group is asked as a whole until all of it is answered.
func TestNextAsksTheRestOfAGroup(t *testing.T) {
	const pair = `flow: pair
revision: 1
title: Pair
basis: shop rule
sections:
- section: look
  checks:
  - {check: left, part: sides, ask: Look at the left., find: {cut: {see: a cut, retire: It tears.}}}
  - {check: right, part: sides, ask: Look at the right., find: {cut: {see: a cut, retire: It tears.}}}
  - {check: back, part: back, ask: Look at the back., find: {cut: {see: a cut, retire: It tears.}}}
`
	f := loaded(t, pair)
	s := f.Start(Start{Day: anExamDay()})
	for _, c := range []struct {
		answer string
		next   []string
	}{
		{"look.left", []string{"look.left", "look.right"}},
		{"look.right", []string{"look.back"}},
		{"look.back", nil},
	} {
		s = answered(t, f, s, Answer{Step: c.answer, Clear: true})
		q, open := Next(f, s)
		if !slices.Equal(q.Steps, c.next) || open != (c.next != nil) {
			t.Errorf("after %s it asks %v, want %v", c.answer, q.Steps, c.next)
		}
	}
}

// What neither the sheet nor the register knows is asked first, and only that.
func TestUnknownFactsAreAsked(t *testing.T) {
	f, s := hookStart(t)
	if q, _ := Next(f, s); q.Section == factSection {
		t.Errorf("it is known, and asked: %v", q.Steps)
	}
	s.Facts = nil
	q, open := Next(f, s)
	if !open || !slices.Equal(q.Steps, []string{"facts.catch"}) || q.Kind != KindChoice || len(q.Options) != 2 {
		t.Errorf("it asks %+v", q)
	}
}

// What was found before is asked about one by one, after identity and papers and before the look.
func TestPastIsAskedAboutFirst(t *testing.T) {
	f, s := hookStart(t)
	s.Past = []Past{{ID: "bow-groove", Text: "a groove", Verdict: Watch, Times: 1}, {ID: "eye-rust", Text: "rust", Verdict: Watch, Times: 1}}
	var order []string
	for _, q := range Plan(f, s) {
		order = append(order, strings.Join(q.Steps, "+"))
	}
	want := []string{"identity.serial", "since.bow-groove", "since.eye-rust", "look.bow"}
	if !slices.Equal(order[:len(want)], want) {
		t.Errorf("it asks %v", order)
	}
}
