package flows

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

func libraryFiles(t *testing.T) (fs.FS, []*Flow) {
	t.Helper()
	list, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	dir, err := fs.Sub(library, libraryFolder)
	if err != nil {
		t.Fatal(err)
	}
	return dir, list
}

// Each example beside a flow of the library comes out as somebody who knows the family says.
func TestLibraryExamples(t *testing.T) {
	dir, list := libraryFiles(t)
	for _, p := range CheckExamples(dir, libraryFolder, list) {
		t.Error(p)
	}
}

// examplesOf are all examples that are played for a flow: its own and its blocks'.
func examplesOf(t *testing.T, dir fs.FS, f *Flow) []Example {
	t.Helper()
	files := []string{f.ID + ".examples.yaml"}
	for _, file := range exampleFiles(dir, blocksFolder) {
		if f.hasSection(exampleOf(file)) {
			files = append(files, file)
		}
	}
	var all []Example
	for _, file := range files {
		text, err := fs.ReadFile(dir, file)
		if err != nil {
			t.Fatal(err)
		}
		list, problems := LoadExamples(file, text)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		all = append(all, list...)
	}
	return all
}

func TestEveryRuleHasAnExample(t *testing.T) {
	dir, list := libraryFiles(t)
	for _, f := range list {
		var named []string
		for _, e := range examplesOf(t, dir, f) {
			named = append(named, e.Rules...)
		}
		var without []string
		for _, id := range append(f.ruleIDs(), lifeOver, lifeUnknown) {
			if !slices.Contains(named, id) {
				without = append(without, id)
			}
		}
		if len(without) > 0 {
			t.Errorf("%s: no example for %s", f.ID, strings.Join(without, ", "))
		}
	}
}

// Each limit has examples on both sides of it, exactly at it, and within the doubt of it.
func TestEveryLimitHasExamplesAroundIt(t *testing.T) {
	dir, list := libraryFiles(t)
	for _, f := range list {
		seen := map[string]bool{}
		for _, e := range examplesOf(t, dir, f) {
			d, err := f.clearFor(e)
			if err != nil {
				t.Fatal(err)
			}
			s := State{Start: Start{Sheet: d.Sheet, Doubt: d.Instrument.Doubt}}
			for _, step := range f.Steps() {
				if step.Reading == nil || len(e.Answers[step.Name]) == 0 {
					continue
				}
				r := step.Reading
				a, err := step.given(step.written(e.Answers[step.Name]))
				if err != nil || len(a.Readings) == 0 {
					continue
				}
				worst, doubt := r.worst(a.Readings), r.doubtIn(s)
				for i, rule := range r.rules() {
					point, known := r.Limits[i].At.value(d.Sheet)
					switch {
					case !known:
					case worst.Equal(point):
						seen[rule+" at"] = true
					case r.reaches(r.moved(worst, doubt), point) && !r.reaches(worst, point):
						seen[rule+" within the doubt of"] = true
					case !r.reaches(worst, point):
						seen[rule+" short of"] = true
					}
				}
			}
		}
		var without []string
		for _, step := range f.Steps() {
			if step.Reading == nil {
				continue
			}
			for _, rule := range step.Reading.rules() {
				for _, where := range []string{" at", " within the doubt of", " short of"} {
					if !seen[rule+where] {
						without = append(without, rule+where)
					}
				}
			}
		}
		if len(without) > 0 {
			t.Errorf("%s: no example with a reading for %s", f.ID, strings.Join(without, ", "))
		}
	}
}

