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

// The rules are those of the list about the inspector's attention, by number: common practice where no source is
// given beside them. Rules 6, 7 and 15, on how the answers come, are in attention_pace_test.go.

// eachFlow is done for every family of the library, with each choice of its facts in turn.
func eachFlow(t *testing.T, do func(t *testing.T, f *flows.Flow, facts map[string]string)) {
	t.Helper()
	library, err := sharedLibrary()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range library {
		most := 1
		for _, fact := range f.Facts {
			most = max(most, len(fact.Choices))
		}
		for n := range most {
			facts := map[string]string{}
			for _, fact := range f.Facts {
				facts[fact.ID] = fact.Choices[min(n, len(fact.Choices)-1)].ID
			}
			t.Run(fmt.Sprint(f.ID, " ", n+1), func(t *testing.T) { do(t, f, facts) })
		}
	}
}

func TestAttention01_CriticalAlone(t *testing.T) {
	t.Parallel()
	eachFlow(t, func(t *testing.T, f *flows.Flow, facts map[string]string) {
		before := map[string]bool{} // sections in which something else was asked already
		critical := 0
		for _, q := range flows.Plan(f, f.Start(flows.Start{Facts: facts})) {
			step, _ := f.Step(q.Steps[0])
			if step.Check == nil || !step.Check.Critical {
				before[q.Section] = true
				continue
			}
			critical++
			if len(q.Steps) != 1 || before[q.Section] {
				t.Errorf("%v isn't alone, or isn't first in its section", q.Steps)
			}
			if n := len(optionsOf(q)); n < 4 {
				t.Errorf("%v has %d states; it should have four at least", q.Steps, n)
			}
			if text := wording(q, 1, 2); !strings.Contains(text, q.Clear) {
				t.Errorf("%v: its clear state isn't in words: %s", q.Steps, text)
			}
			if got, err := read(q, "a b", 0); err == nil {
				t.Errorf("%v: clear and a finding at once were taken: %v", q.Steps, got)
			}
			if got, err := read(q, "clear", 0); err != nil || len(got) != 1 {
				t.Errorf("%v: one reply settles %d steps (%v)", q.Steps, len(got), err)
			}
		}
		if critical == 0 {
			t.Error("nothing here is critical")
		}
	})
}

func TestAttention02_GroupsOfSixAtMost(t *testing.T) {
	t.Parallel()
	eachFlow(t, func(t *testing.T, f *flows.Flow, facts map[string]string) {
		for _, q := range flows.Plan(f, f.Start(flows.Start{Facts: facts})) {
			if len(q.Steps) > 6 {
				t.Errorf("%v are %d at once", q.Steps, len(q.Steps))
			}
		}
		for _, q := range flows.Plan(f, f.Start(flows.Start{Facts: facts, OneByOne: true})) {
			if len(q.Steps) > 1 {
				t.Errorf("%v at once, of somebody who may not sign", q.Steps)
			}
		}
	})
	for who, many := range map[string]bool{"@ben": true, "@dee": false, "@cal": false, "@eve": false} {
		t.Run(who, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			if got := c.groups(c.begin(who, "D-14")); got != many {
				t.Errorf("asked in groups: %v", got)
			}
		})
	}
	t.Run("taken over", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.say("@dee", thread, "take over")
		if c.groups(thread) {
			t.Error("who may not sign is asked in groups, since somebody else began")
		}
		c.say("@ana", thread, "take over")
		if !c.groups(thread) {
			t.Error("who may sign is asked one by one")
		}
	})
}

// groups tells whether several checks are asked at once in an inspection.
func (c *conversation) groups(thread string) bool {
	i := c.open(thread)
	return slices.ContainsFunc(flows.Plan(i.flow, i.state), func(q flows.Question) bool { return len(q.Steps) > 1 })
}

