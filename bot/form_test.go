package bot

import "testing"

// A list longer than the alphabet goes on with two letters, and each choice is had by its letters and by its word.
func TestChoicesBeyondTheAlphabet(t *testing.T) {
	var pairs [][2]string
	for n := range 60 {
		word := "kind " + string(rune('0'+n/10)) + string(rune('0'+n%10))
		pairs = append(pairs, [2]string{word, word})
	}
	choices, read := chooseFrom(pairs...)
	for n, want := range map[int]string{0: "a", 25: "z", 26: "aa", 27: "ab", 51: "az", 52: "ba", 59: "bh"} {
		if choices[n].Key != want {
			t.Errorf("choice %d has %q, not %q", n, choices[n].Key, want)
		}
		for _, text := range []string{want, pairs[n][1]} {
			if id, err := read(text); err != nil || id != pairs[n][0] {
				t.Errorf("%q gives %q, %v", text, id, err)
			}
		}
	}
	if id, err := read("bi"); err == nil {
		t.Errorf("letters of no choice give %q", id)
	}
}

// What takes up paint and grit is held or called in as cloth is: ropes, helmets and lines nobody can look at; what
// only has rope in its name is metal. Common practice, no source.
func TestWhatCountsAsTextile(t *testing.T) {
	for family, want := range map[string]bool{
		"semi-static-rope": true, "dynamic-rope": true, "work-helmet": true, "mountaineering-helmet": true,
		"retractable": true, "sling": true, "toothed-rope-grab": false, "rigging-plate": false, "quick-link": false,
		"wire-anchor-strop": false, "tripod": false, "ice-axe": false, "crampons": false,
	} {
		if isTextile(family) != want {
			t.Errorf("%s: %v, not %v", family, !want, want)
		}
	}
}
