package flows

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"becket/flows/due"
)

// hookFlow is small and has one of everything that Judge tells apart.
const hookFlow = `flow: hook
revision: 1
title: Hook
basis: shop rule
sheet: {gap_max: mm, neck_new: mm, neck_min: mm, rivet_count: count}
facts:
  catch: {ask: Has it a catch?, choices: {yes: with one, no: without}}
sections:
- section: identity
  asks:
  - {value: serial, ask: Read the number off it., match: serial, quarantine: It is another one.}
- section: look
  checks:
  - check: bow
    critical: yes
    ask: How is the bow at its worst spot?
    clear: smooth
    find:
      polish: {see: polished}
      groove: {see: a groove, watch: It wears.}
      bent:   {see: bent a little, quarantine: It was loaded sideways.}
      crack:  {see: a crack, retire: It carries all.}
  - check: eye
    ask: Look at the eye.
    find:
      rust: {see: rust, watch: Rust has begun.}
      pits: {see: pits, quarantine: Nobody knows how deep.}
  - check: spring
    when: catch is yes
    ask: Press the catch.
    find:
      weak: {see: weak, quarantine: It may stay open.}
  - check: bend_line
    when: found bow.bent
    ask: Follow the bend.
    find:
      flaked: {see: flakes, retire: The metal has torn.}
  asks:
  - {value: rivets, ask: Count the rivets., match: sheet rivet_count, control: yes, quarantine: One is gone.}
- section: measure
  readings:
  - reading: gap
    ask: Width of the mouth.
    unit: mm
    harm: up
    repeat: 2
    doubt: 0.05
    plausible: 0 to 100
    limits:
    - {at: sheet gap_max, retire: It has opened., basis: model sheet}
    - {at: 75 % of sheet gap_max, watch: It opens.}
  - reading: neck
    ask: Diameter of the neck.
    unit: mm
    harm: down
    repeat: 2
    doubt: 0.05
    new: sheet neck_new
    plausible: 1 to 50
    limits:
    - {at: sheet neck_min, retire: The neck is thin., basis: model sheet}
- section: on-rope
  on_rope: yes
  checks:
  - check: hold
    critical: yes
    ask: Hang on it, low. What did it do at its worst?
    clear: holds still
    find:
      creep: {see: creeps, watch: It creeps.}
      slip:  {see: slips, quarantine: It slips.}
      drop:  {see: lets go, retire: It lets go.}
  - check: noise
    ask: Listen to it.
    find:
      grind: {see: it grinds, watch: Something rubs.}
together:
- rule: rusty_and_grinding
  all: [eye.rust, noise.grind]
  quarantine: Rust has reached the bearing.
`

// hookClear is a hook as new, everything looked at.
const hookClear = `item: {mark: H-1, serial: 26-0417, use: people, interval_months: 6}
facts: {catch: "yes"}
sheet: {gap_max: 20, neck_new: 12, neck_min: 10, rivet_count: 4}
answers:
  identity.serial: 26-0417
  look.bow: []
  look.eye: []
  look.spring: []
  look.rivets: 4
  measure.gap: [14, 14.01]
  measure.neck: [12, 11.99]
  on-rope.hold: []
  on-rope.noise: []
`

// leftOut stands for an answer, a figure or a fact that a changed document doesn't have.
const leftOut = "-"

// hook is hookClear with other answers, figures ("sheet.FIGURE") and facts ("facts.FACT"), each as JSON.
func hook(t testing.TB, changes map[string]string) (*Flow, Document) {
	t.Helper()
	d, err := ParseDocument([]byte(hookClear))
	if err != nil {
		t.Fatal(err)
	}
	for name, value := range changes {
		figure, isFigure := strings.CutPrefix(name, "sheet.")
		fact, isFact := strings.CutPrefix(name, "facts.")
		switch {
		case isFigure:
			delete(d.Sheet, figure)
			if value != leftOut {
				d.Sheet[figure] = MustNumber(value)
			}
		case isFact:
			delete(d.Facts, fact)
			if value != leftOut {
				d.Facts[fact] = value
			}
		default:
			delete(d.Answers, name)
			if value != leftOut {
				var g Given
				if err := json.Unmarshal([]byte(value), &g); err != nil {
					t.Fatal(err)
				}
				d.Answers[name] = g
			}
		}
	}
	return loaded(t, hookFlow), d
}