func TestAttention03_ValuesNotTicks(t *testing.T) {
	t.Parallel()
	eachFlow(t, func(t *testing.T, f *flows.Flow, facts map[string]string) {
		drawn := map[string]bool{}
		for seed := range uint64(40) {
			inHand := 0
			var controls []string
			plan := flows.Plan(f, f.Start(flows.Start{Item: flows.Item{Serial: "1"}, Facts: facts, Seed: seed}))
			for _, q := range plan {
				step, _ := f.Step(q.Steps[0])
				if step.Reading != nil || step.Value != nil {
					inHand++
				}
				if step.Value != nil && !step.Value.Required {
					controls = append(controls, step.Name)
				}
			}
			if inHand < 3 {
				t.Errorf("seed %d: %d answers need the item in the hand", seed, inHand)
			}
			drawn[fmt.Sprint(controls)] = true
			again := flows.Plan(f, f.Start(flows.Start{Item: flows.Item{Serial: "1"}, Facts: facts, Seed: seed}))
			if !slices.Equal(stepsOf(plan), stepsOf(again)) {
				t.Errorf("seed %d asks otherwise the second time", seed)
			}
		}
		if len(drawn) < 2 {
			t.Errorf("whatever the seed, the control questions are %v", drawn)
		}
		for _, s := range f.Sections {
			if len(s.Values)+len(s.Readings) == 0 {
				t.Errorf("section %s can be ticked without the item", s.ID)
			}
		}
	})
	t.Run("a nod is no value", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		for _, nod := range []string{"ok", "clear", "yes", "checked", "same"} {
			if h := c.say("@ben", thread, nod); !h.refused() {
				t.Errorf("%q was taken for a serial number", nod)
			}
		}
	})
}

func TestAttention04_NothingBeforeTheReading(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", finds{"look.cam": "groove", "measure.wear_pin": "7.927 7.928 7.929", "on-rope.hold": "creep", "on-rope.creep": "19.317"})
	c.every = nil
	thread := c.begin("@ben", "D-14")
	look := func() {
		for _, m := range []Message{
			{From: "@ben", Thread: thread, Text: "why"}, {From: "@ben", Text: "why D-14"}, {From: "@ben", Thread: thread, Text: "help"},
			{From: "@ben", Text: "history D-14"}, {From: "@dee", Text: "history D-14"}, {From: "@ana", Text: "can I use D-14"}, {From: "@ana", Text: "why D-14"}, {From: "@dee", Text: "due"},
			{From: "@dee", Text: "wear D-14"}, {From: "@ben", Text: "wear D-14"}, {From: "@ana", Text: "budget"}, {From: "@ana", Text: "causes"},
		} {
			c.send(m)
		}
	}
	sealed := func(words ...string) {
		t.Helper()
		for _, r := range c.every {
			for _, w := range words {
				if strings.Contains(r.Text, w) {
					t.Errorf("%q is said before its reading is in: %s", w, r.Text)
				}
			}
		}
	}
	look()
	c.until("@ben", thread, "measure.wear_pin", nil)
	look()
	// 8.05563 is 99 % of 8.137
	sealed("8.137", "7.413", "7.92", "8.05563", "26.173", "19.317", "fit when", "watched", "WATCH", "2026-0001")
	c.wantSaid(c.say("@ben", thread, "7.922 7.923 7.924"), "7.413") // now it may be said
	c.every = nil
	look()
	c.until("@ben", thread, "on-rope.hold", nil)
	look()
	c.say("@ben", thread, "creep") // a reading that only a finding asks for
	c.wantAsked(thread, "on-rope.creep")
	look()
	sealed("26.173", "19.317", "fit when", "2026-0001")
	c.wantSaid(c.say("@ben", thread, "19.318"), "26.173")
}

