package flows

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// expectations are the comment lines "# expect LINE:COL PHRASE" at the top of a broken flow.
func expectations(t *testing.T, text string) (spots, phrases []string) {
	t.Helper()
	for line := range strings.Lines(text) {
		rest, ok := strings.CutPrefix(line, "# expect ")
		if !ok {
			break
		}
		spot, phrase, _ := strings.Cut(strings.TrimSpace(rest), " ")
		spots, phrases = append(spots, spot), append(phrases, phrase)
	}
	if len(spots) == 0 {
		t.Fatal("the file says nothing of what it expects")
	}
	return spots, phrases
}

func brokenFlows(t testing.TB) map[string][]byte {
	t.Helper()
	files, err := filepath.Glob("testdata/broken/*.yaml")
	if err != nil || len(files) < 25 {
		t.Fatalf("%d broken flows, %v", len(files), err)
	}
	texts := map[string][]byte{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		texts[filepath.Base(file)] = text
	}
	return texts
}

// Each broken flow is reported exactly where its maker put the mistake, and nowhere else.
func TestBrokenFlows(t *testing.T) {
	forPeople := regexp.MustCompile(`(?i)unmarshal|struct|\bnil\b|\bnull\b|\bnode\b|\btoken\b|schema|pars(e|ing)\b|invalid|!|\*errors|strconv|panic|runtime|\bint\b|\bbool\b|\bstring\b|` +
		`\bfloat|interface|pointer|\bslice|\barray\b|\bEOF\b|syntax|ast\.|yaml\.|goroutine|undefined|overflow|exception|%!`)
	for name, text := range brokenFlows(t) {
		t.Run(name, func(t *testing.T) {
			spots, phrases := expectations(t, string(text))
			f, problems := Load(name, text)
			if f != nil {
				t.Fatal("it was loaded")
			}
			var got []string
			for i, p := range problems {
				got = append(got, fmt.Sprintf("%d:%d", p.Line, p.Col))
				if i < len(phrases) && !strings.Contains(p.String(), phrases[i]) {
					t.Errorf("problem %d says %q, and not %q", i+1, p, phrases[i])
				}
				if said := p.What + "; " + p.Do; forPeople.MatchString(said) {
					t.Errorf("nobody who inspects understands %q", said)
				}
				if p.What == "" || p.Do == "" {
					t.Errorf("%q says only half", p)
				}
			}
			if diff := cmp.Diff(spots, got); diff != "" {
				t.Errorf("reported elsewhere (-want +got):\n%s%s", diff, problems.Error())
			}
		})
	}
}

func TestProblemAsOneLine(t *testing.T) {
	p := Problem{File: "cup.yaml", Line: 3, Col: 7, What: "it leaks", Do: "mend it"}
	if got, want := p.String(), "cup.yaml:3:7: it leaks; mend it"; got != want {
		t.Errorf("%q, not %q", got, want)
	}
}

// example is the flow that the design's section 6 gives, with what it leaves out added: the cam's clear state
// and the check cam_play that its rule names.
const example = `flow: cam-handle-descender
revision: 1
title: Descender with cam and handle
basis: common practice        # inherited; a section, check, finding or limit may name its own
sheet: {cam_groove_max: mm, plate_new: mm}
facts:
  lock_button: {ask: Does the handle carry a lock button?, choices: {yes: "yes", no: "no"}}
sections:
- section: look
  checks:
  - check: cam
    critical: yes
    ask: Open it and look at the cam where the rope runs.
    clear: smooth, rope polish at most
    find:
      polish: {see: Rope polish only}
      groove: {see: A groove that can be seen, watch: Wear has begun and must be measured.}
      crack:  {see: A crack however short, retire: The cam carries the whole load.}
  - check: cam_play
    when: [lock_button is no, found cam.groove]
    ask: Push the cam sideways.
    find:
      play: {see: It moves, watch: The pivot wears.}
- section: measure
  readings:
  - reading: cam_groove
    ask: Depth of the groove at its deepest.
    unit: mm
    harm: up
    repeat: 3
    doubt: 0.05
    limits:
    - {at: sheet cam_groove_max, retire: The maker's limit is reached., basis: model sheet}
    - {at: 75 % of sheet cam_groove_max, watch: Three quarters of it are used up.}
- section: on-rope
  on_rope: true
together:                     # all, any, at_least N of. There is no "not".
- rule: worn_and_slack
  all: [cam.groove, cam_play.play]
  quarantine: A worn cam on a slack pivot grips later than either alone.
`

