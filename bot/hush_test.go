package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestLoopIsBroken lets a program answer everything that Becket says with something that does nothing.
func TestLoopIsBroken(t *testing.T) {
	for name, words := range map[string]string{"what isn't understood": "beep", "looking up": "due", "an answer to nothing": "clear"} {
		t.Run(name, func(t *testing.T) {
			c := talk(t)
			c.bot.hushAfter = 20
			answered := 0
			for range 200 {
				answered += len(c.say("@ben", "", words))
				c.forward(100 * time.Millisecond)
			}
			if answered != 21 {
				t.Errorf("%d were answered, wanted 20 and one last word", answered)
			}
			c.wantSaid(c.every[len(c.every)-1:], "stop answering")
			// Others are heard, and so is what does something.
			if h := c.say("@ana", "", words); len(h) == 0 {
				t.Error("somebody else isn't answered")
			}
			c.wantSaid(c.say("@ben", "", "quarantine D-41 it creeps"), "D-41 is in quarantine")
			c.wantHeld("D-41")
			if h := c.say("@ben", "", "inspect D-14"); h.refused() || len(h) == 0 {
				t.Errorf("an inspection isn't begun: %s", h.text())
			}
			c.forward(61 * time.Second)
			if h := c.say("@ben", "", "due"); len(h) == 0 {
				t.Error("it is never answered again")
			}
		})
	}
}

// TestNobodyIsHushedAtWork: a whole inspection, and a form, that come in one burst after a time without a signal.
func TestNobodyIsHushedAtWork(t *testing.T) {
	c := talk(t)
	c.bot.hushAfter = 5
	c.inspect("@ben", "D-41", nil)
	form := []string{
		"take in", "D-77", "cam-handle-descender", "Skerry Works", "Dunlin", "22-1999", "22-1999", "?", "2026-01", "not yet", "people", "usual", "no limit", "no limit",
	}
	for n, line := range form {
		if h := c.say("@ana", "", line); len(h) == 0 || strings.Contains(h.text(), "stop answering") {
			t.Fatalf("line %d, %q: %s", n+1, line, h.text())
		}
	}
}

// TestEverythingIsAnsweredOnTheConsole: programs outside count on it.
func TestEverythingIsAnsweredOnTheConsole(t *testing.T) {
	c := talk(t)
	for n := range 100 {
		if h := c.say("@ben", "", fmt.Sprint("beep ", n)); len(h) != 1 {
			t.Fatalf("after %d messages: %d replies", n, len(h))
		}
	}
}
