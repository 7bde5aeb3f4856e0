package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"becket/flows"
	"becket/flows/due"
	"becket/flows/serial"
	"becket/store"
)

// photo is a file that came with a message.
func photo(name string) []File { return []File{{Name: name, Hash: "00", Type: "image/png", Size: 1}} }

func TestSafety03_ADropIsNoQuarantine(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-41", nil)
	c.say("@dee", "", "incident dropped D-41")
	s := c.status("D-41")
	if len(s.holds) > 0 || s.usable(due.On(c.now)) {
		t.Fatalf("dropped: %d holds, usable %v", len(s.holds), s.usable(due.On(c.now)))
	}
	c.say("@dee", "", "leave off")
	c.inspect("@ben", "D-41", nil)
	if !c.status("D-41").usable(due.On(c.now)) {
		t.Error("one complete clear inspection ends it, and nobody has to release")
	}
}

func TestSafety03_AnInspectionBegunBeforeDoesNotEndIt(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-41")
	c.say("@dee", "", "incident dropped D-41")
	c.until("@ben", thread, "", nil)
	c.say("@ben", thread, "sign fit")
	if c.status("D-41").usable(due.On(c.now)) {
		t.Error("what was felt before the drop was taken for what is there after it")
	}
}

func TestSafety07_AnArrestNeedsTheMakersDocument(t *testing.T) {
	t.Parallel()
	held := map[string]func(c *conversation){
		"incident": func(c *conversation) {
			c.say("@dee", "", "incident fall today D-41 @dee")
			c.say("@dee", "", "that's all")
		},
		"finding": func(c *conversation) { c.inspect("@ben", "D-41", finds{"papers.history": "arrest"}) },
		"notice": func(c *conversation) {
			c.say("@dee", "", "notice Skerry Works Dunlin, serials 22-1187: soft")
			c.say("@dee", "", "yes")
		},
	}
	for name, hold := range held {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			hold(c)
			c.wantHeld("D-41")
			c.inspect("@fay", "D-41", nil)
			for _, words := range []string{
				"release D-41 nothing found on it by anybody",
				"release D-41 the maker says it is fine, letter of 3 December",
			} {
				c.wantRefused(c.say("@ana", "", words), "the maker's document is needed")
				c.wantHeld("D-41")
			}
			if _, h := c.send(Message{From: "@ana", Text: "release D-41 by the maker's letter that came today", Files: photo("letter.png")}); h.refused() {
				t.Errorf("with the document: %s", h.text())
			}
			if n := len(c.status("D-41").holds); n != 0 {
				t.Errorf("%d holds still stand", n)
			}
		})
	}
	t.Run("a document from before the fall", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.send(Message{From: "@ana", Text: "paper D-41 maker's letter of May", Files: photo("letter.png")})
		held["incident"](c)
		c.inspect("@fay", "D-41", nil)
		c.wantRefused(c.say("@ana", "", "release D-41 by the maker's letter of May"), "the maker's document is needed")
		c.send(Message{From: "@ana", Text: "paper D-41 maker's letter of December", Files: photo("letter.png")})
		if h := c.say("@ana", "", "release D-41 by the Maker's letter of December, nothing found"); h.refused() {
			t.Errorf("named in the statement: %s", h.text())
		}
	})
}

func TestSafety08_NobodyInTheIncidentReleases(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "incident shock today D-41 @dee @ben")
	c.say("@dee", "", "that's all")
	c.inspect("@fay", "D-41", nil)
	c.wantRefused(c.say("@ben", "", "release D-41 cleaned and tried on two ropes"), "was in that incident")
	c.wantHeld("D-41")
	if h := c.say("@ana", "", "release D-41 cleaned and tried on two ropes"); h.refused() {
		t.Errorf("a shock load needs no maker: %s", h.text())
	}
	// Who is named later was in it too.
	c.say("@dee", "", "incident shock D-41")
	c.say("@dee", "", "today")
	c.say("@dee", "", "@ana @ben")
	c.inspect("@fay", "D-41", nil)
	c.wantRefused(c.say("@ana", "", "release D-41 cleaned and tried on two ropes"), "was in that incident")
}