func loaded(t testing.TB, text string) *Flow {
	t.Helper()
	f, problems := Load("test.yaml", []byte(text))
	if f == nil {
		t.Fatalf("it was not loaded:\n%s", problems.Error())
	}
	return f
}

func TestDesignExampleMeansWhatItSays(t *testing.T) {
	f := loaded(t, example)
	exact := cmp.Comparer(func(a, b Number) bool { return a.Equal(b) })
	hundred := MustNumber("100")
	want := []Section{
		{ID: "look", Title: "Look", Checks: []Check{
			{ID: "cam", Ask: "Open it and look at the cam where the rope runs.", Critical: true, Required: true, Clear: "smooth, rope polish at most", Findings: []Finding{
				{ID: "polish", Label: "Rope polish only", Verdict: Fit, Basis: "common practice"},
				{ID: "groove", Label: "A groove that can be seen", Verdict: Watch, Because: "Wear has begun and must be measured.", Basis: "common practice"},
				{ID: "crack", Label: "A crack however short", Verdict: Retire, Because: "The cam carries the whole load.", Basis: "common practice"},
			}},
			{ID: "cam_play", Ask: "Push the cam sideways.", Required: true, When: When{
				Found: []string{"cam.groove"}, Facts: []string{"lock_button.no"},
				Text: "when “A groove that can be seen” was found or the answer to “Does the handle carry a lock button?” is “no”",
			}, Findings: []Finding{{ID: "play", Label: "It moves", Verdict: Watch, Because: "The pivot wears.", Basis: "common practice"}}},
		}},
		{ID: "measure", Title: "Measure", Readings: []Reading{{
			ID: "cam_groove", Ask: "Depth of the groove at its deepest.", Unit: "mm", Harm: HarmUp, Repeat: 3, Doubt: MustNumber("0.05"), Required: true, Basis: "common practice",
			Limits: []Limit{
				{At: Point{Figure: "cam_groove_max", Percent: hundred}, Verdict: Retire, Because: "The maker's limit is reached.", Basis: "model sheet"},
				{At: Point{Figure: "cam_groove_max", Percent: MustNumber("75")}, Verdict: Watch, Because: "Three quarters of it are used up.", Basis: "common practice"},
			},
		}}},
		{ID: "on-rope", Title: "On rope", OnRope: true},
	}
	if diff := cmp.Diff(want, f.Sections, exact); diff != "" {
		t.Errorf("sections (-want +got):\n%s", diff)
	}
	wantFacts := []Fact{{ID: "lock_button", Ask: "Does the handle carry a lock button?", Choices: []Choice{{"yes", "yes"}, {"no", "no"}}}}
	if diff := cmp.Diff(wantFacts, f.Facts); diff != "" {
		t.Errorf("facts (-want +got):\n%s", diff)
	}
	wantTogether := []Together{{
		ID: "worn_and_slack", Least: 2, How: "all", Of: []string{"cam.groove", "cam_play.play"}, Verdict: Quarantine,
		Because: "A worn cam on a slack pivot grips later than either alone.", Basis: "common practice",
	}}
	if diff := cmp.Diff(wantTogether, f.Together); diff != "" {
		t.Errorf("together (-want +got):\n%s", diff)
	}
	if f.ID != "cam-handle-descender" || f.Revision != 1 || f.Title != "Descender with cam and handle" {
		t.Errorf("%s, edition %d, %q", f.ID, f.Revision, f.Title)
	}
}