// An example that says what is not so is named, with its place.
func TestCheckExamples(t *testing.T) {
	_, list := libraryFiles(t)
	connector := list[slices.IndexFunc(list, func(f *Flow) bool { return f.ID == "connector" })]
	own := fstest.MapFS{
		"connector.examples.yaml": {Data: []byte(`# Ours.
- {example: Right, answers: {function.gate: [slow]}, verdict: quarantine, rules: [gate.slow], missing: []}
- {example: Too mild, answers: {function.gate: [failed]}, verdict: watch}
- {example: Wrong rule, answers: {function.gate: [failed]}, verdict: retire, rules: [gate.slow]}
- {example: Nothing is missing, verdict: fit, missing: [function.gate]}
- {example: No such step, answers: {function.gat: []}, verdict: fit}
- {example: No such finding, answers: {function.gate: [rust]}, verdict: fit}
- {example: No such figure, sheet: {pin: 3}, verdict: fit}
- {example: No such choice, facts: {lock: perhaps}, verdict: fit}
`)},
		"conector.examples.yaml":        {Data: []byte("- {example: Lost, verdict: fit}\n")},
		"blocks/identity.examples.yaml": {Data: []byte("- {example: A block's, answers: {identity.marks: [untraced]}, verdict: fit}\n")},
		"blocks/textile.examples.yaml":  {Data: []byte("- {example: Nobody takes it, answers: {a.b: []}, verdict: fit}\n")},
	}
	wants := []string{
		`ours/conector.examples.yaml:1:1: there is no flow "conector"`,
		"ours/connector.examples.yaml:3:4: in connector, \"Too mild\": it comes out retire (gate.failed), and should be watch",
		"ours/connector.examples.yaml:4:4: in connector, \"Wrong rule\": the rule gate.slow does not apply (gate.failed)",
		"ours/connector.examples.yaml:5:4: in connector, \"Nothing is missing\": missing are [], and should be [function.gate]",
		`ours/connector.examples.yaml:6:4: in connector, "No such step": connector has no step "function.gat"`,
		`ours/connector.examples.yaml:7:4: in connector, "No such finding": function.gate has no finding "rust"`,
		`ours/connector.examples.yaml:8:4: in connector, "No such figure": connector knows no figure "pin"`,
		`ours/connector.examples.yaml:9:4: in connector, "No such choice":`,
		`ours/blocks/identity.examples.yaml:1:4: in connector, "A block's": it comes out retire`,
	}
	problems := CheckExamples(own, "ours", []*Flow{connector})
	if len(problems) != len(wants) {
		t.Errorf("%d problems, not %d:\n%v", len(problems), len(wants), Problems(problems))
	}
	for _, want := range wants {
		if !slices.ContainsFunc(problems, func(p Problem) bool { return strings.HasPrefix(p.String(), want) }) {
			t.Errorf("nothing says %s in:\n%v", want, Problems(problems))
		}
	}
}

func TestLoadExamples(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"example: No list\nverdict: fit\n", `x.yaml:1:1: "a file of examples" takes a list`},
		{"- {example: No verdict}\n", `x.yaml:1:4: "verdict" is missing`},
		{"- {verdict: fit}\n", `x.yaml:1:4: "example" is missing`},
		{"- {example: A, verdict: good}\n", `x.yaml:1:25: "good" is no verdict`},
		{"- example: A\n  verdict: fit\n  answer: {a.b: []}\n", `x.yaml:3:3: "answer" is no key that is known here; did you mean "answers"`},
		{"- example: A\n  verdict: fit\n  day: yesterday\n", `x.yaml:3:8: "yesterday" is no date`},
		{"- example: A\n  verdict: fit\n  sheet: {pin_min: small}\n", `x.yaml:3:20: "small" is no number`},
		{"- example: A\n  verdict: fit\n  instrument: good\n", `x.yaml:3:15: "good" is no number`},
		{"- example: A\n  verdict: fit\n  item: {use: boats}\n", `x.yaml:3:15: "boats" can't stand here`},
		{"- example: A\n  verdict: fit\n  item: {life_made_years: ten}\n", `x.yaml:3:27: "life_made_years" is a whole number`},
		{"- example: A\n  verdict: fit\n  verdict: watch\n", `x.yaml:3:3: "verdict" stands here a second time`},
		{"- {example: A, verdict: fit}\n---\n- {example: B, verdict: fit}\n", "x.yaml:3:1: a second list begins here"},
		{"# nothing\n", "x.yaml:1:1: there is nothing in this file"},
	} {
		_, problems := LoadExamples("x.yaml", []byte(c.text))
		if len(problems) != 1 || !strings.HasPrefix(problems.Error(), c.want) {
			t.Errorf("%q gives\n%v\nnot %s", c.text, problems, c.want)
		}
	}
}

