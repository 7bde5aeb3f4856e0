package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// Safety rules 9 to 23; those before are in safety_test.go, 13 and 14 in safety_meanwhile_test.go.

// lines says one line after the other and gives what was answered to the last.
func (c *conversation) lines(from, thread string, lines ...string) (h heard) {
	c.Helper()
	for _, l := range lines {
		h = c.say(from, thread, l)
	}
	return h
}

func TestSafety09_NewMarkSameSerial(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "quarantine D-14 rope creeps")
	for _, serial := range []string{"22-1180", "22 1180", "221180", "22.1180", "22-118O", "22-I180"} {
		h := c.lines("@ana", "", "take in D-99", "cam-handle-descender", "skerry works", "DUNLIN", serial)
		if !strings.Contains(h.text(), "a new mark doesn't make it another item") {
			t.Errorf("%s was taken: %s", serial, h.text())
		}
		c.say("@ana", "", "leave off")
		file := strings.Replace(yard, "mark: D-14, serial: 22-1180", fmt.Sprintf("mark: D-99, serial: %q", serial), 1)
		if err := c.load(file); err == nil || !strings.Contains(err.Error(), "D-14") {
			t.Errorf("imported with the serial %s: %v", serial, err)
		}
	}
	c.wantHeld("D-14")
	c.wantRefused(c.say("@ana", "", "inspect D-99"), "There is no D-99")
}

func TestSafety10_AgainUntilItLocks(t *testing.T) {
	t.Parallel()
	for _, fail := range []struct{ step, finding string }{{"on-rope.hold", "failed"}, {"function.action", "catch"}, {"function.action", "slow"}} {
		for _, later := range []string{"back and clear", "put right", "edit"} {
			t.Run(fail.finding+", then "+later, func(t *testing.T) {
				t.Parallel()
				c := talk(t)
				thread := c.begin("@ben", "D-14")
				c.until("@ben", thread, fail.step, nil)
				id, _ := c.send(Message{From: "@ben", Thread: thread, Text: fail.finding})
				i := c.open(thread)
				q, _ := flows.At(flows.Plan(i.flow, i.state), fail.step)
				switch later {
				case "back and clear":
					c.lines("@ben", thread, "back", "clear because it locked the second time")
				case "put right":
					c.say("@ben", thread, fmt.Sprintf("put right %d clear because it locked three times since", q.Position))
				case "edit":
					c.send(Message{From: "@ben", Thread: thread, Text: "clear because it locked", Replaces: id})
				}
				c.until("@ben", thread, "", nil)
				o := c.open(thread).outcome()
				if o.Verdict < flows.Quarantine {
					t.Errorf("failed once and then not, it comes out %s", o.Verdict)
				}
				if !slices.ContainsFunc(o.Rules, func(r flows.Rule) bool { return strings.HasSuffix(r.ID, "."+fail.finding) }) {
					t.Error("the first failure isn't in the record any more")
				}
				c.wantHeld("D-14")
			})
		}
	}
	t.Run("slow before cleaning is no failure", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		if _, v := c.inspect("@ben", "D-14", finds{"function.action": "slow_once"}); v.Holds() {
			t.Errorf("it is %s", v)
		}
	})
}

