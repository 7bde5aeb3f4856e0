package flows

import (
	"regexp"
	"strings"
	"testing"
)

// standardOfYear is a standard in one edition, like EN 12275:2013.
func standardOfYear() *regexp.Regexp {
	return regexp.MustCompile(`\b(EN|ISO|BS|ASME)( [A-Z]?[0-9.]+)(-[0-9]+)?[:-](19|20)[0-9]{2}\b`)
}

// An old item is never judged by a newer edition's values: a rule that names a standard with its year either says the same in
// every edition, as this table says, or belongs to a step that a fact about the edition opens.
func TestRulesDoNotHangOnAnEdition(t *testing.T) {
	sameInAll := map[string]string{
		"EN 365:2004":      "marking and what follows a fall have no values (from memory); 2004 is its only edition with them",
		"EN 12275:2013":    "class Q was 25 kN and 10 kN in 1998 as well (from memory); what is judged is what stands on the item",
		"ASME B30.26-2004": "a tenth in every edition (from memory); for lifting gear, and no standard that kit here is made to",
	}
	named := standardOfYear()
	for _, f := range libraryFlows(t) {
		for _, step := range f.Steps() {
			if len(step.when().Facts) > 0 {
				continue
			}
			for _, basis := range step.bases() {
				if edition := named.FindString(basis); edition != "" && sameInAll[edition] == "" {
					t.Errorf("%s, %s: %q judges by one edition; open it by a fact about the edition, or say here why all are alike", f.ID, step.Name, basis)
				}
			}
		}
	}
}

// bases are on whose word a step's rules stand.
func (s Step) bases() []string {
	var all []string
	switch {
	case s.Check != nil:
		for _, f := range s.Check.Findings {
			all = append(all, f.Basis)
		}
	case s.Reading != nil:
		all = append(all, s.Reading.Basis)
		for _, l := range s.Reading.Limits {
			all = append(all, l.Basis)
		}
	default:
		all = append(all, s.Value.Basis)
	}
	return all
}

// twoEditions has a limit of its own for each edition. The limits are invented.
const twoEditions = `flow: grab
revision: 1
title: Grab
facts:
  made_to:
    ask: To which edition is it made? It stands beside the standard's number.
    choices: {first: "EN 12841:2006", second: "EN 12841:2024"}
sections:
- section: measure
  readings:
  - {reading: slip_first, when: made_to is first, ask: How far did it slip?, unit: mm, harm: up, new: 0, plausible: 0 to 300, basis: "EN 12841:2006 (limit invented)", limits: [{at: 100, retire: Too far.}]}
  - {reading: slip_second, when: made_to is second, ask: How far did it slip?, unit: mm, harm: up, new: 0, plausible: 0 to 300, basis: "EN 12841:2024 (limit invented)", limits: [{at: 60, retire: Too far.}]}
`

// The fact keeps the editions apart, and where it isn't known both are asked and the stricter stands.
func TestAnItemIsJudgedByItsOwnEdition(t *testing.T) {
	f := loaded(t, twoEditions)
	slipped := Given{IsList: true, List: []string{"80", "80", "80"}}
	for _, c := range []struct {
		edition string
		answers map[string]Given
		want    Verdict
		limit   string
	}{
		{"first", map[string]Given{"measure.slip_first": slipped}, Quarantine, "slip_first.no-limit"},
		{"second", map[string]Given{"measure.slip_second": slipped}, Retire, "slip_second.retire.1"},
		{unknownWord, map[string]Given{"measure.slip_first": slipped}, Incomplete, ""},
		{unknownWord, map[string]Given{"measure.slip_first": slipped, "measure.slip_second": slipped}, Retire, "slip_second.retire.1"},
	} {
		d := clearOf(t, f)
		d.Facts, d.Answers = map[string]string{"made_to": c.edition}, c.answers
		o, err := f.Examine(d, anyDay())
		if err != nil {
			t.Fatal(err)
		}
		if o.Verdict != c.want || c.limit != "" && o.Rules[0].ID != c.limit {
			t.Errorf("%s: %s by %s, not %s by %s", c.edition, o.Verdict, o.reasons(), c.want, c.limit)
		}
	}
}

// A strop is judged by the edition of EN 795 that it is made to, and the reason names that edition: 12 kN for metal and 18 kN for what
// isn't (rahulgaikwad1000.blogspot.com, EN 795; that these are of 2012 is from memory), 10 kN in 1996 (from memory).
func TestAnchorStropsNameTheirOwnEdition(t *testing.T) {
	strops := 0
	for _, f := range libraryFlows(t) {
		if _, has := f.Fact("made_to"); !has {
			continue
		}
		strops++
		for _, c := range []struct{ edition, asked, other, source string }{
			{"first", "look.strength_first", "look.strength", "EN 795:1996: 10 kN"},
			{"second", "look.strength", "look.strength_first", "EN 795:2012: 1"},
			{"other", "look.strength", "look.strength_first", "EN 795:2012: 1"},
		} {
			d := clearOf(t, f)
			d.Facts["made_to"] = c.edition
			delete(d.Answers, c.other)
			d.Answers[c.asked] = Given{IsList: true, List: []string{"under"}}
			o, err := f.Examine(d, anyDay())
			if err != nil {
				t.Fatal(err)
			}
			if o.Verdict != Quarantine || len(o.Rules) != 1 || !strings.HasPrefix(o.Rules[0].Basis, c.source) {
				t.Errorf("%s, %s: %s, not quarantine by %s", f.ID, c.edition, o.reasons(), c.source)
			}
		}
	}
	if strops != 2 {
		t.Errorf("%d families ask for an edition, not the strops of textile and of wire", strops)
	}
}
