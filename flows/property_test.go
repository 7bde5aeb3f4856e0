package flows

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func libraryFlows(t testing.TB) []*Flow {
	t.Helper()
	list, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func clearOf(t testing.TB, f *Flow) Document {
	t.Helper()
	d, err := f.Clear()
	if err != nil {
		t.Fatalf("%s: %v", f.ID, err)
	}
	return d
}

// eachFlow runs a test over the library and the small flow, which has what few families have.
func eachFlow(t *testing.T, test func(*testing.T, *Flow)) {
	t.Helper()
	for _, f := range append(libraryFlows(t), loaded(t, hookFlow)) {
		t.Run(f.ID, func(t *testing.T) { test(t, f) })
	}
}

// anyFlow runs a test over flows drawn from the same, for tests that walk through whole inspections: their time
// doesn't grow with the library. -rapid.checks=2000 walks longer.
func anyFlow(t *testing.T, test func(*rapid.T, *Flow)) {
	t.Helper()
	list := append(libraryFlows(t), loaded(t, hookFlow))
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(list).Draw(t, "flow")
		test(t, f)
	})
}

// anyStart is the beginning of an inspection of something with a whole sheet, now and then with a fact unknown.
func anyStart(t *rapid.T, f *Flow) Start {
	d, err := f.Clear()
	if err != nil {
		t.Fatal(err)
	}
	s := Start{Item: d.Item.Item, Day: anExamDay(), Facts: map[string]string{}, Sheet: d.Sheet, Doubt: d.Instrument.Doubt, Seed: rapid.Uint64().Draw(t, "seed")}
	for _, fact := range f.Facts {
		choices := []string{""}
		for _, c := range fact.Choices {
			choices = append(choices, c.ID, c.ID)
		}
		if choice := rapid.SampledFrom(choices).Draw(t, fact.ID); choice != "" {
			s.Facts[fact.ID] = choice
		}
	}
	return s
}

// clearAnswer answers a step as for something new.
func clearAnswer(f *Flow, s Start, step Step) Answer {
	a, err := step.given(clearing{flow: f, sheet: s.Sheet, facts: s.Facts}.answer(step, s.Item.Serial))
	if err != nil {
		panic(err)
	}
	return a
}

// anyAnswer answers a step in any way that its form allows.
func anyAnswer(t *rapid.T, f *Flow, s Start, step Step) Answer {
	a := Answer{Step: step.Name}
	switch kind := rapid.IntRange(0, 9).Draw(t, "kind "+step.Name); {
	case kind == 0:
		a.Unknown = true
	case kind < 4:
		return clearAnswer(f, s, step)
	case step.Check != nil:
		a.Findings = someFindings(t, step.Check)
		a.Clear = len(a.Findings) == 0
	case step.Reading != nil:
		a.Readings = someReadings(t, f, s, step.Reading)
	default:
		a.Text = rapid.SampledFrom([]string{"4", "12", "26-0417", "9-9", "R-12"}).Draw(t, step.Name)
	}
	return a
}

func someFindings(t *rapid.T, c *Check) []string {
	var ids []string
	for _, f := range c.Findings {
		if rapid.IntRange(0, 3).Draw(t, c.ID+"."+f.ID) == 0 {
			ids = append(ids, f.ID)
		}
	}
	return ids
}

// someReadings lie between new and well beyond the far end of what can be meant.
func someReadings(t *rapid.T, f *Flow, s Start, r *Reading) []Number {
	asNew := clearing{flow: f, sheet: s.Sheet}.asNew(r)
	low, high := r.bounds()
	hundredth := high.Sub(low).Percent(MustNumber("1"))
	values := make([]Number, r.Repeat)
	for i := range values {
		values[i] = r.moved(asNew, hundredth.Times(rapid.IntRange(-1, 60).Draw(t, fmt.Sprint(r.ID, i))))
	}
	return values
}

// anyAnswers answers every step, most of them clear: what is wrong with one item is seldom more than four things.
func anyAnswers(t *rapid.T, f *Flow, s Start) map[string]Answer {
	steps := f.Steps()
	answers := map[string]Answer{}
	for _, step := range steps {
		answers[step.Name] = clearAnswer(f, s, step)
	}
	for n := range rapid.IntRange(0, 4).Draw(t, "wrong") {
		step := steps[rapid.IntRange(0, len(steps)-1).Draw(t, fmt.Sprint("step", n))]
		answers[step.Name] = anyAnswer(t, f, s, step)
	}
	return answers
}

// stateOf has these answers in the flow's order.
func stateOf(f *Flow, s Start, answers map[string]Answer) State {
	state := f.Start(s)
	for _, step := range f.Steps() {
		if a, given := answers[step.Name]; given {
			state = state.with(a)
		}
	}
	return state
}