func TestSafety11_TheWrongMark(t *testing.T) {
	t.Parallel()
	t.Run("the serial isn't shown beforehand, and has to agree", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.lines("@ben", thread, "help", "why", "note x")
		c.lines("@dee", "", "history D-14", "can I use D-14", "due", "inspect D-14", "quarantine D-14 x")
		for _, r := range c.every {
			if strings.Contains(r.Text, "1180") {
				t.Errorf("the serial is in %q", r.Text)
			}
		}
		c.until("@ben", thread, "identity.serial", nil)
		c.wantSaid(c.say("@ben", thread, "22-1187"), asideDiffer) // that of D-41
		c.wantAsked(thread, "identity.serial")
		c.say("@ben", thread, "22-1187")
		c.wantHeld("D-14")
	})
	t.Run("no near match acts", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		for _, mark := range []string{"D-15", "D14", "D-1", "14", "D-", "41-D"} {
			for _, line := range []string{"inspect %s", "quarantine %s rope creeps", "can I use %s", "release %s cleaned and tried", "goods only %s worn", "history %s", "take over %s"} {
				c.send(Message{From: "@ana", Text: fmt.Sprintf(line, mark)})
			}
		}
		c.wantRefused(c.say("@ana", "", "inspect D-15"), "Nearest: D-14")
		for _, mark := range []string{"D-14", "D-41", "D-60"} {
			if s := c.status(mark); len(s.holds) > 0 || s.signed || s.item.Use != flows.People {
				t.Errorf("%s was touched", mark)
			}
			if i, err := c.busy(mark); err != nil || i != "" {
				t.Errorf("%s is being inspected by %s (%v)", mark, i, err)
			}
		}
	})
	t.Run("wrong one", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.inspect("@ben", "D-14", nil)
		h := c.say("@dee", "", "quarantine D-14 rope creeps")
		c.wantSaid(h, "descender with cam and handle, Skerry Works Dunlin, with @fay, rack 2")
		for _, wrong := range []struct{ from, text string }{
			{"@ana", "wrong one D-14, it is D-41"}, // not her report
			{"@dee", "wrong one D-14, it is D-14"},
			{"@dee", "wrong one D-14, it is D-15"},
			{"@dee", "wrong one D-41, it is D-14"},
			{"@dee", "wrong one D-14"},
		} {
			if h := c.say(wrong.from, "", wrong.text); !h.refused() {
				t.Errorf("%s says %q, and it was done: %s", wrong.from, wrong.text, h.text())
			}
			c.wantHeld("D-14")
		}
		id, _ := c.send(Message{From: "@dee", Text: "wrong one D-14, it is D-41"})
		c.view(func(tx *store.Tx) error {
			entries, err := tx.Caused(id)
			if len(entries) != 2 || entries[0].Kind != "hold" || entries[0].Subject != "item:D-41" {
				t.Errorf("the right one is to be held first: %v", entries)
			}
			return err
		})
		c.wantHeld("D-41")
		c.wantSaid(c.say("@dee", "", "can I use D-14"), "not for use until inspected")
		c.inspect("@ben", "D-14", nil)
		c.wantSaid(c.say("@dee", "", "can I use D-14"), "Yes.")
		c.wantRefused(c.say("@dee", "", "wrong one D-14, it is D-41"), "no report of yours")
	})
	t.Run("what an inspection found isn't moved", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.inspect("@ben", "D-14", finds{"look.cam": doubtful})
		c.wantRefused(c.say("@ben", "", "wrong one D-14, it is D-41"), "no report of yours")
		c.wantHeld("D-14")
	})
	t.Run("a mistaken retirement is struck by two", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.wantRefused(c.say("@ben", "", "strike D-14 the record was meant for D-41"), "isn't retired")
		c.inspect("@ben", "D-14", finds{"look.cam": "crack"})
		for _, who := range []string{"@dee", "@cal", "@eve", "@zed"} {
			if h := c.say(who, "", "strike D-14 the record was meant for D-41"); !h.refused() {
				t.Errorf("%s may not strike: %s", who, h.text())
			}
		}
		c.wantRefused(c.say("@ben", "", "strike D-14 oops"), "in writing")
		c.wantSaid(c.say("@ben", "", "strike D-14 the record was meant for D-41"), "stays retired until a second person")
		c.wantRefused(c.say("@ben", "", "strike D-14 the record was meant for D-41"), "You said so already")
		if c.status("D-14").retired == nil {
			t.Fatal("one person alone has struck a retirement")
		}
		c.wantSaid(c.say("@ana", "", "strike D-14 the record was meant for D-41"), "is struck, by @ben and @ana")
		if s := c.status("D-14"); s.retired != nil || s.usable(s.last.Day) {
			t.Errorf("struck, it is not for use until inspected: %s", s.sentence(s.last.Day))
		}
		c.wantSaid(c.say("@ben", "", "history D-14"), "retire, ")
		c.say("@dee", "", "can I use D-14")
	})
}

// busy is who inspects an item.
func (c *conversation) busy(mark string) (who string, err error) {
	c.view(func(tx *store.Tx) error {
		var row store.Inspection
		row, _, err = tx.Unfinished(c.room, mark)
		who = row.Inspector
		return nil
	})
	return who, err
}

