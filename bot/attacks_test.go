package bot

import (
	"strings"
	"testing"
)

// TestAttacks are ways round the rules that a tired, hurried, proud or dishonest member might try in a year. Each says what
// mustn't come of it.
func TestAttacks(t *testing.T) {
	t.Parallel()
	unusable := func(c *conversation, mark string) {
		c.Helper()
		if h := c.say("@cal", "", "can I use "+mark); strings.HasPrefix(h.text(), "Yes") {
			c.Errorf("%s may be used: %s", mark, h.text())
		}
	}
	for name, attack := range map[string]func(c *conversation){
		"a proud keeper has a friend agree that he is competent": func(c *conversation) {
			c.say("@cal", "", "add @pal")
			c.say("@cal", "", "competent @cal for cam-handle-descender until 30 June 2027: years of it")
			c.wantRefused(c.say("@pal", "", "agree @cal"), "@ben")
			c.wantRefused(c.say("@cal", c.begin("@cal", "D-41"), "sign fit"), "")
		},
		"a hurried one releases what was just reported": func(c *conversation) {
			c.inspect("@ben", "D-41", nil)
			c.say("@dee", "", "quarantine D-41 slips")
			c.wantRefused(c.say("@ben", "", "release D-41 tried it, nothing wrong with it"), "complete new inspection")
			unusable(c, "D-41")
		},
		"supervised, it is used as if it were inspected": func(c *conversation) {
			thread := c.begin("@dee", "D-41")
			c.until("@dee", thread, "", nil)
			c.say("@ben", "", "supervise D-41 fit")
			unusable(c, "D-41")
			c.wantRefused(c.say("@dee", "", "issue D-41 to @dee"), "D-41")
		},
		"somebody supervises their own inspection": func(c *conversation) {
			thread := c.begin("@ben", "D-41")
			c.until("@ben", thread, "", nil)
			c.wantRefused(c.say("@ben", "", "supervise D-41 fit"), "yourself")
		},
		"a caliper that was found out is listed anew": func(c *conversation) {
			c.inspect("@ben", "D-41", finds{"look.cam": "groove"})
			c.say("@cal", "", "instrument C-2 out by 0.3 mm")
			unusable(c, "D-41")
			if err := c.load(yard); err != nil {
				c.Fatal(err)
			}
			unusable(c, "D-41")
			if i := c.open(c.begin("@ben", "D-14")); i.started.Instrument != "" {
				c.Errorf("%s is taken for readings again, by being listed", i.started.Instrument)
			}
		},
		"a held item is hidden in a sealed bag": func(c *conversation) {
			c.inspect("@ben", "D-41", nil)
			c.say("@dee", "", "quarantine D-41 slips")
			c.say("@cal", "", "seal B-1 number 4471 with D-41")
			unusable(c, "D-41")
			unusable(c, "B-1")
			c.wantRefused(c.say("@dee", "", "issue B-1 to @dee"), "D-41")
		},
		"a set is made so that a held part isn't looked at": func(c *conversation) {
			c.inspect("@ben", "D-41", nil)
			c.say("@dee", "", "quarantine D-41 slips")
			c.say("@cal", "", "set S-1 of D-41, D-14")
			unusable(c, "S-1")
			c.wantRefused(c.say("@dee", "", "issue S-1 to @dee"), "D-41")
		},
		"kit for goods is drawn for a person": func(c *conversation) {
			c.inspect("@ben", "D-41", nil)
			c.say("@ben", "", "goods only D-41 worn, kept for hauling")
			c.wantRefused(c.say("@dee", "", "issue D-41 to @dee"), "goods")
		},
		"a retired one is destroyed by nobody but its finder's word": func(c *conversation) {
			c.inspect("@ben", "D-60", finds{"look.cam": "crack"})
			c.wantRefused(c.say("@ben", "", "destroyed D-60 witness @ben"), "")
			c.wantRefused(c.say("@ben", "", "destroyed D-60"), "witness")
			unusable(c, "D-60")
		},
		"an item not seen comes back by being returned": func(c *conversation) {
			c.inspect("@ben", "D-41", nil)
			c.say("@dee", "", "not seen D-41")
			c.say("@dee", "", "return D-41 rack 3")
			unusable(c, "D-41")
			c.say("@dee", "", "found D-41 in the east hut")
			unusable(c, "D-41")
		},
		"the last keeper takes everybody off the list to be alone": func(c *conversation) {
			c.say("@cal", "", "not keeper @ana")
			for _, who := range []string{"@ana", "@ben", "@dee", "@eve", "@fay"} {
				c.say("@cal", "", "remove "+who+" left")
			}
			c.say("@cal", "", "competent @cal for cam-handle-descender until 30 June 2027: years of it")
			if h := c.say("@cal", "", "team"); strings.Contains(h.text(), "competent for") && !strings.Contains(h.text(), "own word") && !strings.Contains(h.text(), "has to agree") {
				c.Errorf("nothing says that it rests on his own word: %s", h.text())
			}
		},
		"one typist makes the maker's interval longer": func(c *conversation) {
			strict := strings.Replace(yard, "figures: {", "figures: {interval_months: 3, life_made_years: 5, ", 1)
			if err := c.load(strict); err != nil {
				c.Fatal(err)
			}
			c.inspect("@ben", "D-41", nil)
			c.forward(100 * 24 * 3600e9) // past three months, within six
			unusable(c, "D-41")
			alone := strings.Replace(yard, `confirmed_by: ["@ana", "@ben"]`, `confirmed_by: ["@ana"]`, 1)
			if err := c.load(alone); err != nil {
				c.Fatal(err)
			}
			unusable(c, "D-41")
			if err := c.load(yard); err != nil { // two people stand for it
				c.Fatal(err)
			}
			if h := c.say("@cal", "", "can I use D-41"); !strings.Contains(h.text(), "Yes. D-41") {
				c.Errorf("two people and a document make it longer, and it isn't: %s", h.text())
			}
		},
		"a drop is reported as nothing, after the day's inspection": func(c *conversation) {
			c.inspect("@ben", "D-41", nil)
			c.forward(3600e9)
			c.say("@dee", "", "incident dropped on the slip today, D-41 @dee")
			c.say("@dee", "", "that's all")
			unusable(c, "D-41")
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			attack(talk(t))
		})
	}
}
