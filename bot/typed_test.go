package bot

import "testing"

func TestWhatHelpSaysOfACommand(t *testing.T) {
	want := map[string]string{ // read off the sentences of help by hand
		"inspect": "a thorough inspection, step by step", "quarantine": "out of use at once",
		"sheet": "a maker's figures for a model", "confirm sheet": "typed by a second person", "back": "",
		"take over": "somebody else's", "release": "back from quarantine, in writing", "budget": "what will have to be replaced in three years",
	}
	said := 0
	for _, c := range AllTyped() {
		if w, is := want[c.Words]; is && c.Says != w {
			t.Errorf("%s: %q, wanted %q", c.Words, c.Says, w)
		}
		if c.Says != "" {
			said++
		}
	}
	if said < 15 {
		t.Errorf("help says something of %d commands only", said)
	}
}