func TestSafety19_DressingAnEdge(t *testing.T) {
	t.Parallel()
	for finding, want := range map[string]flows.Verdict{"dressed": flows.Watch, "raised": flows.Quarantine, "sharp": flows.Retire} {
		t.Run(finding, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			i := c.open(c.begin("@ben", "D-14"))
			step := ""
			for _, s := range i.flow.Steps() {
				if s.Check != nil && strings.HasSuffix(s.Check.ID, "edges") {
					if _, has := s.Check.Finding(finding); has && (step == "" || finding != "sharp") {
						step = s.Name
					}
				}
			}
			c.until("@ben", i.ID, step, nil)
			q, _ := c.open(i.ID).next()
			c.say("@ben", i.ID, finds{step: finding}.words(q))
			if v := c.open(i.ID).outcome().Worst(); v != want {
				t.Errorf("an edge %s is %s; it should be %s", finding, v, want)
			}
		})
	}
	library, err := sharedLibrary()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range library {
		for _, s := range f.Steps() {
			if s.Check == nil || !s.Check.Critical {
				continue
			}
			for _, g := range s.Check.Findings {
				if strings.Contains(strings.ToLower(g.Label), "dressed") && g.Verdict < flows.Quarantine {
					t.Errorf("%s %s: what kills is never dressed and used: %s", f.ID, s.Name, g.Label)
				}
			}
		}
	}
}

func TestSafety20_IndicatorClosedSoDone(t *testing.T) {
	t.Parallel()
	library, err := sharedLibrary()
	if err != nil {
		t.Fatal(err)
	}
	checks := 0
	for _, f := range library {
		for _, critical := range []bool{true, false} { // each answered clear alone takes no other question away
			for _, s := range f.Steps() {
				if s.Check == nil || s.Check.Critical != critical || len(s.Check.When.Found) > 0 {
					continue
				}
				facts := map[string]string{}
				for _, w := range s.Check.When.Facts {
					fact, choice, _ := strings.Cut(w, ".")
					facts[fact] = choice
				}
				state := f.Start(flows.Start{Item: flows.Item{Mark: "X-1", Serial: "1"}, Facts: facts})
				before := stepsOf(flows.Plan(f, state))
				after, _, err := flows.Advance(f, state, flows.Answer{Step: s.Name, Clear: true})
				if err != nil {
					t.Fatalf("%s %s: %v", f.ID, s.Name, err)
				}
				for _, step := range before {
					if !slices.Contains(stepsOf(flows.Plan(f, after)), step) {
						t.Errorf("%s: %s clear, and %s isn't asked any more", f.ID, s.Name, step)
					}
				}
				if o := flows.Judge(f, after); o.Verdict != flows.Incomplete {
					t.Errorf("%s: %s clear alone is %s", f.ID, s.Name, o.Verdict)
				}
				checks++
			}
		}
	}
	if checks < 50 {
		t.Errorf("only %d checks were tried", checks)
	}
}

func stepsOf(plan []flows.Question) (steps []string) {
	for _, q := range plan {
		steps = append(steps, q.Steps...)
	}
	return steps
}

