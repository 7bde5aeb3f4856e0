package bot

import (
	"strings"
	"testing"
)

// TestSafety12_AHoldIsNeverRefused takes a fault from somebody nobody knows, holds the item and calls the keepers.
func TestSafety12_AHoldIsNeverRefused(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-41", nil)
	h := c.say("@zed", "", "quarantine D-41 the rope creeps")
	if h.refused() {
		t.Errorf("a stranger's fault is refused: %s", h.text())
	}
	c.wantSaid(h, "provisional")
	for _, keeper := range []string{"@ana", "@cal"} {
		told := false
		for _, r := range h {
			told = told || r.To == keeper && r.Room == keeper
		}
		if !told {
			t.Errorf("%s isn't told", keeper)
		}
	}
	c.wantHeld("D-41")
	if h := c.say("@zed", "", "release D-41 it was nothing, I was wrong"); !h.refused() {
		t.Errorf("the stranger takes it back: %s", h.text())
	}
	c.wantHeld("D-41")
}

// TestSafety17_OneKeyedFigure counts for nothing: what one person typed makes no reading fit.
func TestSafety17_OneKeyedFigure(t *testing.T) {
	t.Parallel()
	c := talk(t)
	if err := c.load(strings.Replace(yard, `confirmed_by: ["@ana", "@ben"]`, `confirmed_by: ["@ana", "@ana"]`, 1)); err != nil {
		t.Fatal(err)
	}
	thread := c.begin("@ben", "D-14")
	c.until("@ben", thread, "", nil)
	if o := c.open(thread).outcome(); o.Verdict.Usable() {
		t.Errorf("by figures that one person typed twice it is %s", o.Verdict)
	}
	c.wantRefused(c.say("@ben", thread, "sign fit"), "")
}

// TestSafety24_APhotoThatDidNotArrive leaves its question open and is no answer.
func TestSafety24_APhotoThatDidNotArrive(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	c.until("@ben", thread, "look.cam", nil)
	_, h := c.send(Message{From: "@ben", Thread: thread, Text: "a", Files: []File{{Name: "cam.png", Problem: "The photo didn't arrive whole. Send it again."}}})
	c.wantSaid(h, "Send it again")
	c.wantAsked(thread, "look.cam")
	if n := len(c.open(thread).photos); n != 0 {
		t.Errorf("%d photos are kept", n)
	}
}