func anExamDay() due.Date { return due.Date{Year: 2026, Month: 3, Day: 2} }

func judgedHook(t testing.TB, changes map[string]string) Outcome {
	t.Helper()
	f, d := hook(t, changes)
	o, err := f.Examine(d, anExamDay())
	if err != nil {
		t.Fatalf("%v: %v", changes, err)
	}
	return o
}

// ruled are an outcome's rules as "ID VERDICT".
func ruled(o Outcome) []string {
	rules := []string{}
	for _, r := range o.Rules {
		rules = append(rules, r.ID+" "+r.Verdict.String())
	}
	return rules
}

func TestJudge(t *testing.T) {
	type changes = map[string]string
	for _, c := range []struct {
		name                             string
		changes                          changes
		verdict                          Verdict
		rules, missing, ignored, notDone []string
	}{
		{name: "as new", verdict: Fit},
		{name: "cosmetic", changes: changes{"look.bow": `["polish"]`}, verdict: Fit},
		{name: "watch", changes: changes{"look.bow": `["groove"]`}, verdict: Watch, rules: []string{"bow.groove watch"}},
		{
			name: "worst of several first", changes: changes{"look.bow": `["groove"]`, "look.eye": `["rust","pits"]`}, verdict: Quarantine,
			rules:   []string{"eye.pits quarantine", "bow.groove watch", "eye.rust watch"},
			ignored: []string{"on-rope.hold", "on-rope.noise"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{
			name: "retire names what is missing", changes: changes{"look.bow": `["crack"]`, "look.eye": leftOut, "measure.gap": leftOut}, verdict: Retire,
			rules: []string{"bow.crack retire"}, missing: []string{"look.eye", "measure.gap"},
			ignored: []string{"on-rope.hold", "on-rope.noise"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{
			name: "quarantine and missing gives no verdict", changes: changes{"look.eye": `["pits"]`, "look.bow": leftOut}, verdict: Incomplete,
			rules: []string{"eye.pits quarantine"}, missing: []string{"look.bow"},
			ignored: []string{"on-rope.hold", "on-rope.noise"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{name: "watch and missing gives no verdict", changes: changes{"look.bow": `["groove"]`, "on-rope.noise": leftOut}, verdict: Incomplete, rules: []string{"bow.groove watch"}, missing: []string{"on-rope.noise"}},
		{name: "nothing answered", changes: changes{
			"identity.serial": leftOut, "look.bow": leftOut, "look.eye": leftOut, "look.spring": leftOut, "look.rivets": leftOut,
			"measure.gap": leftOut, "measure.neck": leftOut, "on-rope.hold": leftOut, "on-rope.noise": leftOut,
		}, verdict: Incomplete, missing: []string{"identity.serial", "look.bow", "look.eye", "look.spring", "measure.gap", "measure.neck", "on-rope.hold", "on-rope.noise"}},
		{
			name: "unknown is not clear", changes: changes{"look.eye": `"unknown"`}, verdict: Quarantine, rules: []string{"eye.unknown quarantine"},
			ignored: []string{"on-rope.hold", "on-rope.noise"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{
			name: "an unknown number", changes: changes{"identity.serial": `"unknown"`}, verdict: Quarantine, rules: []string{"serial.unknown quarantine"},
			ignored: []string{"on-rope.hold", "on-rope.noise"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{
			name: "held, and not hung on", changes: changes{"look.eye": `["pits"]`, "on-rope.hold": leftOut, "on-rope.noise": leftOut}, verdict: Quarantine,
			rules: []string{"eye.pits quarantine"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{
			name: "held, and what was found on rope still counts", changes: changes{"look.eye": `["pits"]`, "on-rope.hold": `["drop"]`}, verdict: Retire,
			rules: []string{"hold.drop retire", "eye.pits quarantine"}, ignored: []string{"on-rope.noise"}, notDone: []string{"on-rope.noise"},
		},
		{
			name: "held on rope itself", changes: changes{"on-rope.hold": `["slip"]`}, verdict: Quarantine,
			rules: []string{"hold.slip quarantine"}, ignored: []string{"on-rope.noise"}, notDone: []string{"on-rope.noise"},
		},
		{name: "closed by a fact", changes: changes{"facts.catch": "no", "look.spring": leftOut}, verdict: Fit},
		{name: "clear where nothing was asked", changes: changes{"facts.catch": "no"}, verdict: Fit, ignored: []string{"look.spring"}},
		{
			name: "found where nothing was asked", changes: changes{"facts.catch": "no", "look.spring": `["weak"]`}, verdict: Quarantine, rules: []string{"spring.weak quarantine"},
			ignored: []string{"on-rope.hold", "on-rope.noise"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{name: "a fact without an answer closes nothing", changes: changes{"facts.catch": leftOut, "look.spring": leftOut}, verdict: Incomplete, missing: []string{"look.spring"}},
		{name: "an unknown fact closes nothing", changes: changes{"facts.catch": "unknown", "look.spring": leftOut}, verdict: Incomplete, missing: []string{"look.spring"}},
		{
			name: "opened by a finding", changes: changes{"look.bow": `["bent"]`}, verdict: Incomplete, rules: []string{"bow.bent quarantine"}, missing: []string{"look.bend_line"},
			ignored: []string{"on-rope.hold", "on-rope.noise"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{name: "a control that wasn't picked", changes: changes{"look.rivets": leftOut}, verdict: Fit},
		{
			name: "not the sheet's count", changes: changes{"look.rivets": "3"}, verdict: Quarantine, rules: []string{"rivets.differs quarantine"},
			ignored: []string{"on-rope.hold", "on-rope.noise"}, notDone: []string{"on-rope.hold", "on-rope.noise"},
		},
		{
			name: "two watches together", changes: changes{"look.eye": `["rust"]`, "on-rope.noise": `["grind"]`}, verdict: Quarantine,
			rules:   []string{"rusty_and_grinding quarantine", "eye.rust watch", "noise.grind watch"},
			ignored: []string{"on-rope.hold"}, notDone: []string{"on-rope.hold"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := judgedHook(t, c.changes)
			if o.Verdict != c.verdict {
				t.Errorf("it is %s, want %s", o.Verdict, c.verdict)
			}
			for what, pair := range map[string][2][]string{
				"rules": {c.rules, ruled(o)}, "missing": {c.missing, o.Missing}, "ignored": {c.ignored, o.Ignored}, "not done": {c.notDone, o.NotDone},
			} {
				if !slices.Equal(pair[0], pair[1]) {
					t.Errorf("%s (-want +got):\n%s", what, cmp.Diff(pair[0], pair[1]))
				}
			}
			if o.Verdict.Usable() != (o.NextDue != nil) {
				t.Errorf("%s with next due %v", o.Verdict, o.NextDue)
			}
		})
	}
}

func TestForgottenVerdictIsNeverFit(t *testing.T) {
	var o Outcome
	if o.Verdict != Incomplete || o.Verdict.Usable() || o.Verdict.Holds() {
		t.Errorf("a verdict that nobody set is %s", o.Verdict)
	}
}

// What counts as the same stamped number, and what as the same count.
func TestMatching(t *testing.T) {
	for _, c := range []struct {
		step, answer string
		agrees       bool
	}{
		{"identity.serial", `"26-0417"`, true},
		{"identity.serial", `"26 0417"`, true},
		{"identity.serial", `"260417"`, true},
		{"identity.serial", `"26-0471"`, false},
		{"identity.serial", `"417"`, false},
		{"look.rivets", `4`, true},
		{"look.rivets", `"4"`, true},
		{"look.rivets", `"4.0"`, true},
		{"look.rivets", `"04"`, true},
		{"look.rivets", `40`, false},
		{"look.rivets", `"0.4"`, false},
		{"look.rivets", `"four"`, false},
	} {
		if o := judgedHook(t, map[string]string{c.step: c.answer}); (o.Verdict == Fit) != c.agrees {
			t.Errorf("%s answered %s: %s %v", c.step, c.answer, o.Verdict, ruled(o))
		}
	}
	if o := judgedHook(t, map[string]string{"sheet.rivet_count": "40", "look.rivets": `"4.0"`}); o.Verdict == Fit {
		t.Error("4.0 was taken for 40")
	}
}

// started is an inspection of the hook, all answered but what changes say.
func started(t testing.TB, past []Past, changes map[string]string) (*Flow, State) {
	t.Helper()
	f, d := hook(t, changes)
	s := f.Start(Start{Item: d.Item.Item, Day: anExamDay(), Facts: d.Facts, Sheet: d.Sheet, Past: past})
	for _, step := range f.Steps() {
		g, there := d.Answers[step.Name]
		if !there {
			continue
		}
		a, err := step.given(g)
		if err != nil {
			t.Fatal(err)
		}
		next, _, err := Advance(f, s, a)
		var refused Refusal
		if errors.As(err, &refused) && refused.Why == LeftOut {
			continue // nobody hangs on what is held
		}
		if err != nil {
			t.Fatal(err)
		}
		s = next
	}
	return f, s
}

// answered takes further answers, none of which may be refused.
func answered(t testing.TB, f *Flow, s State, answers ...Answer) State {
	t.Helper()
	for _, a := range answers {
		next, _, err := Advance(f, s, a)
		if err != nil {
			t.Fatalf("%+v: %v", a, err)
		}
		s = next
	}
	return s
}

// A finding that holds leaves at least quarantine, however it is taken back.
func TestSafety01_TakenBack(t *testing.T) {
	watched := map[string]string{"look.eye": `["rust"]`, "on-rope.noise": `["grind"]`}
	for _, c := range []struct {
		name    string
		changes map[string]string
		answers []Answer
		rule    string
	}{
		{"answered otherwise", map[string]string{"look.eye": `["pits"]`, "on-rope.hold": leftOut, "on-rope.noise": leftOut}, []Answer{{Step: "look.eye", Clear: true}}, "eye.pits"},
		{"reopened, then clear", map[string]string{"look.bow": `["crack"]`, "on-rope.hold": leftOut, "on-rope.noise": leftOut}, []Answer{{Step: "look.bow", Reopen: true}, {Step: "look.bow", Clear: true}}, "bow.crack"},
		{"reopened, then a milder finding", map[string]string{"look.bow": `["crack"]`, "on-rope.hold": leftOut, "on-rope.noise": leftOut}, []Answer{{Step: "look.bow", Reopen: true}, {Step: "look.bow", Findings: []string{"groove"}}}, "bow.crack"},
		{"one of two that hold together", watched, []Answer{{Step: "look.eye", Clear: true}}, "rusty_and_grinding"},
		{"both of two that hold together", watched, []Answer{{Step: "look.eye", Clear: true}, {Step: "on-rope.noise", Reopen: true}}, "rusty_and_grinding"},
		{"two changes on, and long ago", watched, []Answer{{Step: "look.eye", Clear: true}, {Step: "look.eye", Findings: []string{"rust"}}, {Step: "look.eye", Clear: true}}, "rusty_and_grinding"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, s := started(t, nil, c.changes)
			o := Judge(f, answered(t, f, s, c.answers...))
			kept := slices.ContainsFunc(o.Rules, func(r Rule) bool { return r.ID == c.rule && r.Verdict == Quarantine && r.TakenBack })
			if !kept || o.Worst() < Quarantine || o.Verdict.Usable() {
				t.Errorf("it is %s by %v", o.Verdict, ruled(o))
			}
		})
	}
}

// Taking back a watch, an unknown or something cosmetic costs nothing.
func TestWhatHeldNothingMayBeTakenBack(t *testing.T) {
	for _, before := range []Answer{{Unknown: true}, {Findings: []string{"groove"}}, {Findings: []string{"polish"}}} {
		f, s := started(t, nil, map[string]string{"look.bow": leftOut})
		before.Step = "look.bow"
		s = answered(t, f, s, before, Answer{Step: "look.bow", Clear: true})
		if o := Judge(f, s); o.Verdict != Fit {
			t.Errorf("%+v taken back: %s by %v", before, o.Verdict, ruled(o))
		}
	}
}

// A finding taken back opens no step: nobody would be asked about it, and the inspection could never end.
func TestTakenBackOpensNothing(t *testing.T) {
	f, s := started(t, nil, map[string]string{"look.bow": `["bent"]`, "on-rope.hold": leftOut, "on-rope.noise": leftOut})
	s = answered(t, f, s, Answer{Step: "look.bow", Clear: true})
	if o := Judge(f, s); o.Verdict != Quarantine || len(o.Missing) > 0 {
		t.Errorf("it is %s, missing %v", o.Verdict, o.Missing)
	}
}

func TestSafety02_Unknown(t *testing.T) {
	f, d := hook(t, nil)
	for step := range maps.Keys(d.Answers) {
		if o := judgedHook(t, map[string]string{step: `"unknown"`}); o.Verdict != Quarantine {
			t.Errorf("%s unknown: %s", step, o.Verdict)
		}
	}
	for _, step := range f.Steps() {
		if _, given := d.Answers[step.Name]; !given || !step.required() {
			continue
		}
		if o := judgedHook(t, map[string]string{step.Name: leftOut}); o.Verdict != Incomplete || o.NextDue != nil || !slices.Contains(o.Missing, step.Name) {
			t.Errorf("%s unanswered: %s, missing %v", step.Name, o.Verdict, o.Missing)
		}
	}
}

// A drop or grit is nothing by itself once it has been looked at; an arrested fall and a maker's notice hold.
func TestSafety03_NotForUseOrQuarantine(t *testing.T) {
	for _, f := range libraryFlows(t) {
		step, has := f.Step("papers.exposure")
		history, hasHistory := f.Step("papers.history")
		if !has || !hasHistory {
			continue
		}
		for _, c := range []struct {
			step    Step
			finding string
			holds   bool
		}{
			{step, "dropped", false}, {step, "grit", false}, {step, "salt", false}, {step, "chemical", true}, {step, "heat", true},
			{history, "arrest", true}, {history, "notice", true},
		} {
			if _, ok := c.step.Check.Finding(c.finding); !ok {
				continue
			}
			d := clearOf(t, f)
			d.Answers[c.step.Name] = Given{IsList: true, List: []string{c.finding}}
			o, err := f.Examine(d, anExamDay())
			if err != nil || o.Held() != c.holds || c.holds == o.Verdict.Usable() && len(o.Missing) == 0 {
				t.Errorf("%s %s: %s (%v)", f.ID, c.finding, o.Verdict, err)
			}
		}
	}
}

// The first failure stands, whatever came later; slow before cleaning is none.
func TestSafety10_AgainUntilItLocks(t *testing.T) {
	f, s := started(t, nil, map[string]string{"on-rope.hold": `["slip"]`, "on-rope.noise": leftOut})
	next, _, err := Advance(f, s, Answer{Step: "on-rope.hold", Clear: true})
	if err == nil {
		s = next
	}
	s = answered(t, f, s, Answer{Step: "on-rope.hold", Reopen: true})
	for range 3 {
		if next, _, err := Advance(f, s, Answer{Step: "on-rope.hold", Findings: []string{"creep"}}); err == nil {
			s = next
		}
	}
	if o := Judge(f, s); o.Worst() < Quarantine || o.Verdict.Usable() {
		t.Errorf("it slipped once and is %s by %v", o.Verdict, ruled(o))
	}
	for _, f := range libraryFlows(t) {
		step, has := f.Step("function.action")
		if !has {
			continue
		}
		if _, has := step.Check.Finding("slow_once"); !has {
			continue
		}
		d := clearOf(t, f)
		d.Answers["function.action"] = Given{IsList: true, List: []string{"slow_once"}}
		if o, err := f.Examine(d, anExamDay()); err != nil || o.Verdict != Fit {
			t.Errorf("%s, slow before cleaning only: %s (%v)", f.ID, o.Verdict, err)
		}
	}
}

// No answer to one check stands for another: with any other required check unanswered, a clear indicator, or a
// clear anything, never makes an item usable.
func TestSafety20_IndicatorClosesNothing(t *testing.T) {
	for _, f := range libraryFlows(t) {
		for _, step := range f.Steps() {
			d := clearOf(t, f)
			if _, asked := d.Answers[step.Name]; !asked || !step.required() {
				continue
			}
			delete(d.Answers, step.Name)
			if o, err := f.Examine(d, anExamDay()); err != nil || o.Verdict != Incomplete {
				t.Errorf("%s without %s: %s (%v)", f.ID, step.Name, o.Verdict, err)
			}
		}
	}
}

func TestSafety23_WatchForEver(t *testing.T) {
	groove := func(times int) []Past {
		return []Past{{ID: "bow-groove", Text: "a groove", Verdict: Watch, Times: times}}
	}
	same, gone := Answer{Step: "since.bow-groove", Findings: []string{"same"}}, Answer{Step: "since.bow-groove", Clear: true}
	for _, c := range []struct {
		name  string
		past  []Past
		since Answer
		bow   string
		want  Verdict
	}{
		{"once before, still there", groove(1), same, `["groove"]`, Watch},
		{"twice before, still there", groove(2), same, `["groove"]`, Quarantine},
		{"twice before, said to be gone and found again", groove(2), gone, `["groove"]`, Quarantine},
		{"twice before, and gone", groove(2), gone, `[]`, Fit},
		{"grown", groove(1), Answer{Step: "since.bow-groove", Findings: []string{"worse"}}, `["groove"]`, Quarantine},
		{"gone and nobody knows why", groove(1), Answer{Step: "since.bow-groove", Findings: []string{"gone-unknown"}}, `[]`, Quarantine},
		{"can't tell", groove(1), Answer{Step: "since.bow-groove", Unknown: true}, `[]`, Quarantine},
	} {
		f, s := started(t, c.past, map[string]string{"look.bow": c.bow})
		if o := Judge(f, s); o.Verdict != Incomplete || !slices.Contains(o.Missing, "since.bow-groove") {
			t.Errorf("%s: before it was asked it is %s", c.name, o.Verdict)
		}
		s = answered(t, f, s, c.since)
		if o := Judge(f, s); o.Verdict != c.want {
			t.Errorf("%s: %s, want %s by %v", c.name, o.Verdict, c.want, ruled(o))
		}
	}
}

// A chain of inspections counts its watches, and the third holds.
func TestSafety23_ThirdInARow(t *testing.T) {
	var past []Past
	for n, want := range []Verdict{Watch, Watch, Quarantine} {
		f, s := started(t, past, map[string]string{"look.bow": `["groove"]`})
		for _, p := range past {
			s = answered(t, f, s, Answer{Step: "since." + p.ID, Findings: []string{"same"}})
		}
		if o := Judge(f, s); o.Verdict != want {
			t.Fatalf("inspection %d is %s, want %s", n+1, o.Verdict, want)
		}
		past = Watches(f, answered(t, f, s, Answer{Step: PlaceStep("bow.groove"), Text: "left side, 2 mm"}))
		if n < 2 && (len(past) != 1 || past[0].Times != n+1) {
			t.Fatalf("inspection %d leaves %+v", n+1, past)
		}
	}
}

// A watch without a place and a number is no watch.
func TestSafety23_NoPlace(t *testing.T) {
	f, s := started(t, nil, map[string]string{"look.bow": `["groove"]`})
	place := PlaceStep("bow.groove")
	if _, _, err := Advance(f, s, Answer{Step: place, Text: "somewhere"}); err == nil {
		t.Error("a place without a number was taken")
	}
	if o := Judge(f, answered(t, f, s, Answer{Step: place, Unknown: true})); o.Verdict != Quarantine {
		t.Errorf("nobody can say where it is, and it is %s", o.Verdict)
	}
	if o := Judge(f, answered(t, f, s, Answer{Step: place, Text: "left side, 2 mm"})); o.Verdict != Watch {
		t.Errorf("with its place it is %s", o.Verdict)
	}
}