func TestSafety22_AnOldFit(t *testing.T) {
	t.Parallel()
	t.Run("a fit is never said bare", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "", finds{"measure.cam_groove": "0.00 0.00 0.00"})
		h := c.say("@ben", thread, "sign fit")
		h = append(h, c.say("@dee", "", "can I use D-14")...)
		for _, r := range h {
			for _, words := range []string{"fit when inspected on 14 November 2026, due 14 May 2027", "before each use"} {
				if !strings.Contains(r.Text, words) {
					t.Errorf("%q doesn't say %q", r.Text, words)
				}
			}
		}
	})
	for name, hold := range map[string]func(c *conversation){
		"reported":              func(c *conversation) { c.say("@dee", "", "quarantine D-14 rope creeps") },
		"reported by no member": func(c *conversation) { c.say("@zed", "", "quarantine D-14 rope creeps") },
		"found": func(c *conversation) {
			thread := c.begin("@ana", "D-14")
			c.until("@ana", thread, "look.cam", nil)
			c.say("@ana", thread, doubtful)
		},
		"signed stricter": func(c *conversation) {
			thread := c.begin("@ana", "D-14")
			c.until("@ana", thread, "", nil)
			c.say("@ana", thread, "sign quarantine because the spring feels weak")
		},
		"moved here": func(c *conversation) { c.lines("@dee", "", "quarantine D-41 creeps", "wrong one D-41, it is D-14") },
		"left off": func(c *conversation) {
			thread := c.begin("@ana", "D-14")
			c.until("@ana", thread, "look.cam", nil)
			c.lines("@ana", thread, "can't tell, dark", "leave off")
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			old, _ := c.inspect("@ben", "D-14", nil)
			c.forward(time.Hour)
			c.every = nil
			hold(c)
			c.wantHeld("D-14")
			told := 0
			for _, r := range c.every {
				if r.Thread == old && strings.Contains(r.Text, "no longer holds") {
					told++
				}
			}
			if told != 1 {
				t.Errorf("the conversation in which it was signed fit was told %d times", told)
			}
		})
	}
	t.Run("status is worked out now", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.inspect("@ben", "D-14", finds{"measure.cam_groove": "0.00 0.00 0.00"})
		c.now = time.Date(2027, 5, 14, 23, 0, 0, 0, time.UTC)
		c.wantSaid(c.say("@dee", "", "can I use D-14"), "Yes.")
		c.now = time.Date(2027, 5, 15, 0, 30, 0, 0, time.UTC)
		c.wantSaid(c.say("@dee", "", "can I use D-14"), "No.")
	})
	t.Run("goods only is for good", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		for _, who := range []string{"@dee", "@eve", "@zed"} {
			if h := c.say(who, "", "goods only D-14 worn, kept for hauling"); !h.refused() {
				t.Errorf("%s may not: %s", who, h.text())
			}
		}
		c.wantRefused(c.say("@ana", "", "goods only D-14"), "Say why")
		c.say("@ana", "", "goods only D-14 worn, kept for hauling")
		c.wantRefused(c.say("@ana", "", "goods only D-14 worn, kept for hauling"), "already")
		if err := c.load(yard); err == nil {
			t.Error("a team file gave it back to people")
		}
		if use := c.status("D-14").item.Use; use != flows.Goods {
			t.Errorf("it is for %s", use)
		}
	})
}

func TestSafety23_WatchForEver(t *testing.T) {
	t.Parallel()
	grooved := finds{"look.cam": "groove"}
	// again is the question about what was watched before.
	const again = "since.cam-groove"
	t.Run("half the interval", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		if _, v := c.inspect("@ben", "D-14", grooved); v != flows.Watch {
			t.Fatalf("a groove is %s", v)
		}
		// 6 months halved is 3 whole months: 14 February 2027
		if s := c.status("D-14"); s.due.String() != "2027-02-14" {
			t.Errorf("look again by %s", s.due)
		}
	})
	for name, third := range map[string]finds{
		"still there":                     {again: "same", "look.cam": "groove"},
		"found again though it was gone":  {"look.cam": "groove"},
		"still there, and not found anew": {again: "same"},
	} {
		t.Run("a third time running: "+name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			c.inspect("@ben", "D-14", grooved)
			c.forward(24 * time.Hour)
			if _, v := c.inspect("@ana", "D-14", third); v != flows.Watch {
				t.Fatalf("the second time it is %s", v)
			}
			c.forward(24 * time.Hour)
			thread := c.begin("@ana", "D-14") // one that comes to nothing breaks no row
			c.until("@ana", thread, "look.cam", nil)
			c.say("@ana", thread, "leave off")
			c.forward(24 * time.Hour)
			if _, v := c.inspect("@ben", "D-14", third); v != flows.Quarantine {
				t.Errorf("the third time it is %s", v)
			}
			c.wantHeld("D-14")
		})
	}
	for _, grew := range []string{"worse", "gone-unknown"} {
		t.Run("it is "+grew, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			c.inspect("@ben", "D-14", grooved)
			if _, v := c.inspect("@ana", "D-14", finds{again: grew}); v != flows.Quarantine {
				t.Errorf("it is %s", v)
			}
		})
	}
	t.Run("no place and number, no watch", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		place := flows.PlaceStep("cam.groove")
		c.until("@ben", thread, place, grooved)
		for _, vague := range []string{"on the cam", "small", "", "ok", "here and there"} {
			if h := c.say("@ben", thread, vague); !h.refused() {
				t.Errorf("%q was taken as its place: %s", vague, h.text())
			}
		}
		c.wantRefused(c.say("@ben", thread, "sign watch"), "Not yet")
		c.say("@ben", thread, "can't tell, it runs all round")
		c.until("@ben", thread, "", nil)
		if v := c.open(thread).outcome().Verdict; v != flows.Quarantine {
			t.Errorf("a watch without a place is %s", v)
		}
	})
}