// withAsks has all that the example hasn't: values, fixed points, ranges, any and at_least.
const withAsks = `flow: cup
revision: 2
title: Cup
sheet:
  rivets: {unit: count, ask: How many rivets}
  wall_new: mm
sections:
- section: first-look
  title: At first
  basis: shop rule
  asks:
  - {value: serial, ask: Read the number., match: serial, quarantine: It is another one.}
  - {value: rivet_count, ask: Count them., match: sheet rivets, control: yes, quarantine: One is gone., basis: model sheet}
  - {value: weight, ask: Weigh it., unit: g, plausible: 50 to 500}
  - {value: picture, ask: A photo of it., kind: photo, control: true}
  checks:
  - {check: rim, part: the rim, required: no, ask: Look., find: {chip: {see: a chip, watch: It grows.}, dirt: {see: dirt}}}
  readings:
  - reading: wall
    ask: Thickness of the wall.
    unit: millimetres
    harm: down
    new: sheet wall_new
    plausible: 0,5 to 6
    limits:
    - {at: 1.5, quarantine: Thin.}
    - {at: 1.0, retire: Too thin.}
together:
- {rule: two, at_least: 2, of: [rim.chip, rim.dirt, wall.quarantine.1], retire: Too much., basis: shop rule}
- {rule: one, any: [rim.chip, rim.dirt], quarantine: Enough., basis: shop rule}
`

func TestValuesPointsAndRules(t *testing.T) {
	f := loaded(t, withAsks)
	exact := cmp.Comparer(func(a, b Number) bool { return a.Equal(b) })
	s := f.Sections[0]
	wantValues := []Value{
		{ID: "serial", Ask: "Read the number.", Kind: ValueMatch, Match: "serial", Required: true, Because: "It is another one.", Basis: "shop rule"},
		{ID: "rivet_count", Ask: "Count them.", Kind: ValueMatch, Match: "sheet rivets", Unit: "count", Because: "One is gone.", Basis: "model sheet"},
		{ID: "weight", Ask: "Weigh it.", Kind: ValueNote, Unit: "g", Low: MustNumber("50"), High: MustNumber("500"), Required: true, Basis: "shop rule"},
		{ID: "picture", Ask: "A photo of it.", Kind: ValuePhoto, Basis: "shop rule"},
	}
	if diff := cmp.Diff(wantValues, s.Values, exact); diff != "" {
		t.Errorf("values (-want +got):\n%s", diff)
	}
	wantReadings := []Reading{{
		ID: "wall", Ask: "Thickness of the wall.", Unit: "mm", Harm: HarmDown, Repeat: 3, Required: true, Low: MustNumber("0.5"), High: MustNumber("6"),
		New: &Point{Figure: "wall_new", Percent: MustNumber("100")}, Basis: "shop rule",
		Limits: []Limit{
			{At: Point{Value: MustNumber("1.5")}, Verdict: Quarantine, Because: "Thin.", Basis: "shop rule"},
			{At: Point{Value: MustNumber("1")}, Verdict: Retire, Because: "Too thin.", Basis: "shop rule"},
		},
	}}
	if diff := cmp.Diff(wantReadings, s.Readings, exact); diff != "" {
		t.Errorf("readings (-want +got):\n%s", diff)
	}
	if s.Title != "At first" || s.Checks[0].Required || s.Checks[0].Part != "the rim" {
		t.Errorf("section %q, check %+v", s.Title, s.Checks[0])
	}
	if f.Together[0].Least != 2 || f.Together[0].How != "at_least" || f.Together[1].Least != 1 || f.Together[1].How != "any" {
		t.Errorf("together %+v", f.Together)
	}
	if want := []Figure{{"rivets", "count", "How many rivets"}, {"wall_new", "mm", ""}}; !cmp.Equal(want, f.Figures) {
		t.Errorf("figures %+v", f.Figures)
	}
}

func TestOnlyALengthInMetresIsCut(t *testing.T) {
	long := strings.Replace(withAsks, "ask: Weigh it., unit: g", "ask: Weigh it., cut: yes, unit: m", 1)
	if step, may := loaded(t, long).Cut(); !may || step != "first-look.weight" {
		t.Errorf("%q %v", step, may)
	}
	if _, may := loaded(t, withAsks).Cut(); may {
		t.Error("nothing of it says so")
	}
	_, problems := Load("heavy.yaml", []byte(strings.Replace(long, "unit: m,", "unit: g,", 1)))
	if len(problems) != 1 || !strings.Contains(problems[0].What, "only a length in m can be cut") {
		t.Errorf("%v", problems)
	}
}

