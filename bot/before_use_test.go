package bot

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// Nothing but the word "clear" says that nothing is wrong, and nothing of a check before use is written down before it is
// said. Common practice, no source.
func TestBeforeUseTakesNothingButClear(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	for _, text := range []string{"ok", "OK", "yes", "y", "👍", "fine", "all good", "done", "", "clear enough", "not clear", "all clear", "clear clear", "the handle is loose", "?", "can't tell", "can't tell z", "z", "1", "fit", "pass"} {
		before := c.record()
		c.wantSaid(c.say("@dee", "", "check D-14"), "before use, in your hands")
		if h := c.say("@dee", "", text); !h.refused() {
			t.Errorf("%q: %s", text, h.text())
		}
		if c.record() != before {
			t.Errorf("%q was written down", text)
		}
		if s := c.status("D-14"); len(s.holds) > 0 {
			t.Fatalf("%q holds it", text)
		}
	}
}

// Clear moves no date and lifts nothing, however often it is said.
func TestBeforeUseMovesNoDate(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	due := c.status("D-14").due
	for range 3 {
		c.forward(40 * 24 * time.Hour)
		c.say("@dee", "", "check D-14")
		c.wantSaid(c.say("@dee", "", "clear"), "That is no inspection")
		if now := c.status("D-14").due; now != due {
			t.Errorf("it was due on %v and is due on %v", due, now)
		}
	}
	c.forward(300 * 24 * time.Hour)
	c.wantRefused(c.say("@dee", "", "check D-14"), "doesn't change that")
	c.say("@dee", "", "fault D-41 creeps")
	c.wantRefused(c.say("@dee", "", "before use D-41"), "doesn't change that")
	c.wantHeld("D-41")
}

// Each letter holds it, with words or without, and so does what can't be told.
func TestBeforeUseHoldsByOneLetter(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	c.say("@dee", "", "check D-14")
	for text, why := range map[string]string{
		"a":               "before use, action: not as it should be (",
		"B":               "before use, cam: not as it should be (",
		"b, c it rattles": "before use, cam and cam edges: it rattles",
		"a, A. sticks":    "before use, action: sticks",
		"can't tell b":    "before use, cam: can't be told",
		"? d in the dark": "before use, handle: can't be told in the dark",
	} {
		h := c.try(Message{From: "@dee", Text: text})
		c.wantSaid(h, "D-14 is in quarantine from now")
		c.wantSaid(h, "reported by @dee: "+why)
	}
	c.say("@dee", "", "b, c it rattles")
	c.wantHeld("D-14")
	if s := c.status("D-14"); s.holds[0].Why != "before use, cam and cam edges: it rattles" {
		t.Errorf("held for %q", s.holds[0].Why)
	}
}

// What the flow asks by a fact isn't asked of a model that hasn't got it.
func TestBeforeUseLeavesOutWhatAModelHasNot(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	h := c.say("@dee", "", "check D-14")
	if strings.Contains(h.text(), "indicator") { // D-14 has a pin
		t.Errorf("%s", h.text())
	}
	ids := []string{}
	for _, choice := range h[len(h)-1].Ask.Choices {
		ids = append(ids, choice.Check)
	}
	if want := []string{"action", "cam", "cam_edges", "handle", "plates_body"}; !slices.Equal(ids, want) {
		t.Errorf("asked are %v, not %v", ids, want)
	}
}

// Too fast, too late, out of use meanwhile, or somebody else's inspection: nothing is taken for clear.
func TestBeforeUseAtTheWrongMoment(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	before := c.record()
	c.send(Message{From: "@dee", Text: "check D-14", At: c.now})
	_, h := c.send(Message{From: "@dee", Text: "clear", At: c.now.Add(4 * time.Second)})
	c.wantRefused(h, "faster than anybody can look")
	c.forward(61 * time.Minute)
	c.wantRefused(c.say("@dee", "", "clear"), "doesn't count any more")
	c.wantRefused(c.say("@zed", "", "check D-14"), "only report a fault")
	thread := c.begin("@ben", "D-14")
	c.wantRefused(c.say("@dee", "", "check D-14"), "being inspected by @ben")
	c.wantRefused(c.say("@ben", "", "check D-14"), "in the middle of inspecting")
	c.say("@ben", thread, "leave off")
	if got := c.record(); strings.Contains(strings.TrimPrefix(got, before), "checked before use") {
		t.Errorf("written down: %s", strings.TrimPrefix(got, before))
	}
	c.say("@dee", "", "check D-14")
	c.say("@cal", "", "quarantine D-14 dropped")
	c.wantRefused(c.say("@dee", "", "clear"), "doesn't change that")
}