func TestAttention05_ThreeReadings(t *testing.T) {
	t.Parallel()
	eachFlow(t, func(t *testing.T, f *flows.Flow, _ map[string]string) {
		for _, s := range f.Steps() {
			if r := s.Reading; r != nil && r.Unit != "count" && len(r.When.Found) == 0 && r.Repeat < 3 {
				t.Errorf("%s is read %d times", s.Name, r.Repeat)
			}
		}
	})
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	c.until("@ben", thread, "measure.wear_pin", nil)
	for _, few := range []string{"7.871", "7.871 7.872", "7.871 7.872 7.873 7.874 7.875 7.876 7.877 7.878 7.879 7.870"} {
		c.wantRefused(c.say("@ben", thread, few), "readings")
	}
	h := c.say("@ben", thread, "7.871 7.872 7.283") // so far apart that they are taken again
	for _, echo := range []string{"7.871", "7.872", "7.283"} {
		if strings.Contains(h.text(), echo) {
			t.Errorf("an earlier reading is echoed: %s", h.text())
		}
	}
	h = c.say("@ben", thread, "7.871 7.612 7.873")
	c.wantSaid(h, "Worst 7.612, doubt 0.04")
}

func TestAttention08_AfterAFind(t *testing.T) {
	t.Parallel()
	for _, finding := range []string{doubtful, "crack"} {
		t.Run(finding, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			thread := c.begin("@ben", "D-14")
			c.until("@ben", thread, "look.cam", nil)
			i := c.open(thread)
			bench := slices.DeleteFunc(stepsOf(flows.Plan(i.flow, i.state)), func(s string) bool { return strings.HasPrefix(s, "on-rope") })
			h := c.say("@ben", thread, finding)
			if can := strings.Contains(h.text(), mayLeaveOff); can != (finding == "crack") {
				t.Errorf("may leave off is said: %v", can)
			}
			i = c.open(thread)
			after := stepsOf(flows.Plan(i.flow, i.state))
			for _, step := range bench {
				if !slices.Contains(after, step) {
					t.Errorf("%s isn't asked any more", step)
				}
			}
			if slices.ContainsFunc(after, func(s string) bool { return strings.HasPrefix(s, "on-rope") }) {
				t.Error("a suspect device goes on a rope")
			}
			c.say("@ben", thread, "leave off")
			if finding == doubtful {
				c.wantRefused(c.say("@ben", thread, "sign quarantine"), "finished")
				return
			}
			c.until("@ben", thread, "", nil)
			c.say("@ben", thread, "sign retire")
			c.wantSaid(c.say("@ben", "", "history D-14"), "Not done:")
			c.wantSaid(c.say("@ben", "", "history D-14"), "feel cam edges")
		})
	}
}

func TestAttention09_NothingFilledIn(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", finds{"look.cam": "groove"})
	thread := c.begin("@ben", "D-14")
	if i := c.open(thread); len(i.answers) > 0 || i.state.Answered("identity.serial") {
		t.Errorf("a new inspection begins with %d answers", len(i.answers))
	}
	asked := 0
	for range 60 {
		q, open := c.open(thread).next()
		if !open {
			break
		}
		for _, easy := range []string{"as last time", "same as last time", "same", "as before"} {
			if h := c.try(Message{From: "@ben", Thread: thread, Text: easy}); !h.refused() && q.Kind != flows.KindNote && q.Kind != flows.KindMatch {
				t.Errorf("%v took %q: %s", q.Steps, easy, h.text())
			}
		}
		asked++
		c.say("@ben", thread, finds{}.words(q))
	}
	if asked < 10 {
		t.Errorf("only %d questions were asked", asked)
	}
}

func TestAttention10_CantTellNeedsAReason(t *testing.T) {
	t.Parallel()
	for _, bare := range []string{"can't tell", "cant tell", "?", "can’t tell"} {
		t.Run(bare, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			thread := c.begin("@ben", "D-14")
			c.until("@ben", thread, "look.cam", nil)
			c.say("@ben", thread, bare)
			c.until("@ben", thread, "close.why", nil)
			for _, early := range []string{"sign quarantine", "sign fit", "", "ok"} {
				if h := c.say("@ben", thread, early); !h.refused() {
					t.Errorf("without a reason %q was taken: %s", early, h.text())
				}
			}
			c.say("@ben", thread, "the bar is stuck")
			c.until("@ben", thread, "", nil)
			c.wantRefused(c.say("@ben", thread, "sign fit"), "nobody can go milder")
			c.wantSaid(c.say("@ben", thread, "sign quarantine"), "Signed")
		})
	}
	t.Run("a reason given with it isn't asked for", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "look.cam", nil)
		c.say("@ben", thread, "can't tell, the bar is stuck")
		c.until("@ben", thread, "", nil)
		if c.open(thread).state.Answered("close.why") {
			t.Error("the reason was asked for a second time")
		}
	})
}

