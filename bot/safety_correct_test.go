package bot

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"becket/store"
)

// limitedTin is a store of two connectors that live four years, the first of them signed fit by @ben on 14 November 2026.
func limitedTin(t *testing.T) *conversation {
	t.Helper()
	c := talkIn(t, strings.ReplaceAll(tin(2), "first_use: 2023-06-01, use: people}", "life_made_years: 4}"), 1)
	if _, v := c.inspect("@ben", "K-01", nil); !v.Usable() {
		t.Fatalf("it is %s", v)
	}
	if s := c.status("K-01"); s.due.String() != "2027-05-01" || s.lifeEnd.Date.String() != "2027-05-01" {
		t.Fatalf("due %s, its life until %s", s.due, s.lifeEnd.Date)
	}
	return c
}

// corrects types a correction and says yes where that is asked.
func (c *conversation) corrects(who, line string, files ...File) (last heard) {
	_, last = c.send(Message{From: who, Text: line, Files: files})
	if strings.Contains(last.text(), "(yes / no)") {
		last = c.say(who, "", "yes")
	}
	return last
}

// TestSafety18_Corrected: whoever puts the register right, no life ends later and no day is due later without a document that two
// people name, and what is another item by maker, model or serial isn't for use until it is inspected.
func TestSafety18_Corrected(t *testing.T) {
	t.Parallel()
	const letter = "maker's letter of May"
	made, serial, model := "correct K-01 made 2024: ", "correct K-01 serial K23-0109: ", "correct K-01 model Kittiwake 2: "
	for name, tries := range map[string]struct {
		lines           []string // who, and what they type
		life, due       string
		changed, usable bool
	}{
		"later, by one":                    {[]string{"@ana " + made + "misread"}, "2027-05-01", "2027-05-01", false, true},
		"later, by two without a document": {[]string{"@ana " + made + "misread", "@ben " + made + "misread"}, "2027-05-01", "2027-05-01", false, true},
		"later, by one with a document":    {[]string{"@ana " + made + letter, "@ana " + made + letter}, "2027-05-01", "2027-05-01", false, true},
		"later, by two who differ":         {[]string{"@ana " + made + letter, "@ben correct K-01 made 2025: " + letter}, "2027-05-01", "2027-05-01", false, true},
		"later, by one who isn't listed":   {[]string{"@ana " + made + letter, "@dee " + made + letter}, "2027-05-01", "2027-05-01", false, true},
		"later, by two with a document":    {[]string{"@ana " + made + letter, "@ben " + made + letter}, "2028-01-01", "2027-05-01", true, true},
		"earlier, by one":                  {[]string{"@ana correct K-01 made 2023: misread"}, "2027-01-01", "2027-01-01", true, true},
		"earlier, by one, and so over":     {[]string{"@ana correct K-01 made 2022: misread"}, "2026-01-01", "2026-01-01", true, false},
		"a serial, by one":                 {[]string{"@ana " + serial + "misread", "@ana " + serial + "misread"}, "2027-05-01", "2027-05-01", false, true},
		"a serial, by two":                 {[]string{"@ana " + serial + "misread", "@ben " + serial + "so it is"}, "2027-05-01", "2027-05-01", true, false},
		"a serial, by a document":          {[]string{"@ana " + serial + letter}, "2027-05-01", "2027-05-01", true, false},
		"a model, by two":                  {[]string{"@ana " + model + "misread", "@ben " + model + "so it is"}, "2027-05-01", "2027-05-01", true, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := limitedTin(t)
			was := c.status("K-01").item
			c.send(Message{From: "@ana", Text: "paper K-01 " + letter, Files: photo("letter.png")})
			for _, line := range tries.lines {
				who, text := firstWord(line)
				c.corrects(who, text)
			}
			s := c.status("K-01")
			if s.due.String() != tries.due || s.lifeEnd.Date.String() != tries.life {
				t.Errorf("due %s, its life until %s; wanted %s and %s", s.due, s.lifeEnd.Date, tries.due, tries.life)
			}
			if changed := s.item.Made != was.Made || s.item.Serial != was.Serial || s.item.Model != was.Model; changed != tries.changed {
				t.Errorf("changed: %v", changed)
			}
			if usable := s.usable(c.day()); usable != tries.usable {
				t.Errorf("usable: %v: %s", usable, s.sentence(c.day()))
			}
		})
	}
}

// After the next inspection what was corrected counts whole: the kept day is over, and an item of another serial may be used.
func TestACorrectionCountsAfterTheNextInspection(t *testing.T) {
	t.Parallel()
	c := limitedTin(t)
	c.send(Message{From: "@ana", Text: "paper K-01 maker's letter of May", Files: photo("letter.png")})
	for _, line := range []string{"correct K-01 made 2024: maker's letter of May", "correct K-01 serial K23-0109: misread"} {
		c.corrects("@ana", line)
		c.corrects("@ben", line)
	}
	if s := c.status("K-01"); s.usable(c.day()) || s.item.Serial != "K23-0109" {
		t.Fatalf("before: %s", s.sentence(c.day()))
	}
	c.forward(24 * 3600e9)
	c.inspect("@ben", "K-01", nil)
	if s := c.status("K-01"); !s.usable(c.day()) || s.due.String() != "2027-05-15" {
		t.Errorf("after: %s", s.sentence(c.day()))
	}
}

// TestSafety18_ForgedCorrection: a correction written without the second person or the document it takes is named by verify.
func TestSafety18_ForgedCorrection(t *testing.T) {
	t.Parallel()
	c := limitedTin(t)
	c.corrects("@ana", "correct K-01 made 2023: misread")
	c.corrects("@ana", "correct K-01 serial K23-0109: misread", photo("plate.png")...)
	for name, forge := range map[string]func(*store.ItemCorrected){
		"a later year":             func(i *store.ItemCorrected) { i.To = "2026" },
		"by the same person twice": func(i *store.ItemCorrected) { i.First, i.Document = "@ana", "" },
	} {
		db := c.rewritten(t, func(_ store.Entry, ev store.Event) (store.Event, bool) {
			if i, is := ev.(*store.ItemCorrected); is && i.Identity() == strings.HasPrefix(name, "by") {
				forge(i)
			}
			return ev, true
		})
		faults, err := New(Options{}).Verify(context.Background(), db)
		if err != nil || !slices.ContainsFunc(faults, func(f store.Fault) bool { return strings.Contains(fmt.Sprint(f), "right without") }) {
			t.Errorf("%s: %v, %v", name, faults, err)
		}
	}
}

// After a restore a correction says how the item stands only with the word that not all is told since the copy.
func TestSafety18_CorrectedAfterARestore(t *testing.T) {
	t.Parallel()
	r := limitedTin(t).restored(24*3600e9, nil)
	r.deliver()
	h := r.corrects("@ana", "correct K-01 made 2023: misread")
	r.wantSaid(h, "made 2023 in place of May 2023")
	r.wantSaid(h, "was put back from a copy")
}