// A sender's line ends and byte order mark are no part of a flow.
func TestSameFlowHoweverSaved(t *testing.T) {
	want := loaded(t, example)
	for name, text := range map[string]string{
		"carriage returns":     strings.ReplaceAll(example, "\n", "\r\n"),
		"byte order mark":      "\uFEFF" + example,
		"dashes first":         "# a note\n---\n" + example,
		"blank lines all over": "\n\n" + example + "\n\n",
	} {
		if got := loaded(t, text); got.Hash != want.Hash {
			t.Errorf("%s: another hash", name)
		}
	}
	f, problems := Load("crlf.yaml", []byte(strings.ReplaceAll(example, "\n", "\r\n")+"extra: yes\r\n"))
	if f != nil || len(problems) != 1 || problems[0].Line != strings.Count(example, "\n")+1 || problems[0].Col != 1 {
		t.Errorf("%v", problems)
	}
}

const blockUser = `flow: two-sides
revision: 1
title: Two sides
basis: common practice
sections:
- section: look
  checks:
  - {block: side, as: left, part: left side}
  - {block: side, as: right, part: right side}
`

const sideBlock = `block: side
basis: side rule
sheet: {depth_max: mm}
checks:
- check: wall
  part: "{part}"
  ask: Look at the {part}.
  find:
    dent: {see: a dent, watch: "The {part} wears."}
readings:
- reading: depth
  when: found wall.dent
  ask: Depth of the dent in the {part}.
  unit: mm
  harm: up
  limits:
  - {at: sheet depth_max, retire: Through.}
together:
- rule: both
  all: [wall.dent, depth.retire.1]
  retire: Never comes to more.
`

func TestBlockTakenTwice(t *testing.T) {
	block := strings.Replace(sideBlock, "- rule: both\n  all: [wall.dent, depth.retire.1]\n  retire: Never comes to more.\n", "- rule: both\n  any: [wall.dent]\n  quarantine: It never gets better.\n", 1)
	f := loaded(t, blockUser+"---\n"+block)
	s := f.Sections[0]
	var got []string
	for _, c := range s.Checks {
		got = append(got, c.ID, c.Part, c.Ask, c.Findings[0].Because, c.Findings[0].Basis)
	}
	for _, r := range s.Readings {
		got = append(got, r.ID, r.Ask, strings.Join(r.When.Found, ","))
	}
	for _, r := range f.Together {
		got = append(got, r.ID, strings.Join(r.Of, ","), r.Basis)
	}
	want := []string{
		"left_wall", "left side", "Look at the left side.", "The left side wears.", "side rule",
		"right_wall", "right side", "Look at the right side.", "The right side wears.", "side rule",
		"left_depth", "Depth of the dent in the left side.", "left_wall.dent",
		"right_depth", "Depth of the dent in the right side.", "right_wall.dent",
		"left_both", "left_wall.dent", "side rule", "right_both", "right_wall.dent", "side rule",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if len(f.Figures) != 1 {
		t.Errorf("%d figures, and the block brings one", len(f.Figures))
	}
}

// A mistake in a block is one mistake, however often the block is taken, and stands where the block stands.
func TestMistakeInABlockIsSaidOnce(t *testing.T) {
	dir := fstest.MapFS{
		"two-sides.yaml":   {Data: []byte(blockUser)},
		"blocks/side.yaml": {Data: []byte(sideBlock)},
	}
	_, problems := LoadDir(dir, "ours")
	if len(problems) != 1 || !strings.HasPrefix(problems[0].String(), "ours/blocks/side.yaml:20:20: ") {
		t.Errorf("%v", problems)
	}
}

// noShelf has no blocks at all, as on a machine with another edition of the program.
type noShelf struct{}

func (noShelf) block(string) (script, bool) { return script{}, false }
func (noShelf) names() []string             { return nil }

// A record keeps its own script: what was kept loads to the same flow, without the library.
func TestKeptTextStandsAlone(t *testing.T) {
	list, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		again, problems := load("kept", f.Text, onceEach(noShelf{}))
		if again == nil {
			t.Fatalf("%s: %s", f.ID, problems.Error())
		}
		if again.Hash != f.Hash || !bytes.Equal(again.Text, f.Text) {
			t.Errorf("%s: another hash", f.ID)
		}
		if diff := cmp.Diff(f, again, cmp.Comparer(func(a, b Number) bool { return a.Equal(b) }), cmpopts.IgnoreUnexported(Flow{})); diff != "" {
			t.Errorf("%s: %s", f.ID, diff)
		}
	}
}

