package bot

import (
	"strings"
	"testing"

	"becket/flows"
)

// A groove doesn't grow back: what an inspection measured is measured again in the next one, whatever is said to
// be gone, and a limit that was reached isn't cleared by not measuring.
func TestSafety08_WhatWasMeasuredIsMeasuredAgain(t *testing.T) {
	t.Parallel()
	for name, end := range map[string]string{"signed": "sign quarantine", "left off": "leave off"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			thread := c.begin("@ana", "D-14")
			c.until("@ana", thread, "measure.plate_groove", finds{"look.path": "groove"})
			h := c.say("@ana", thread, "0.98 0.98 0.98") // within the doubt of 1 mm
			if !strings.Contains(h.text(), "held from now") {
				t.Fatalf("it isn't held: %s", h.text())
			}
			if end != "leave off" {
				c.until("@ana", thread, "", nil)
			}
			c.say("@ana", thread, end)
			again := c.begin("@ben", "D-14")
			c.until("@ben", again, "measure.plate_groove", nil)
			c.wantAsked(again, "measure.plate_groove")
			c.say("@ben", again, "0.99 0.99 0.99")
			c.until("@ben", again, "", nil)
			c.wantRefused(c.say("@ben", again, "sign fit"), "can't")
			c.wantHeld("D-14")
		})
	}
}

// What held an item and is said to be gone needs a word how.
func TestSafety08_GoneNeedsAWordHow(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "quarantine D-14 rope creeps")
	thread := c.begin("@ana", "D-14")
	c.until("@ana", thread, "close.gone", nil)
	c.wantAsked(thread, "close.gone")
	for _, nothing := range []string{"", "ok", "-", "clear"} {
		if h := c.say("@ana", thread, nothing); !h.refused() {
			t.Errorf("%q was taken: %s", nothing, h.text())
		}
	}
}

// Goods only is said wherever the item is said to be fit.
func TestGoodsOnlyIsSaidWithFit(t *testing.T) {
	t.Parallel()
	c := talk(t)
	if _, v := c.inspect("@ana", "D-41", nil); v != flows.Fit {
		t.Fatalf("it came out %s", v)
	}
	c.wantSaid(c.say("@ana", "", "goods only D-41 dropped from the crag"), "goods only from now")
	for _, line := range []string{"can I use D-41", "history D-41"} {
		if h := c.say("@dee", "", line); !strings.Contains(strings.ToLower(h.text()), "goods") {
			t.Errorf("%s doesn't say goods only: %s", line, h.text())
		}
	}
}

// Of an item that is held, a clear inspection says first that it is still held.
func TestSafety22_FitIsNotSaidOfAHeldItem(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ana", "D-41")
	c.say("@dee", "", "quarantine D-41 gate sticks")
	c.until("@ana", thread, "", nil)
	h := c.say("@ana", thread, "sign fit")
	if !strings.Contains(h.text(), "STILL IN QUARANTINE") || strings.Contains(h.text(), "fit when inspected") {
		t.Errorf("it is said to be fit: %s", h.text())
	}
	c.wantHeld("D-41")
}

// A line that names several marks holds them all, and no answer is given for one of several.
func TestSafety11_SeveralMarksInALine(t *testing.T) {
	t.Parallel()
	for _, line := range []string{"quarantine D-14 and D-41 dropped", "quarantine D-14, D-41, D-60: dropped", "quarantine D-14 D-41"} {
		c := talk(t)
		c.say("@dee", "", line)
		c.wantHeld("D-14")
		c.wantHeld("D-41")
		c.wantRefused(c.say("@dee", "", "can I use D-14 and D-41"), "One at a time")
	}
}