// worsen makes one answer worse, and says how; empty where this one can't be.
func worsen(t *rapid.T, f *Flow, s Start, answers map[string]Answer) (how string) {
	steps := f.Steps()
	step := steps[rapid.IntRange(0, len(steps)-1).Draw(t, "worsened")]
	a := answers[step.Name]
	switch {
	case a.Unknown:
		return ""
	case step.Reading != nil && rapid.Bool().Draw(t, "worse"):
		low, high := step.Reading.bounds()
		by := high.Sub(low).Percent(MustNumber("1")).Times(rapid.IntRange(1, 80).Draw(t, "by"))
		a.Readings = slices.Clone(a.Readings)
		i := rapid.IntRange(0, len(a.Readings)-1).Draw(t, "repeat")
		a.Readings[i] = step.Reading.moved(step.Reading.worst(a.Readings), by)
		how = "a worse reading"
	case step.Check != nil && rapid.Bool().Draw(t, "finding"):
		found := step.Check.Findings[rapid.IntRange(0, len(step.Check.Findings)-1).Draw(t, "which")]
		a.Findings, a.Clear = append(slices.Clone(a.Findings), found.ID), false
		how = "finding " + found.ID
	case len(a.Findings) > 0 || step.Reading != nil || step.Value != nil && step.Value.differs(a.Text, State{Start: s}):
		return "" // an unknown in place of something found is no worsening
	default:
		a, how = Answer{Step: step.Name, Unknown: true}, "unknown"
	}
	answers[step.Name] = a
	return step.Name + ": " + how
}

// Design rule 2: more or worse findings never give a milder verdict. Incomplete stands outside the order, but
// what the rules found all the same does not.
func TestNothingSoftens(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		pairs, below, complete := 0, 0, 0
		rapid.Check(t, func(t *rapid.T) {
			start := anyStart(t, f)
			answers := anyAnswers(t, f, start)
			before := Judge(f, stateOf(f, start, answers))
			how := worsen(t, f, start, answers)
			after := Judge(f, stateOf(f, start, answers))
			pairs++
			if before.Worst() < Retire {
				below++
			}
			if after.Worst() < before.Worst() {
				t.Fatalf("%s: the worst rule was %s and is %s", how, before.Worst(), after.Worst())
			}
			if before.Verdict == Incomplete || after.Verdict == Incomplete {
				return
			}
			complete++
			if after.Verdict < before.Verdict {
				t.Fatalf("%s: it was %s and is %s", how, before.Verdict, after.Verdict)
			}
			if before.Verdict.Usable() && after.Verdict.Usable() && before.NextDue.Before(*after.NextDue) {
				t.Fatalf("%s: it was due on %s and is due on %s", how, before.NextDue, after.NextDue)
			}
		})
		t.Logf("%d of %d pairs start below retire, %d are complete on both sides", below, pairs, complete)
		if below*2 < pairs || complete*2 < pairs {
			t.Errorf("only %d of %d pairs start below retire, %d complete: nothing is tried", below, pairs, complete)
		}
	})
}

// No way leads to fit or watch past a required step that is open and unanswered.
func TestNoFitWithoutEveryRequiredStep(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		usable := 0
		rapid.Check(t, func(t *rapid.T) {
			start := anyStart(t, f)
			answers := anyAnswers(t, f, start)
			// A few, however long the script: else a long one never comes out usable.
			for n := range rapid.IntRange(0, 3).Draw(t, "left out") {
				delete(answers, f.Steps()[rapid.IntRange(0, len(f.Steps())-1).Draw(t, fmt.Sprint("step left out", n))].Name)
			}
			state := stateOf(f, start, answers)
			o := Judge(f, state)
			if !o.Verdict.Usable() {
				return
			}
			usable++
			for _, step := range f.Steps() {
				if _, given := answers[step.Name]; !given && step.required() && isOpen(f, state, step) {
					t.Fatalf("%s without %s", o.Verdict, step.Name)
				}
			}
		})
		if usable == 0 {
			t.Error("none of them came out usable: nothing is tried")
		}
	})
}

// The same answers give the same bytes, whatever the order of maps.
func TestSameAnswersSameBytes(t *testing.T) {
	eachFlow(t, func(t *testing.T, f *Flow) {
		rapid.Check(t, func(t *rapid.T) {
			start := anyStart(t, f)
			answers := anyAnswers(t, f, start)
			first := mustJSON(t, Judge(f, stateOf(f, start, answers)))
			for range 5 {
				if again := mustJSON(t, Judge(f, stateOf(f, start, answers))); !bytes.Equal(first, again) {
					t.Fatalf("%s\nand then\n%s", first, again)
				}
			}
		})
	})
}

