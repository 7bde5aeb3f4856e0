package bot

import (
	"strings"
	"testing"
	"time"
)

// ropes is the yard with a rope that two people may sign for.
func ropes() string {
	return strings.ReplaceAll(yard, "{flow: cam-handle-descender, until: 2099-12-31}", "{flow: cam-handle-descender, until: 2099-12-31}, {flow: semi-static-rope, until: 2099-12-31}") +
		"- {mark: R-12, serial: T-12, flow: semi-static-rope, maker: Northlight, model: Tern, made: 2022-03, first_use: 2022-05-10, use: people, length: 50}\n"
}

// cutInTwo has @ana cut R-12 into.
func (c *conversation) cutInTwo() heard {
	for _, text := range []string{"cut R-12 at 7 m", "4.5", "R-20", "R-21"} {
		if h := c.say("@ana", "", text); h.refused() {
			c.Fatal(h.text())
		}
	}
	return c.say("@ana", "", "yes")
}

func TestSafety09_ACutFreesNothingThatIsHeld(t *testing.T) {
	t.Parallel()
	for name, attack := range map[string]struct {
		hold     []string
		document bool
	}{
		"reported":               {hold: []string{"quarantine R-12 cut in the sheath 6 m from end A"}},
		"twice":                  {hold: []string{"quarantine R-12 cut in the sheath", "quarantine R-12 smells of petrol"}},
		"a stopped fall":         {hold: []string{"incident fall today R-12 @dee", "that's all"}, document: true},
		"a notice":               {hold: []string{"notice Northlight Tern, serials T-1 to T-90: core may be soft", "yes"}, document: true},
		"a notice not acted on":  {hold: []string{"notice Northlight Tern, serials T-1 to T-90: core may be soft", "no"}, document: true},
		"a notice said no to us": {hold: []string{"notice Northlight Tern, serials T-1 to T-90: core may be soft", "leave off"}, document: true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := talkIn(t, ropes(), 1)
			for _, text := range attack.hold {
				c.say("@dee", "", text)
			}
			before := c.status("R-12").holds
			h := c.cutInTwo()
			c.wantSaid(h, "R-12 is cut")
			if s := c.status("R-12"); s.retired == nil {
				t.Fatal("the whole goes on beside its pieces")
			}
			for _, mark := range []string{"R-20", "R-21"} {
				holds := c.status(mark).holds
				if len(holds) < max(1, len(before)) {
					t.Fatalf("%s: %d holds, the whole had %d", mark, len(holds), len(before))
				}
				for n, was := range before {
					if got := holds[n]; got.Why != was.Why || got.Source != was.Source || got.By != was.By || got.About != was.About || got.Verdict != was.Verdict {
						t.Errorf("%s: %+v came of %+v", mark, got, was)
					}
				}
				if holds[0].Source.NeedsDocument() != attack.document {
					t.Errorf("%s needs the maker's document: %v", mark, !attack.document)
				}
			}
		})
	}
}

func TestSafety03_APieceIsNotForUseUntilInspected(t *testing.T) {
	t.Parallel()
	c := talkIn(t, ropes(), 1)
	c.inspect("@ben", "R-12", nil)
	c.cutInTwo()
	for _, mark := range []string{"R-20", "R-21"} {
		s := c.status(mark)
		if s.usable(c.day()) {
			t.Errorf("%s goes on as its whole was", mark)
		}
		if was := c.status("R-12").item; s.item.Made != was.Made || s.item.FirstUse != was.FirstUse || s.item.Serial != was.Serial || s.item.CutFrom != "R-12" {
			t.Errorf("%s: %+v", mark, s.item)
		}
	}
	c.wantRefused(c.say("@ana", "", "cut R-12 at 3 m"), "was cut into R-20 (7 m) and R-21 (4.5 m)")
	c.wantRefused(c.say("@ana", "", "take in R-12"), "never used again")
	c.wantRefused(c.say("@ana", "", "issue R-12 to @dee"), "R-12")
	c.inspect("@ben", "R-20", nil)
	if h := c.say("@ana", "", "handover"); strings.Contains(h.text(), "R-12") {
		t.Errorf("nothing is to be destroyed or replaced of what was cut: %s", h.text())
	}
}

func TestCut_ByWhomAndWhen(t *testing.T) {
	t.Parallel()
	c := talkIn(t, ropes(), 1)
	c.wantRefused(c.say("@dee", "", "cut R-12 at 34 m"), "may not")
	c.wantRefused(c.say("@ana", "", "cut R-12 at 0 m"), "in metres")
	c.wantRefused(c.say("@ana", "", "cut R-12 in two"), "in metres")
	thread := c.begin("@ben", "R-12")
	c.wantRefused(c.say("@ana", "", "cut R-12 at 34 m"), "@ben")
	c.say("@ben", thread, "leave off")
	c.say("@ana", "", "cut R-12 at 34 m")
	c.begin("@ben", "R-12") // meanwhile
	for _, text := range []string{"scrap", "R-20", "yes"} {
		c.say("@ana", "", text)
	}
	if c.status("R-12").retired != nil {
		t.Error("it was cut in another's hands")
	}
}

func TestSafety18_GoodsOnlyPutsNothingOff(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-41", nil)
	before := c.status("D-41").due
	c.forward(30 * 24 * time.Hour)
	c.say("@ana", "", "goods only D-41 worn, kept for hauling")
	if after := c.status("D-41").due; after != before {
		t.Fatalf("it was due %v, and one word made it %v", before, after)
	}
	c.inspect("@ben", "D-41", nil)
	if after := c.status("D-41").due; after.DaysUntil(c.day()) > -360 {
		t.Errorf("inspected again, it is due %v, as for people", after)
	}
}

// Down to goods frees nothing: what is held says that it stays so.
func TestGoodsOnlyOfWhatIsHeld(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "quarantine D-41 rope creeps")
	c.wantSaid(c.say("@ana", "", "goods only D-41 worn, kept for hauling"), "It stays out of use as before")
	c.wantHeld("D-41")
}
