package flows

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"becket/flows/due"
)

// hookWith is hookClear with an item of its own, as YAML.
func hookWith(item string) string {
	_, rest, _ := strings.Cut(hookClear, "\n")
	return "item: {mark: H-1, serial: 26-0417, " + item + "}\n" + rest
}

func examined(t *testing.T, text, day string) (Outcome, error) {
	t.Helper()
	d, err := ParseDocument([]byte(text))
	if err != nil {
		return Outcome{}, err
	}
	on, err := due.Parse(day)
	if err != nil {
		t.Fatal(err)
	}
	return loaded(t, hookFlow).Examine(d, on)
}

// JSON and YAML say the same, numbers as numbers or as texts.
func TestDocumentInAnyForm(t *testing.T) {
	const asJSON = `{"item":{"mark":"H-1","serial":"26-0417","use":"people","interval_months":6},"facts":{"catch":"yes"},
		"sheet":{"gap_max":20,"neck_new":"12","neck_min":10.0,"rivet_count":4},
		"answers":{"identity.serial":"26-0417","look.bow":[],"look.eye":[],"look.spring":[],"look.rivets":"4",
		"measure.gap":["14",14.01],"measure.neck":[12,"11,99"],"on-rope.hold":[],"on-rope.noise":[]}}`
	const asBlocks = `
item:
  mark: H-1
  serial: 26-0417
  use: people
  interval_months: 6
facts: {catch: yes}   # as people write it
sheet: {gap_max: "20", neck_new: 12.00, neck_min: 10, rivet_count: 4}
answers:
  identity.serial: "26-0417"
  look.bow: []
  look.eye: []
  look.spring: []
  look.rivets: 4
  measure.gap:
  - 14
  - 14.01
  measure.neck: [12, 11.99]
  on-rope.hold: []
  on-rope.noise: []
`
	want, err := examined(t, hookClear, "2026-03-02")
	if err != nil || want.Verdict != Fit {
		t.Fatalf("%s, %v", want.Verdict, err)
	}
	for _, text := range []string{asJSON, asBlocks, "---\n" + asBlocks} {
		got, err := examined(t, text, "2026-03-02")
		if err != nil {
			t.Errorf("%v in %s", err, text)
			continue
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("it isn't the same (-want +got):\n%s%s", diff, text)
		}
	}
}