// aloneYard is the yard with one competent person who isn't a keeper's equal: @ana may sign, @cal keeps the register.
func aloneYard() string {
	return strings.NewReplacer(
		`- {id: "@ben", competent: [{flow: cam-handle-descender, until: 2099-12-31}]}`, `- {id: "@ben"}`,
		`- {id: "@fay", competent: [{flow: cam-handle-descender, until: 2099-12-31}]}`, `- {id: "@fay"}`,
	).Replace(yard)
}

func TestSafety09_TheOnlyCompetentPersonCannotReleaseAlone(t *testing.T) {
	t.Parallel()
	c := talkIn(t, aloneYard(), 1)
	c.say("@ana", "", "quarantine D-41 catch sticks")
	c.inspect("@ana", "D-41", nil)
	const statement = "release D-41 with statement by Jo Firth, valley rescue: stripped and tried on rope, nothing found"
	for name, attack := range map[string]func() heard{
		"alone":            func() heard { return c.say("@ana", "", "release D-41 cleaned and tried on two ropes") },
		"without a photo":  func() heard { return c.say("@ana", "", statement) },
		"nothing sent yet": func() heard { return c.say("@cal", "", "countersign D-41") },
		"her own words": func() heard {
			_, h := c.send(Message{From: "@ana", Text: "release D-41 with statement by @ana: stripped and tried on rope, nothing found", Files: photo("a.png")})
			return h
		},
		"a member's": func() heard {
			_, h := c.send(Message{From: "@ana", Text: "release D-41 with statement by ben: stripped and tried on rope, nothing found", Files: photo("a.png")})
			return h
		},
	} {
		if h := attack(); !h.refused() {
			t.Errorf("%s: %s", name, h.text())
		}
		c.wantHeld("D-41")
	}
	if _, h := c.send(Message{From: "@ana", Text: statement, Files: photo("a.png")}); h.refused() {
		t.Fatal(h.text())
	}
	c.wantHeld("D-41")
	c.wantRefused(c.say("@ana", "", "countersign D-41"), "yourself")
	c.wantRefused(c.say("@dee", "", "countersign D-41"), "may not")
	c.wantHeld("D-41")
	if h := c.say("@cal", "", "countersign D-41"); h.refused() || len(c.status("D-41").holds) > 0 {
		t.Error(h.text())
	}
	c.view(func(tx *store.Tx) error { // both are in the record
		entries, err := tx.Entries("item:D-41")
		for _, e := range entries {
			if e.Kind == "release" && (e.By != "@cal" || !strings.Contains(string(e.Body), "Jo Firth") || !strings.Contains(string(e.Body), `"sent_by":"@ana"`)) {
				t.Errorf("the record has %s by %s", e.Body, e.By)
			}
		}
		return err
	})
}

func TestSafety11_AnUnreadableMarkHoldsNothingByAGuess(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-41", nil)
	for _, words := range []string{"quarantine the descender from rack 3, no mark", "quarantine D-4l no readable mark", "quarantine Dunlin, label gone"} {
		h := c.say("@dee", "", words)
		c.wantSaid(h, "Taken: U-")
		for _, mark := range []string{"D-14", "D-41", "D-60"} {
			if n := len(c.status(mark).holds); n > 0 {
				t.Errorf("%q holds %s", words, mark)
			}
		}
	}
	c.wantSaid(c.say("@dee", "", "can I use D-41"), "may be the one reported as U-1")
	// Named with the serial of another: nothing moves.
	c.say("@dee", "", "it was D-41 U-1")
	c.wantRefused(c.say("@dee", "", "22-1180"), "Nothing was moved")
	if len(c.status("D-41").holds) > 0 {
		t.Error("held by a serial that isn't its own")
	}
	c.say("@dee", "", "22 1187")
	c.wantHeld("D-41")
	if h := c.status("D-41").holds[0]; h.By != "@dee" {
		t.Errorf("reported by %s", h.By)
	}
}