func mustJSON(t *rapid.T, v any) []byte {
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// walk is an inspection answered question by question, with what a person may do on the way.
type walk struct {
	t       *rapid.T
	flow    *Flow
	state   State
	taken   []Answer       // all that Advance took or set aside, in order
	asked   map[string]int // how often a step was asked since it last stood open for a reason
	refused int
}

// wilfully takes an answer, and checks what holds for every answer.
func (w *walk) wilfully(a Answer) {
	before := fmt.Sprintf("%+v", w.state)
	next, effect, err := Advance(w.flow, w.state, a)
	if after := fmt.Sprintf("%+v", w.state); after != before {
		w.t.Fatalf("%+v changed the state it was given:\n%s\n%s", a, before, after)
	}
	if err != nil {
		if after := fmt.Sprintf("%+v", next); after != before {
			w.t.Fatalf("refused (%v), and the state changed:\n%s\n%s", err, before, after)
		}
		delete(w.asked, a.Step)
		w.refused++
		return
	}
	if effect.Again != "" {
		delete(w.asked, a.Step)
		if next.Answered(a.Step) != w.state.Answered(a.Step) {
			w.t.Fatalf("%+v was set aside and counts", a)
		}
	}
	w.taken = append(w.taken, a)
	w.state = next
}

func (w *walk) answer(q Question) {
	for _, name := range q.Steps {
		if !w.state.Answered(name) {
			w.asked[name]++
			if w.asked[name] > 1 {
				w.t.Fatalf("%s is asked again, though it was answered", name)
			}
		}
		w.wilfully(w.answerTo(q, name))
	}
}

func (w *walk) answerTo(q Question, name string) Answer {
	step, inFlow := w.flow.facing(w.state.Past).Step(name)
	switch {
	case inFlow && rapid.IntRange(0, 5).Draw(w.t, "as found "+name) == 0:
		return anyAnswer(w.t, w.flow, w.state.Start, step)
	case inFlow:
		return clearAnswer(w.flow, w.state.Start, step)
	case q.Section == factSection:
		if rapid.IntRange(0, 5).Draw(w.t, name) == 0 {
			return Answer{Step: name, Unknown: true}
		}
		return Answer{Step: name, Findings: []string{q.Options[rapid.IntRange(0, len(q.Options)-1).Draw(w.t, name)].ID}}
	}
	return Answer{Step: name, Text: "left side, 2 mm"}
}

// walked answers to the end, and now and then takes something back. Each round answers one question.
func walked(t *rapid.T, f *Flow) *walk {
	start := anyStart(t, f)
	start.OneByOne = rapid.Bool().Draw(t, "one by one")
	start.Past = anyPast(t, f)
	w := &walk{t: t, flow: f, state: f.Start(start), asked: map[string]int{}}
	backs := rapid.IntRange(0, 3).Draw(t, "taken back")
	// Every step is asked, set aside and asked again, and taken back once for each of backs; facts, places, a
	// reason and a photo come on top.
	bound := (len(f.Steps())+len(start.Past)+len(f.Facts))*4 + 20
	for n := 0; n < bound+w.refused; n++ {
		q, open := Next(f, w.state)
		if !open {
			return w
		}
		w.answer(q)
		if backs > 0 && len(w.taken) > 0 && rapid.IntRange(0, 9).Draw(t, "back") == 0 {
			backs--
			step := w.taken[rapid.IntRange(0, len(w.taken)-1).Draw(t, "which")].Step
			w.wilfully(Answer{Step: step, Reopen: true, Reason: "pressed the wrong key"})
			clear(w.asked) // others in its group, and what it opens, may be asked anew
		}
	}
	q, _ := Next(f, w.state)
	t.Fatalf("after %d questions it still asks %v", bound, q.Steps)
	return nil
}

func anyPast(t *rapid.T, f *Flow) []Past {
	var past []Past
	for n := range rapid.IntRange(0, 2).Draw(t, "past") {
		past = append(past, Past{ID: fmt.Sprintf("old-%d", n), Text: "a mark", Verdict: Watch, Times: rapid.IntRange(1, 3).Draw(t, "times")})
	}
	return past
}

// Answering what Next asks comes to an end, asks no step again without a reason, and leaves nothing missing.
func TestEveryInspectionEnds(t *testing.T) {
	usable, all := 0, 0
	anyFlow(t, func(t *rapid.T, f *Flow) {
		w := walked(t, f)
		o := Judge(f, w.state)
		if len(o.Missing) > 0 {
			t.Fatalf("nothing is asked any more, and missing are %v", o.Missing)
		}
		all++
		if o.Verdict.Usable() {
			usable++
		}
	})
	t.Logf("%d of %d came out usable", usable, all)
	if usable == 0 || usable == all {
		t.Errorf("%d of %d came out usable: only one half is tried", usable, all)
	}
}

// Design rule 8: folding the recorded answers again gives Advance's states, set aside ones included.
func TestFoldingAgainGivesTheSame(t *testing.T) {
	anyFlow(t, func(t *rapid.T, f *Flow) {
		w := walked(t, f)
		again, recorded := f.Start(w.state.Start), f.Start(w.state.Start)
		for _, a := range w.taken {
			next, aside, err := Retake(f, again, a)
			if err != nil {
				t.Fatalf("%+v was taken, and isn't taken again: %v", a, err)
			}
			given, stands := next.Given(a.Step)
			if aside != "" || !stands {
				given = a
			}
			again, recorded = next, recorded.Recorded(given, aside)
		}
		if !reflect.DeepEqual(again, w.state) {
			t.Fatalf("folded again:\n%+v\nand before:\n%+v", again, w.state)
		}
		if !reflect.DeepEqual(recorded, w.state) {
			t.Fatalf("as recorded:\n%+v\nand before:\n%+v", recorded, w.state)
		}
		if first, second := mustJSON(t, Judge(f, w.state)), mustJSON(t, Judge(f, again)); !bytes.Equal(first, second) {
			t.Fatalf("%s\nand folded again\n%s", first, second)
		}
	})
}

// Two different answers from one state don't get in each other's way.
func TestStatesAreApart(t *testing.T) {
	anyFlow(t, func(t *rapid.T, f *Flow) {
		w := walked(t, f)
		from := f.Start(w.state.Start)
		for _, a := range w.taken[:rapid.IntRange(0, len(w.taken)-1).Draw(t, "up to")] {
			from = answeredIfOpen(f, from, a)
		}
		q, open := Next(f, from)
		if !open {
			return
		}
		one, _, err := Advance(f, from, Answer{Step: q.Steps[0], Unknown: true, Reason: "sealed"})
		if err != nil {
			t.Fatal(err)
		}
		before := fmt.Sprintf("%+v", one)
		two := from
		for _, name := range q.Steps {
			two = answeredIfOpen(f, two, w.answerTo(q, name))
		}
		if after := fmt.Sprintf("%+v", one); after != before {
			t.Fatalf("another answer from the same state changed this one:\n%s\n%s", before, after)
		}
	})
}

// Safety 1: once a finding has held, nothing that follows makes the item usable, not even taking everything back
// and answering clear.
func TestSafety01_OnceHeldNeverUsable(t *testing.T) {
	held, all := 0, 0
	anyFlow(t, func(t *rapid.T, f *Flow) {
		w := walked(t, f)
		state, once := f.Start(w.state.Start), ""
		stillHeld := func(after string) {
			if o := Judge(f, state); once != "" && (o.Worst() < Quarantine || o.Verdict.Usable()) {
				t.Fatalf("%s held, and after %s it is %s", once, after, o.Verdict)
			}
		}
		for _, a := range w.taken {
			next, effect, err := Advance(f, state, a)
			if err != nil {
				t.Fatal(err)
			}
			if state = next; len(effect.Held) > 0 {
				once = effect.Held[0].ID
			}
			stillHeld(a.Step)
		}
		all++
		if once == "" {
			return
		}
		held++
		for _, step := range f.Steps() {
			state, _, _ = Retake(f, state, Answer{Step: step.Name, Reopen: true})
		}
		stillHeld("taking everything back")
		for _, step := range f.Steps() {
			state, _, _ = Retake(f, state, clearAnswer(f, state.Start, step)) // on rope it is refused: held
		}
		stillHeld("everything clear")
	})
	t.Logf("%d of %d were held on the way", held, all)
	if held*5 < all {
		t.Errorf("only %d of %d were held on the way: nothing is tried", held, all)
	}
}

func answeredIfOpen(f *Flow, s State, a Answer) State {
	next, _, _ := Advance(f, s, a)
	return next
}

// Every plan on the way counts its questions from 1, and names each step once.
func TestPlanIsInOrder(t *testing.T) {
	anyFlow(t, func(t *rapid.T, f *Flow) {
		w := walked(t, f)
		state := f.Start(w.state.Start)
		for n := 0; ; n++ {
			inOrder(t, Plan(f, state))
			if n == len(w.taken) {
				return
			}
			state = answeredIfOpen(f, state, w.taken[n])
		}
	})
}

func inOrder(t *rapid.T, plan []Question) {
	seen := map[string]bool{}
	for i, q := range plan {
		if q.Position != i+1 || q.Of != len(plan) || len(q.Steps) == 0 {
			t.Fatalf("question %d of %d calls itself %d of %d, with steps %v", i+1, len(plan), q.Position, q.Of, q.Steps)
		}
		for _, name := range q.Steps {
			if seen[name] {
				t.Fatalf("%s is in the plan twice", name)
			}
			seen[name] = true
		}
	}
}
