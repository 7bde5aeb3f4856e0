package bot

import (
	"slices"
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// Safety rules 13 and 14: what changes while an inspection is under way.

// figures types a sheet's figures in the order in which they are asked for; the rest isn't on the sheet.
func (c *conversation) figures(from, thread string, given map[string]string) {
	c.Helper()
	f := c.bot.library["cam-handle-descender"]
	for _, g := range append(slices.Clone(f.Figures), generalFigures()...) {
		said, ok := given[g.ID]
		if !ok {
			said = notKnown
		}
		c.say(from, thread, said)
	}
}

// keySheet types the sheet of the Dunlin anew.
func (c *conversation) keySheet(from, thread string, given map[string]string) heard {
	c.Helper()
	c.lines(from, thread, "sheet Skerry Works, Dunlin", "cam-handle-descender", "Dunlin care sheet (invented)", "4", "table 2")
	c.figures(from, thread, given)
	return c.lines(from, thread, "pin", "yes")
}

// confirmSheet types it a second time.
func (c *conversation) confirmSheet(from, thread string, given map[string]string) heard {
	c.Helper()
	if h := c.say(from, thread, "confirm sheet Skerry Works, Dunlin"); h.refused() {
		return h
	}
	c.figures(from, thread, given)
	return c.say(from, thread, "pin")
}

// dunlin are the figures of the yard's sheet, with another least diameter of the pin.
func dunlin(pinMin string) map[string]string {
	return map[string]string{
		"cam_groove_max": "1.037", "plate_groove_max": "1.037", "pin_new": "8.137", "pin_min": pinMin, "gap_new": "14.139", "gap_max": "15.153",
		"creep_max": "26.173", "rivet_count": "6", "handle_positions": "4",
	}
}

func TestSafety13_ALimitTightened(t *testing.T) {
	t.Parallel()
	// The pin reads 7.600; with its doubt of 0.04 it is above the old limit of 7.413.
	ready := func(t *testing.T, pin string) (*conversation, string) {
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "", finds{"measure.wear_pin": pin})
		return c, thread
	}
	pin := "7.600 7.605 7.603"
	t.Run("tightened", func(t *testing.T) {
		t.Parallel()
		c, thread := ready(t, pin)
		if v := c.open(thread).outcome().Verdict; v != flows.Watch {
			t.Fatalf("by the old sheet it is %s", v)
		}
		c.keySheet("@ana", "", dunlin("7.7"))
		c.wantSaid(c.confirmSheet("@fay", "", dunlin("7.7")), "count from now")
		c.wantRefused(c.say("@ben", thread, "sign watch"), "the rules say retire")
		c.say("@ben", thread, "sign retire")
		c.wantHeld("D-14")
	})
	t.Run("widened", func(t *testing.T) {
		t.Parallel()
		c, thread := ready(t, "7.400 7.405 7.403")
		c.keySheet("@ana", "", dunlin("6.9"))
		c.confirmSheet("@fay", "", dunlin("6.9"))
		c.wantRefused(c.say("@ben", thread, "sign watch"), "the rules say retire")
	})
	t.Run("typed by one only", func(t *testing.T) {
		t.Parallel()
		c, thread := ready(t, pin)
		c.keySheet("@ana", "", dunlin("6.9"))
		c.wantRefused(c.say("@ben", thread, "sign watch"), "the rules say quarantine")
	})
	t.Run("by a team file", func(t *testing.T) {
		t.Parallel()
		c, thread := ready(t, pin)
		if err := c.load(strings.Replace(yard, "pin_min: 7.413", "pin_min: 7.7", 1)); err != nil {
			t.Fatal(err)
		}
		c.wantRefused(c.say("@ben", thread, "sign watch"), "the rules say retire")
	})
	t.Run("the same person twice", func(t *testing.T) {
		t.Parallel()
		c, thread := ready(t, pin)
		c.keySheet("@ana", "", dunlin("6.9"))
		c.wantRefused(c.confirmSheet("@ana", "", dunlin("6.9")), "Somebody else has to")
		// begun as the second, and then the first too, in another conversation
		c.keySheet("@fay", "", dunlin("6.9"))
		c.say("@ana", "$side", "confirm sheet Skerry Works, Dunlin")
		c.figures("@ana", "$side", dunlin("6.9"))
		c.keySheet("@ana", "", dunlin("6.9"))
		c.wantRefused(c.say("@ana", "$side", "pin"), "Somebody else has to")
		c.wantRefused(c.say("@ben", thread, "sign watch"), "the rules say quarantine")
	})
	t.Run("two who confirm at once, and differ", func(t *testing.T) {
		t.Parallel()
		c, thread := ready(t, pin)
		c.keySheet("@ana", "", dunlin("6.9"))
		for _, who := range []string{"@ben", "@fay"} {
			c.say(who, "$side", "confirm sheet Skerry Works, Dunlin")
		}
		c.figures("@ben", "$side", dunlin("7.0"))
		c.figures("@fay", "$side", dunlin("6.9"))
		c.wantSaid(c.say("@ben", "$side", "pin"), "Neither counts")
		c.wantRefused(c.say("@fay", "$side", "pin"), "typed the figures of Skerry Works Dunlin differently")
		c.wantRefused(c.say("@ben", thread, "sign watch"), "the rules say quarantine")
	})
	t.Run("limits on the wrong side of new", func(t *testing.T) {
		t.Parallel()
		c, _ := ready(t, pin)
		c.wantRefused(c.keySheet("@ana", "", dunlin("8.2")), "already be at the limit")
	})
}