func TestSafety16_AnIncidentLoggedLate(t *testing.T) {
	t.Parallel()
	for _, attack := range []struct {
		name, words string
		found       finds
		usable      bool
	}{
		{"a drop that the inspection names", "incident dropped 13 Nov D-41 @dee", finds{"papers.exposure": "dropped"}, true},
		{"a drop that it doesn't name", "incident dropped 13 Nov D-41 @dee", nil, false},
		{"grit is no drop", "incident dropped 13 Nov D-41 @dee", finds{"papers.exposure": "grit"}, false},
		{"a fall is no drop", "incident fall 13 Nov D-41 @dee", finds{"papers.exposure": "dropped"}, false},
		{"a drop after it", "incident dropped 15 Nov D-41 @dee", finds{"papers.exposure": "dropped"}, false},
		{"nobody says what", "incident 13 Nov D-41 @dee", finds{"papers.exposure": "dropped"}, false},
	} {
		t.Run(attack.name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			c.inspect("@ben", "D-41", attack.found)
			c.forward(48 * time.Hour)
			c.say("@dee", "", attack.words)
			if got := c.status("D-41").usable(due.On(c.now)); got != attack.usable {
				t.Errorf("usable: %v", got)
			}
		})
	}
}

// What is watched a third time running, or has grown so much that as much again reaches the limit, is quarantined for a
// decision; the release of another is that decision, and the count begins anew.
func TestSafety23_ReadingsWatchedTooLong(t *testing.T) {
	t.Parallel()
	c := talk(t)
	groove := func(mm string) finds {
		return finds{"look.cam": "groove", "measure.cam_groove": mm, "since.cam-groove": "same"}
	}
	_, v := c.inspect("@ben", "D-41", groove("0.30 0.31 0.30"))
	if v != flows.Watch {
		t.Fatalf("the first is %s", v)
	}
	c.forward(80 * 24 * time.Hour)
	if _, v = c.inspect("@ben", "D-41", groove("0.50 0.51 0.49")); v != flows.Watch { // 0.71 next time, and the limit is 1.037
		t.Fatalf("slow wear, and it is %s", v)
	}
	c.forward(80 * 24 * time.Hour)
	if _, v = c.inspect("@ben", "D-41", groove("0.52 0.53 0.51")); v != flows.Quarantine && v != flows.Incomplete {
		t.Fatalf("the third running is %s", v)
	}
	c.wantHeld("D-41")

	c = talk(t)
	c.inspect("@ben", "D-41", groove("0.30 0.31 0.30"))
	c.forward(80 * 24 * time.Hour)
	thread := c.begin("@ben", "D-41")
	c.until("@ben", thread, "measure.wear_pin", groove("0.70 0.71 0.70"))
	c.wantHeld("D-41")
	c.until("@ben", thread, "", groove("0.70 0.71 0.70"))
	c.say("@ben", thread, "sign quarantine")
	for _, h := range c.status("D-41").holds {
		if h.Source != store.Decision {
			t.Errorf("held as %s: %s", h.Source, h.Why)
		}
	}
	// The decision: a new inspection, and somebody else's release in writing.
	c.wantRefused(c.say("@ana", "", "release D-41 wear is even, far from the limit"), "First a complete new inspection")
	if thread, v = c.inspect("@fay", "D-41", groove("0.70 0.71 0.70")); v != flows.Watch {
		t.Fatalf("measured the same again it is %s: %+v", v, c.open(thread).outcome().Rules)
	}
	for range c.status("D-41").holds {
		if h := c.say("@ana", "", "release D-41 1 wear is even, far from the limit"); h.refused() {
			t.Fatal(h.text())
		}
	}
	if !c.status("D-41").usable(due.On(c.now)) {
		t.Error("decided, and still out of use")
	}
}