func TestDocumentKeepsDigits(t *testing.T) {
	d, err := ParseDocument([]byte("sheet: {gap_max: 7.50}\nanswers: {measure.gap: [7.740, 0.10], identity.serial: 0417}\n"))
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"gap_max":"7.50"`, `"measure.gap":["7.740","0.10"]`, `"identity.serial":"0417"`} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%s isn't in %s", want, text)
		}
	}
}

// An outcome without a verdict writes lists and nulls, never leaves them out.
func TestOutcomeInJSON(t *testing.T) {
	text, err := json.Marshal(judgedHook(t, map[string]string{"look.bow": leftOut}))
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	delete(got, "flow")
	want := map[string]any{
		"item": "H-1", "verdict": "incomplete", "next_due": nil, "life_ends": nil,
		"rules": []any{}, "missing": []any{"look.bow"}, "ignored": []any{},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestDocumentRefuses(t *testing.T) {
	forPeople := regexp.MustCompile(`(?i)unmarshal|struct|\bnil\b|flows\.|json:|schema|parse|!|\n`)
	for name, c := range map[string]struct{ text, says string }{
		"step":                           {"answers: {look.bough: []}", `no step "look.bough"`},
		"check without its section":      {"answers: {bow: []}", `no step "bow"`},
		"finding":                        {"answers: {look.bow: [cracks]}", `no finding "cracks"`},
		"finding of another":             {"answers: {look.eye: [crack]}", `no finding "crack"`},
		"fact":                           {"facts: {catcher: \"yes\"}\nanswers: {}", `no fact "catcher"`},
		"choice":                         {"facts: {catch: maybe}\nanswers: {}", `"maybe" is no choice`},
		"figure":                         {"sheet: {gap: 4}\nanswers: {}", `no figure "gap"`},
		"figure below nothing":           {"sheet: {gap_max: -4}\nanswers: {}", "never below nothing"},
		"doubt below nothing":            {"instrument: {doubt: -0.1}\nanswers: {}", "never below nothing"},
		"no such day":                    {"item: {made: 2021-02-29}\nanswers: {}", "not a day in the calendar"},
		"no such month":                  {"item: {made: 2020-13}\nanswers: {}", "months go from 01 to 12"},
		"no date":                        {"item: {first_use: spring}\nanswers: {}", "write it like"},
		"made tomorrow":                  {"item: {made: 2026-03-03}\nanswers: {}", "still to come"},
		"used tomorrow":                  {"item: {first_use: 2026-03-03}\nanswers: {}", "still to come"},
		"used before made":               {"item: {made: 2020-05, first_use: 2020-04-30}\nanswers: {}", "is before it was made"},
		"use":                            {"item: {use: cargo}\nanswers: {}", "people or goods"},
		"interval":                       {"item: {interval_months: -6}\nanswers: {}", "1 to 120 months"},
		"life":                           {"item: {life_made_years: -1}\nanswers: {}", "a life"},
		"text for a check":               {"answers: {look.bow: fine}", "wants a list of findings"},
		"clear in words":                 {"answers: {look.bow: clear}", "wants a list of findings"},
		"list for a text":                {"answers: {identity.serial: [26-0417]}", "wants a text"},
		"no text":                        {"answers: {identity.serial: \" \"}", "wants a text"},
		"no readings":                    {"answers: {measure.gap: []}", "wants its readings"},
		"words for a reading":            {"answers: {measure.gap: [about 14]}", "is not a number"},
		"half a number":                  {"answers: {measure.gap: [14.]}", "is not a number"},
		"exponent":                       {"answers: {measure.gap: [1e1, 14]}", "is not a number"},
		"nothing for an answer":          {"answers: {look.bow: null}", "is no answer"},
		"key":                            {"items: {}\nanswers: {}", `"items"`},
		"key of the item":                {"item: {made_on: 2020}\nanswers: {}", `"made_on"`},
		"key twice":                      {"answers: {look.bow: [], look.bow: [crack]}", "look.bow"},
		"key twice in JSON":              {`{"answers":{"look.bow":[],"look.bow":["crack"]}}`, `"look.bow" is given twice`},
		"key twice, differently written": {`{"item":{"use":"people","Use":"goods"},"answers":{}}`, "Use"},
		"two documents":                  {"answers: {}\n---\nanswers: {}\n", "one document"},
		"two documents in JSON":          {`{"answers":{}}{"answers":{}}`, "one document"},
		"nothing":                        {"", "nothing"},
		"a list":                         {"- answers", "keys"},
		"broken off":                     {`{"answers":{`, "broken off"},
	} {
		_, err := examined(t, c.text, "2026-03-02")
		if err == nil {
			t.Errorf("%s was taken", name)
			continue
		}
		if !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: it says %q, and nothing of %q", name, err, c.says)
		}
		if forPeople.MatchString(err.Error()) {
			t.Errorf("%s: nobody who inspects understands %q", name, err)
		}
	}
}

// Interval defaults: LOLER 1998 reg 9(3): 6 months for what lifts people, 12 for the rest. Own intervals and the
// half of a watch (design, section 5: whole months rounded down, for one month 15 days) are common practice, no
// source. Days reckoned by hand.
func TestIntervalsReachNextDue(t *testing.T) {
	for _, c := range []struct{ item, fit, watched string }{
		{"use: people", "2026-09-02", "2026-06-02"},
		{"use: goods", "2027-03-02", "2026-09-02"},
		{"batch: B", "2026-09-02", "2026-06-02"},
		{"use: people, interval_months: 3", "2026-06-02", "2026-04-02"},
		{"use: people, interval_months: 1", "2026-04-02", "2026-03-17"},
		{"use: goods, interval_months: 2", "2026-05-02", "2026-04-02"},
		{"use: people, interval_months: 7", "2026-10-02", "2026-06-02"},
		{"use: people, interval_months: 12", "2027-03-02", "2026-09-02"},
		{"use: people, made: 2020, life_made_years: 7", "2026-09-02", "2026-06-02"},
		{"use: people, made: 2016-08, life_made_years: 10", "2026-08-01", "2026-06-02"},
		{"use: people, made: 2016-05, life_made_years: 10", "2026-05-01", "2026-05-01"},
	} {
		fit, err := examined(t, hookWith(c.item), "2026-03-02")
		if err != nil {
			t.Fatal(err)
		}
		watched, err := examined(t, strings.Replace(hookWith(c.item), "look.eye: []", "look.eye: [rust]", 1), "2026-03-02")
		if err != nil {
			t.Fatal(err)
		}
		if fit.Verdict != Fit || watched.Verdict != Watch || fit.NextDue.String() != c.fit || watched.NextDue.String() != c.watched {
			t.Errorf("%s: %s due %s, %s due %s; want %s and %s", c.item, fit.Verdict, fit.NextDue, watched.Verdict, watched.NextDue, c.fit, c.watched)
		}
	}
}

// The corresponding day, and the month's last where there is none.
func TestCalendarReachesNextDue(t *testing.T) {
	const clamp = "Lord Diplock in Dodds v Walker; Regulation (EEC, Euratom) 1182/71 art 3 (from memory); reckoned by hand"
	for _, c := range []struct {
		exam   string
		months string
		want   string
		source string
	}{
		{"1978-09-30", "4", "1979-01-30", "Dodds v Walker [1981] UKHL: 31 January was a day late"},
		{"1983-03-23", "2", "1983-05-23", "E J Riley Investments v Eurostile Holdings [1985]: in time"},
		{"2025-08-31", "6", "2026-02-28", clamp},
		{"2023-08-31", "6", "2024-02-29", clamp},
		{"2025-08-30", "6", "2026-02-28", clamp},
		{"2025-08-29", "6", "2026-02-28", clamp},
		{"2025-08-28", "6", "2026-02-28", "Dodds v Walker [1981] UKHL: the corresponding day"},
		{"2025-03-31", "6", "2025-09-30", clamp},
		{"2024-02-29", "12", "2025-02-28", clamp},
		{"2024-02-29", "48", "2028-02-29", "Dodds v Walker [1981] UKHL: the corresponding day"},
		{"2025-02-28", "6", "2025-08-28", "Dodds v Walker [1981] UKHL: the corresponding day, not the month's end"},
	} {
		o, err := examined(t, hookWith("interval_months: "+c.months), c.exam)
		if err != nil {
			t.Fatal(err)
		}
		if o.NextDue == nil || o.NextDue.String() != c.want {
			t.Errorf("%s + %s months is due %v, want %s (%s)", c.exam, c.months, o.NextDue, c.want, c.source)
		}
	}
}

// The end of a life is the earlier of the maker's two limits, a month counted from its 1st, a year from 1 January:
// common practice, no source; that the maker gives the numbers, Regulation (EU) 2016/425 Annex II 1.4 and 2.4.
// Days reckoned by hand. The last day may still be used; over it is retire (design, section 5).
func TestLifeReachesTheVerdict(t *testing.T) {
	for _, c := range []struct{ item, lastDay, dayAfter string }{
		{"made: 2016-03, life_made_years: 10, first_use: 2019-06-15, life_use_years: 5", "2024-06-15", "2024-06-16"},
		{"made: 2020-02-29, life_made_years: 10", "2030-02-28", "2030-03-01"},
		{"made: 2015, life_made_years: 10, first_use: 2021-01-10, life_use_years: 5", "2025-01-01", "2025-01-02"},
		{"made: 2018-04-30, life_use_years: 2", "2020-04-30", "2020-05-01"}, // no first use known: from the making
	} {
		last, err := examined(t, hookWith(c.item), c.lastDay)
		if err != nil {
			t.Fatal(err)
		}
		if last.Verdict != Fit || last.LifeEnds == nil || last.LifeEnds.String() != c.lastDay || last.NextDue.String() != c.lastDay {
			t.Errorf("%s on %s: %s, life ends %v, due %v", c.item, c.lastDay, last.Verdict, last.LifeEnds, last.NextDue)
		}
		over, err := examined(t, hookWith(c.item), c.dayAfter)
		if err != nil {
			t.Fatal(err)
		}
		if over.Verdict != Retire || over.NextDue != nil || over.LifeEnds.String() != c.lastDay {
			t.Errorf("%s on %s: %s, life ends %v, due %v", c.item, c.dayAfter, over.Verdict, over.LifeEnds, over.NextDue)
		}
	}
	unlimited, err := examined(t, hookWith("made: 1990"), "2025-08-31")
	if err != nil || unlimited.LifeEnds != nil || unlimited.NextDue.String() != "2026-02-28" {
		t.Errorf("without a limit its life ends %v, due %v (%v)", unlimited.LifeEnds, unlimited.NextDue, err)
	}
	unknown, err := examined(t, hookWith("life_made_years: 10"), "2026-03-02")
	if err != nil || unknown.Verdict != Quarantine || unknown.LifeEnds != nil {
		t.Errorf("a limited life from an unknown day: %s, ends %v (%v)", unknown.Verdict, unknown.LifeEnds, err)
	}
	over := strings.Replace(hookWith("made: 2010, life_made_years: 10"), "  look.bow: []\n", "", 1)
	if o, err := examined(t, over, "2026-03-02"); err != nil || o.Verdict != Retire || len(o.Missing) != 1 {
		t.Errorf("over its life and not looked at: %s, missing %v (%v)", o.Verdict, o.Missing, err)
	}
}