// The pin reads 7.600, doubt 0.04, and the item is signed as watched above the old limit of 7.413. A new edition comes after.
func TestSafety13_TheWholeStore(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name, pin, limit, says string
		held                   bool
	}{
		{"tightened past the reading", "7.600 7.605 7.603", "7.7", "D-14 is in QUARANTINE", true},
		{"the doubt alone reaches it", "7.600 7.605 7.603", "7.58", "D-14 is in QUARANTINE", true},
		{"tightened, not so far", "7.600 7.605 7.603", "7.5", "none is stricter", false},
		{"taken away", "7.600 7.605 7.603", notKnown, "D-14 is in QUARANTINE", true},
		{"widened", "7.600 7.605 7.603", "6.9", "none is stricter", false},
		{"widened after it was held", "7.400 7.405 7.403", "6.9", "none is stricter", true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			c.inspect("@ben", "D-14", finds{"measure.wear_pin": tt.pin})
			c.keySheet("@ana", "", dunlin(tt.limit))
			c.wantSaid(c.confirmSheet("@fay", "", dunlin(tt.limit)), tt.says)
			if held := len(c.status("D-14").holds) > 0; held != tt.held {
				t.Errorf("held: %t, want %t", held, tt.held)
			}
		})
	}
}

func TestSafety14_StaleAnswers(t *testing.T) {
	t.Parallel()
	const long = 15 * time.Hour
	attacks := map[string]func(c *conversation, th string){
		"nothing":         func(c *conversation, th string) { c.forward(long) },
		"pause, carry on": func(c *conversation, th string) { c.forward(long); c.lines("@ben", th, "pause", "carry on") },
		"paused meanwhile": func(c *conversation, th string) {
			c.say("@ben", th, "pause")
			c.forward(long)
			c.say("@ben", th, "carry on")
		},
		"put right": func(c *conversation, th string) { c.forward(long); c.say("@ben", th, positionOfCam(c, th)+" clear") },
		"put right in pause": func(c *conversation, th string) {
			c.say("@ben", th, "pause")
			c.forward(long)
			c.lines("@ben", th, positionOfCam(c, th)+" clear", "carry on")
		},
		"note": func(c *conversation, th string) { c.forward(long); c.say("@ben", th, "note a long night") },
		"back": func(c *conversation, th string) { c.forward(long); c.say("@ben", th, "back") },
		"help": func(c *conversation, th string) { c.forward(long); c.lines("@ben", th, "help", "why") },
		"an edit": func(c *conversation, th string) {
			c.forward(long)
			id := ""
			for _, a := range c.open(th).answers {
				if a.Step == "look.cam" {
					id = a.entry.Cause
				}
			}
			c.send(Message{From: "@ben", Thread: th, Text: "clear", Replaces: id})
		},
		"sign": func(c *conversation, th string) {
			c.until("@ben", th, "", nil)
			c.forward(long)
			c.say("@ben", th, "sign fit")
		},
		"taken over": func(c *conversation, th string) {
			c.forward(long)
			c.lines("@ana", th, "take over", "pause")
			c.lines("@ben", th, "take over")
		},
		"twice a long time": func(c *conversation, th string) { c.forward(long); c.say("@ben", th, "clear"); c.forward(long) },
	}
	for name, attack := range attacks {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			thread := c.begin("@ben", "D-14")
			c.until("@ben", thread, "function.action", nil)
			from := c.now.Add(time.Hour)
			attack(c, thread)
			c.until("@ben", thread, "", nil)
			c.say("@ben", thread, "sign fit")
			c.until("@ben", thread, "", nil)
			c.say("@ben", thread, "sign fit")
			i := c.open(thread)
			if i.State != store.SignedOff {
				t.Fatalf("it is %s", i.State)
			}
			for _, step := range []string{"identity.serial", "identity.marks", "look.cam", "look.path", "feel.cam_edges"} {
				if i.answeredAt(step).Before(from) {
					t.Errorf("%s wasn't asked again", step)
				}
			}
			if want := "2026-11-14"; i.signed.Day.String() == want {
				t.Errorf("the day of the examination is %s; look and feel were done again later", want)
			}
		})
	}
	t.Run("within 12 hours nothing but the last is asked again", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "function.action", nil)
		c.forward(12 * time.Hour)
		c.say("@ben", thread, "clear")
		if i := c.open(thread); !i.state.Answered("look.cam") || !i.state.Answered("function.action") {
			t.Error("it was asked again without need")
		}
	})
	t.Run("the day is that of look and feel", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.now = time.Date(2026, 11, 14, 20, 0, 0, 0, time.UTC)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "function.action", nil)
		c.forward(8 * time.Hour) // the next day
		c.until("@ben", thread, "", nil)
		c.wantSaid(c.say("@ben", thread, "sign fit"), "fit when inspected on 14 November 2026")
	})
	t.Run("a sender's clock is asked about and moves nothing", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "look.cam", nil)
		said := 0
		at := c.now.AddDate(1, 0, 0)
		for range 5 {
			at = at.Add(time.Minute)
			q, _ := c.open(thread).next()
			_, h := c.send(Message{From: "@ben", Thread: thread, Text: finds{}.words(q), At: at})
			said += strings.Count(h.text(), "Your clock says")
		}
		if said != 1 {
			t.Errorf("a clock a year off was asked about %d times", said)
		}
		c.until("@ben", thread, "", nil)
		// D-14 is examined on 14 November 2026; half a year on is 14 May 2027, half of that 14 February
		if h := c.say("@ben", thread, "sign fit"); !strings.Contains(h.text(), "2027") || strings.Contains(h.text(), "2028") {
			t.Errorf("due went by the sender's clock: %s", h.text())
		}
	})
}

// TestSafety13_ByATeamFile holds what a stricter sheet would have held also where it comes in with a file.
func TestSafety13_ByATeamFile(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", finds{"measure.wear_pin": "7.600 7.605 7.603"})
	if err := c.load(strings.Replace(yard, "pin_min: 7.413", "pin_min: 7.7", 1)); err != nil {
		t.Fatal(err)
	}
	c.wantSaid(c.deliver(), "D-14 is in QUARANTINE")
	c.wantHeld("D-14")
}
