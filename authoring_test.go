package main

import (
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"becket/flows"
	"becket/flows/due"
)

// authoringExample is the worked example as it stands in AUTHORING.md.
func authoringExample(t *testing.T) *flows.Flow {
	t.Helper()
	page, err := os.ReadFile("AUTHORING.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, begins := strings.Cut(string(page), "```yaml\n")
	text, _, ends := strings.Cut(rest, "```")
	if !begins || !ends {
		t.Fatal("AUTHORING.md has no example in a block of YAML")
	}
	f, problems := flows.Load("AUTHORING.md", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return f
}

func TestAuthoringExampleIsTrue(t *testing.T) {
	f := authoringExample(t)
	shown, err := f.Show()
	if err != nil {
		t.Fatal(err)
	}
	if f.ID != "screw-connector" || !strings.Contains(string(shown), `"worn_and_slow"`) {
		t.Fatalf("it shows %s", shown)
	}
	// The verdicts are the example's own, read off its page.
	const sheet = `{"item":{"serial":"1","use":"people"},"facts":{"captive_bar":"no"},"sheet":{"body_new":10,"body_min":9},"answers":{` +
		`"identity.serial":"1","identity.marks":[],"identity.altered":[],"papers.history":[],"papers.instructions":[],"papers.exposure":[],` +
		`"look.body_body":[],"look.body_surface":[],`
	for answers, want := range map[string]struct {
		verdict flows.Verdict
		rules   []string
	}{
		`"look.gate":[],"look.seat":[]}}`:                                               {flows.Fit, nil},
		`"look.gate":["slow"],"look.seat":[]}}`:                                         {flows.Watch, []string{"gate.slow"}},
		`"look.gate":["short"],"look.seat":[]}}`:                                        {flows.Retire, []string{"gate.short"}},
		`"look.gate":[],"look.seat":["groove"],"measure.body":[9.80,9.78,9.79]}}`:       {flows.Watch, []string{"seat.groove"}},
		`"look.gate":[],"look.seat":["groove"],"measure.body":[9.10,9.00,9.10]}}`:       {flows.Retire, []string{"body.retire.1"}},
		`"look.gate":["slow"],"look.seat":["groove"],"measure.body":[9.80,9.78,9.79]}}`: {flows.Quarantine, []string{"worn_and_slow"}},
	} {
		d, err := flows.ParseDocument([]byte(sheet + answers))
		if err != nil {
			t.Fatal(err)
		}
		o, err := f.Examine(d, due.On(time.Date(2026, 11, 14, 0, 0, 0, 0, time.UTC)))
		if err != nil {
			t.Fatal(err)
		}
		var applied []string
		for _, r := range o.Rules {
			applied = append(applied, r.ID)
		}
		if o.Verdict != want.verdict {
			t.Errorf("%s: %s, not %s; %v, missing %v", answers, o.Verdict, want.verdict, applied, o.Missing)
		}
		for _, id := range want.rules {
			if !slices.Contains(applied, id) {
				t.Errorf("%s: %s doesn't apply, only %v", answers, id, applied)
			}
		}
	}
}

// The page's way from Becket's own script to a stricter one, done as it says: head, block and examples are the page's.
func TestAuthoringStricterOneIsProved(t *testing.T) {
	page, err := os.ReadFile("AUTHORING.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(page), "## Stricter than Becket's own")
	var texts []string
	for range 3 {
		var text string
		_, rest, _ = strings.Cut(rest, "```yaml\n")
		text, rest, _ = strings.Cut(rest, "```")
		texts = append(texts, text)
	}
	kept, err := fs.ReadFile(flows.LibraryFiles(), "figure-8.yaml")
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(kept), "\nbasis:")
	files := fstest.MapFS{
		"our-figure-8.yaml":          {Data: []byte(texts[0] + "basis:" + body)},
		"blocks/metal-edges.yaml":    {Data: []byte(texts[1])},
		"our-figure-8.examples.yaml": {Data: []byte(texts[2])},
	}
	list, problems := flows.LoadDir(files, "my-scripts")
	if len(problems) > 0 || len(list) != 1 || list[0].BasedOn != "figure-8" {
		t.Fatalf("%d scripts, %v", len(list), problems)
	}
	if problems := flows.CheckExamples(files, "my-scripts", list); len(problems) > 0 {
		t.Error(problems)
	}
	milder := strings.Replace(texts[1], "quarantine: We dress", "watch: We dress", 1)
	milder = strings.Replace(milder, "sharp, retire:", "sharp, quarantine:", 1)
	files["blocks/metal-edges.yaml"] = &fstest.MapFile{Data: []byte(milder)}
	if _, problems = flows.LoadDir(files, "my-scripts"); !strings.Contains(problems.Error(), "my-scripts/blocks/metal-edges.yaml:10:5: felt_edges.sharp is retire in figure-8, and only quarantine here") {
		t.Errorf("the milder one: %v", problems)
	}
}

// What AUTHORING.md says of the forms that can be written has to be true as well.
func TestAuthoringNamesEveryKey(t *testing.T) {
	page, err := os.ReadFile("AUTHORING.md")
	if err != nil {
		t.Fatal(err)
	}
	schema, err := flows.Schema()
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"flow", "revision", "based_on", "basis", "sheet", "facts", "block", "as", "part", "on_rope", "critical", "clear", "find", "see", "harm",
		"repeat", "doubt", "limits", "at", "plausible", "match", "kind", "control", "when", "together", "all", "any", "at_least", "of"} {
		if !strings.Contains(string(schema), `"`+key+`"`) || !strings.Contains(string(page), key) {
			t.Errorf("%s isn't both in the language and on the page", key)
		}
	}
}