func TestAttention12_NoOpinionBeforeTheAnswer(t *testing.T) {
	t.Parallel()
	eachFlow(t, func(t *testing.T, f *flows.Flow, facts map[string]string) {
		for _, q := range flows.Plan(f, f.Start(flows.Start{Facts: facts})) {
			text := strings.ToLower(wording(q, 1, 2))
			for _, s := range q.Steps {
				step, _ := f.Step(s)
				if step.Check == nil {
					continue
				}
				for _, g := range step.Check.Findings {
					if g.Because != "" && strings.Contains(text, strings.ToLower(g.Because)) {
						t.Errorf("%s says what %s would mean before the answer", s, g.ID)
					}
				}
			}
			for _, opinion := range []string{"quarantine", "retire", "verdict"} {
				if strings.Contains(text, opinion) {
					t.Errorf("%v says %q before the answer: %s", q.Steps, opinion, text)
				}
			}
		}
	})
	t.Run("afterwards stricter only", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "", finds{"look.cam": "groove"})
		c.wantRefused(c.say("@ben", thread, "sign fit"), "nobody can go milder")
		c.wantRefused(c.say("@ben", thread, "sign incomplete"), "Type \"sign watch\"")
		c.wantRefused(c.say("@ben", thread, "sign quarantine"), "Add why")
		c.wantSaid(c.say("@ben", thread, "sign quarantine because the spring feels weak"), "Signed")
		c.wantHeld("D-14")
	})
}

func TestAttention13_AfterAPause(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	c.until("@ben", thread, "feel.cam_edges", nil)
	last := c.open(thread).lastSteps()
	c.lines("@ben", thread, "pause", "carry on")
	c.wantAsked(thread, last[0])
	c.say("@ben", thread, finds{}.words(func() flows.Question { q, _ := c.open(thread).next(); return q }()))
	c.wantAsked(thread, "feel.cam_edges")
	c.say("@ben", thread, "pause")
	c.forward(13 * time.Hour)
	c.wantSaid(c.say("@ben", thread, "carry on"), carryingOnLate)
	c.wantAsked(thread, "identity.serial")
}

func TestAttention14_BareHands(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	h := c.until("@ben", thread, "feel.cam_edges", nil)
	c.wantSaid(h, feelHands)
	for _, gloved := range []string{"gloves", "Gloved.", "numb", "cold hands", "gloves on"} {
		c.wantRefused(c.say("@ben", thread, gloved), feelGloved)
		c.wantAsked(thread, "feel.cam_edges")
	}
}

func TestAttention16_TheCloseIsAnActOfItsOwn(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	h := c.until("@ben", thread, "", finds{"measure.cam_groove": "0.00 0.00 0.00"})
	i := c.open(thread)
	// asked, clear, with findings, not to be told, not done
	c.wantSaid(h, fmt.Sprintf("%d looked at: %d clear, 0 with findings, 0 not to be told; 0 not done", len(i.state.Answers()), len(i.state.Answers())))
	for _, half := range []string{"", "ok", "yes", "y", "👍", "sign", "fit", "f", "sign f", "sign ok", "sign it", "signed", "sign incomplete", "clear", "agree", "sign fitt"} {
		if h := c.say("@ben", thread, half); !h.refused() {
			t.Errorf("%q has signed: %s", half, h.text())
		}
	}
	if s := c.open(thread).State; s != store.Underway {
		t.Fatalf("it is %s", s)
	}
	c.wantSaid(c.say("@ben", thread, "Sign FIT."), "Signed, @ben")
	c.wantRefused(c.say("@ben", thread, "sign fit"), "finished")
}