// TestReplies prints how many replies a clear inspection takes, by somebody who may sign, beside what is aimed at.
// What is taken beyond an aim: the papers apart from the marks, and the questions by chance that bring what only
// the hand can answer to three, and by one more in any case.
func TestReplies(t *testing.T) {
	_, list := libraryFiles(t)
	counted := map[string]bool{}
	for _, c := range []struct {
		flow      string
		facts     map[string]string
		aim, most int
	}{
		{"connector", nil, 4, 10},
		{"pulley", nil, 8, 11},
		{"pulley", map[string]string{"layout": "tandem"}, 9, 14},
		{"toothed-rope-grab", nil, 9, 13},
		{"assisted-braking-belay-device", nil, 9, 11},
		{"cam-handle-descender", map[string]string{"wear_mark": "indicator"}, 10, 13},
		{"cam-handle-descender", map[string]string{"wear_mark": "pin"}, 11, 13},
		{"full-body-harness", nil, 10, 13},
		{"full-body-harness", map[string]string{"fall_mark": "shown", "width_figure": "given", "loop_figure": "given"}, 10, 15},
		{"sit-harness", nil, 10, 13},
		{"chest-harness", nil, 10, 13},
		{"energy-absorber-lanyard", nil, 10, 14},
		{"lanyard", nil, 9, 12},
		{"sling", nil, 6, 11},
		{"cows-tail", nil, 8, 13},
		{"textile-anchor-strop", nil, 8, 13},
		{"swivel", nil, 7, 11},
		{"non-toothed-rope-grab", nil, 9, 13},
		{"chest-ascender", nil, 9, 14},
		{"foot-ascender", nil, 9, 15},
		{"bobbin-descender", nil, 9, 13},
		{"rack", nil, 9, 13},
		{"tube-belay-device", nil, 8, 12},
		{"figure-8", nil, 8, 13},
		{"guided-fall-arrester", nil, 10, 14},
		{"guided-fall-arrester", map[string]string{"fall_mark": "shown", "tail": "absorber"}, 10, 17},
		{"semi-static-rope", nil, 8, 13},
		{"dynamic-rope", map[string]string{"middle": "marked"}, 8, 13},
		{"work-helmet", map[string]string{"strap": "fitted"}, 8, 13},
		{"mountaineering-helmet", map[string]string{"liner": "both"}, 8, 13},
		{"quick-link", nil, 6, 11},
		{"rigging-plate", nil, 7, 11},
		{"wire-anchor-strop", nil, 8, 12},
		{"tripod", map[string]string{"tie": "chain"}, 8, 13},
		{"retractable", map[string]string{"fall_mark": "shown"}, 9, 14},
		{"ice-axe", map[string]string{"pick": "changes"}, 8, 12},
		{"crampons", nil, 8, 12},
	} {
		f := list[slices.IndexFunc(list, func(f *Flow) bool { return f.ID == c.flow })]
		counted[f.ID] = true
		clear, err := f.Clear()
		if err != nil {
			t.Fatal(err)
		}
		maps.Copy(clear.Facts, c.facts)
		var asked []string
		for _, q := range Plan(f, f.Start(Start{Item: clear.Item.Item, Day: anyDay(), Facts: clear.Facts, Sheet: clear.Sheet, Seed: 1})) {
			asked = append(asked, fmt.Sprintf("%s %s", q.Section, q.Kind))
		}
		replies := len(asked) + 2 // inspect, and sign
		t.Logf("%s %v: %d replies, aim %d: inspect, %s, sign", c.flow, c.facts, replies, c.aim, strings.Join(asked, ", "))
		if replies > c.most {
			t.Errorf("%s %v takes %d replies, more than %d", c.flow, c.facts, replies, c.most)
		}
	}
	for _, f := range list {
		if !counted[f.ID] {
			t.Errorf("%s: nobody counts its replies", f.ID)
		}
	}
}
