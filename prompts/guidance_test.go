package prompts

import (
	"strings"
	"testing"
	"testing/fstest"
)

func TestGuidanceIsFamilyFirstThenBlock(t *testing.T) {
	g, err := LoadGuidance(fstest.MapFS{
		"wheel.yaml":        {Data: []byte("family: wheel\nchecks:\n  rim_body: {short: Rim., explained: Look at the rim.}\n")},
		"blocks/metal.yaml": {Data: []byte("block: metal\nchecks:\n  body: {short: 'The {part}.', explained: 'Look at the {part}.'}\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	rim := Step{Family: "wheel", ID: "rim_body", Block: "metal", InBlock: "body", Part: "rim"}
	hub := Step{Family: "wheel", ID: "hub_body", Block: "metal", InBlock: "body", Part: "hub"}
	own := Step{Family: "wheel", ID: "spokes"}
	for _, c := range []struct {
		step Step
		l    Length
		want string
	}{
		{rim, Short, "Rim."}, {rim, Usual, "The script."}, {rim, Explained, "The script.\nLook at the rim."},
		{hub, Short, "The hub."}, {hub, Explained, "The script.\nLook at the hub."},
		{own, Short, "The script."}, {own, Explained, "The script."},
	} {
		if got := g.Put(c.step, "The script.", c.l); got != c.want {
			t.Errorf("%v %s: %q, not %q", c.step, c.l, got, c.want)
		}
	}
	var none *Guidance
	if got := none.Put(rim, "The script.", Explained); got != "The script." {
		t.Errorf("without guidance: %q", got)
	}
}

func TestGuidanceSaysWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		"family: wheel\nchecks:\n  rim: {short: Rim.}\n": `"rim" lacks`,
		"family: rim\nchecks: {}\n":                      "begin it with family:",
		"block: wheel\nchecks: {}\n":                     "begin it with family:",
		"family: wheel\nchecks:\n  rim: {short: Rim., explained: Look., long: Look longer.}\n":                  "long",
		"family: wheel\nchecks:\n  rim: {short: a, explained: b}\nreadings:\n  rim: {short: a, explained: b}\n": "stands there twice",
		"family: wheel\nchecks:\n  rim: {short: a, explained: b}\n  rim: {short: a, explained: b}\n":            "rim",
		"family: wheel\nchecks: [\n": "wheel.yaml",
	} {
		_, err := LoadGuidance(fstest.MapFS{"wheel.yaml": {Data: []byte(text)}})
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "wheel.yaml") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