// TestNoticeNeverMissesOne: an item inside everything that a notice says is matched, and one with anything unrecorded is
// never ruled out by that.
func TestNoticeNeverMissesOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.IntRange(1, 5000).Draw(t, "low")
		high := low + rapid.IntRange(0, 500).Draw(t, "high")
		month := rapid.IntRange(1, 12).Draw(t, "month")
		text := fmt.Sprintf("Skerry Works Dunlin, serials 22-%04d to 22-%04d, made %s 2022: x", low, high, time.Month(month))
		n, name, err := readNotice(text)
		if err != nil {
			t.Fatal(err)
		}
		n.named(name, map[[2]string]string{{"Skerry Works", "Dunlin"}: "cam-handle-descender"})
		item := store.Item{Maker: "skerry works", Model: "DUNLIN", Flow: "cam-handle-descender"}
		item.Serial = rapid.SampledFrom([]string{"", "worn", fmt.Sprintf("22-%d", rapid.IntRange(low, high).Draw(t, "serial"))}).Draw(t, "number")
		item.Made = rapid.SampledFrom([]due.Date{{}, {Year: 2022}, {Year: 2022, Month: time.Month(month)}, {Year: 2022, Month: time.Month(month), Day: 9}, {Year: 2019, Month: 4}}).Draw(t, "made")
		matches, doubt := n.speaksOf(item)
		if !matches {
			t.Fatalf("%q misses %+v", text, item)
		}
		if unsure := item.Serial == "" || item.Serial == "worn"; unsure && doubt == "" {
			t.Fatalf("%q is sure of %+v", text, item)
		}
		item.Serial = fmt.Sprintf("22-%d", high+1)
		if matches, _ := n.speaksOf(item); matches {
			t.Fatalf("%q speaks of %s", text, item.Serial)
		}
	})
}

// How people type a notice; common practice, no source.
func TestNoticeAsTyped(t *testing.T) {
	for text, want := range map[string]makersNotice{
		"A B, serials 22-1100 to 22-1199":                      {serials: []serial.Range{{From: "22-1100", To: "22-1199"}}},
		"A B, serial numbers from 22-1100":                     {serials: []serial.Range{{From: "22-1100"}}},
		"A B, serials 22-1100 and above":                       {serials: []serial.Range{{From: "22-1100"}}},
		"A B, serials up to 22-1199":                           {serials: []serial.Range{{To: "22-1199"}}},
		"A B, serials 22-1199 and below":                       {serials: []serial.Range{{To: "22-1199"}}},
		"A B, serial 22-1100":                                  {serials: []serial.Range{{From: "22-1100", To: "22-1100"}}},
		"A B, serials 22-1100, 22-1103 to 22-1105 and 22-1110": {serials: []serial.Range{{From: "22-1100", To: "22-1100"}, {From: "22-1103", To: "22-1105"}, {From: "22-1110", To: "22-1110"}}},
		"A B, batches B7 and B9":                               {batches: []string{"B7", "B9"}},
		"A B, made March 2022":                                 {dated: true, from: due.Date{Year: 2022, Month: 3, Day: 1}, to: due.Date{Year: 2022, Month: 3, Day: 31}},
		"A B, made from March 2022 to June 2022":               {dated: true, from: due.Date{Year: 2022, Month: 3, Day: 1}, to: due.Date{Year: 2022, Month: 6, Day: 30}},
		"A B, made from March 2022":                            {dated: true, from: due.Date{Year: 2022, Month: 3, Day: 1}},
		"A B, made between 2020 and 2021":                      {dated: true, from: due.Date{Year: 2020, Month: 1, Day: 1}, to: due.Date{Year: 2021, Month: 12, Day: 31}},
		"A B, made before 2022":                                {dated: true, to: due.Date{Year: 2021, Month: 12, Day: 31}},
		"A B, made up to March 2022":                           {dated: true, to: due.Date{Year: 2022, Month: 3, Day: 31}},
		"A B, all":                                             {},
	} {
		got, name, err := readNotice(text + ": stop")
		if err != nil || name != "A B" {
			t.Errorf("%s: %q, %v", text, name, err)
			continue
		}
		want.said = "stop"
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s:\ngot  %v\nwant %v", text, got, want)
		}
	}
	for _, text := range []string{"A B, painted green: x", "A B, serials 9 to 3: x", "A B, made last spring: x"} {
		if _, _, err := readNotice(text); err == nil {
			t.Errorf("%s was taken, and part of it left out unsaid", text)
		}
	}
}

// The same day's dust, told twice, is one reason.
func TestConditionsToldTwiceAreSaidOnce(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	c.forward(24 * time.Hour)
	for range 2 {
		c.say("@dee", "", "conditions salt, D-14")
	}
	if h := c.say("@dee", "", "can I use D-14"); strings.Count(h.text(), "salt") != 1 {
		t.Errorf("said: %s", h.text())
	}
}