func TestLoadDir(t *testing.T) {
	cup := strings.Replace(withAsks, "flow: cup", "flow: mug", 1)
	dir := fstest.MapFS{
		"a.yaml":             {Data: []byte(withAsks)},
		"b.yaml":             {Data: []byte("# copied\n" + withAsks)},
		"c.yml":              {Data: []byte(cup)},
		"cup.examples.yaml":  {Data: []byte("no flow")},
		"notes.txt":          {Data: []byte("no flow")},
		"blocks/unused.yaml": {Data: []byte("block: unused\nchecks:\n- check: rim\n  ask: Look.\n  fnid: {}\n")},
	}
	list, problems := LoadDir(dir, "ours")
	var ids []string
	for _, f := range list {
		ids = append(ids, f.ID)
	}
	if diff := cmp.Diff([]string{"cup", "mug"}, ids); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	want := []string{
		`ours/b.yaml:2:1: the flow "cup" is already in ours/a.yaml; give one of the two another name`,
		`ours/blocks/unused.yaml:3:3: "find" is missing; add find: with what may be found there`,
		`ours/blocks/unused.yaml:5:3: "fnid" is no key that is known here; did you mean "find"`,
	}
	if diff := cmp.Diff(strings.Join(want, "\n"), problems.Error()); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if _, problems := LoadDir(fstest.MapFS{}, "empty"); len(problems) != 1 {
		t.Errorf("an empty folder: %v", problems)
	}
}

func TestSizeAndDepthAreBounded(t *testing.T) {
	for name, text := range map[string]string{
		"large":    example + "# " + strings.Repeat("x", maxSize),
		"brackets": "flow: " + strings.Repeat("[", 300_000),
		"dashes":   strings.Repeat("- ", 300_000),
		"braces":   strings.Repeat("{a: ", 100_000),
		"keys":     strings.Repeat("a: 1\n", 150_000),
		"indents":  strings.Repeat(" ", 5000) + "flow: x",
		"steps":    "flow: x\nrevision: 1\ntitle: X\nbasis: b\nsections:\n- section: s\n  checks:\n" + strings.Repeat("  - {check: c, ask: A., find: {f: {see: s}}}\n", 400),
	} {
		if f, problems := Load(name, []byte(text)); f != nil || len(problems) == 0 || len(problems) > maxProblems {
			t.Errorf("%s: %d problems", name, len(problems))
		}
	}
}

func FuzzLoad(f *testing.F) {
	f.Add([]byte(example))
	f.Add([]byte(withAsks))
	f.Add([]byte(blockUser + "---\n" + sideBlock))
	for _, text := range brokenFlows(f) {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		flow, problems := Load("fuzz.yaml", text)
		if (flow == nil) != (len(problems) > 0) {
			t.Fatalf("flow %v with %d problems", flow != nil, len(problems))
		}
		lines := bytes.Count(text, []byte("\n")) + 1
		for _, p := range problems {
			if p.Line < 1 || p.Col < 1 || p.File == "fuzz.yaml" && p.Line > lines || p.What == "" || p.Do == "" {
				t.Fatalf("a problem that stands nowhere: %+v", p)
			}
		}
		if flow == nil {
			return
		}
		again, problems := Load("kept", flow.Text)
		if again == nil || again.Hash != flow.Hash {
			t.Fatalf("the kept text loads otherwise: %v", problems)
		}
	})
}

func BenchmarkLoadLibraryFlow(b *testing.B) {
	list, err := Library()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		Load("bench", list[0].Text)
	}
}
