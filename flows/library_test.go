package flows

import (
	"regexp"
	"strings"
	"testing"
)

func libraryFlow(t *testing.T, id string) *Flow {
	t.Helper()
	list, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		if f.ID == id {
			return f
		}
	}
	t.Fatalf("there is no flow %s in the library", id)
	return nil
}

// Limits of a question: job.md 2 (at most six checks at once), attention.md 2.1 to 2.3 (critical alone with four
// states or more, something in each section that only the hand can answer); common practice, no source.
func TestLibraryKeepsAttention(t *testing.T) {
	list, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		for _, s := range f.Sections {
			if len(s.Values)+len(s.Readings) == 0 {
				t.Errorf("%s, %s: nothing here needs the item in the hand", f.ID, s.ID)
			}
			checks, findings := map[string]int{}, map[string]int{} // by part
			for _, c := range s.Checks {
				if c.Critical {
					if len(c.Findings) < 3 || c.Clear == "" {
						t.Errorf("%s, %s: fewer than four states", f.ID, c.ID)
					}
					continue
				}
				if len(c.When.Found) == 0 {
					checks[c.Part]++
					findings[c.Part] += len(c.Findings)
				}
			}
			for part := range checks {
				if checks[part] > 6 || findings[part] > 12 {
					t.Errorf("%s, %s: %d checks with %d findings in one group", f.ID, s.ID, checks[part], findings[part])
				}
			}
		}
	}
}

// Every text is plain: no exclamation marks, no words of programmers, no label too long for a phone.
func TestLibraryWording(t *testing.T) {
	list, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	odd := regexp.MustCompile(`(?i)!|\bflow\b|\bnull\b|\bstate\b|\bsession\b|\{part\}|  `)
	for _, f := range list {
		for _, step := range f.Steps() {
			var texts []string
			switch {
			case step.Check != nil:
				texts = append(texts, step.Check.Ask, step.Check.Clear)
				for _, found := range step.Check.Findings {
					texts = append(texts, found.Label, found.Because)
					if len(found.Label) > 90 {
						t.Errorf("%s: %q is too long to choose", step.Name, found.Label)
					}
				}
			case step.Reading != nil:
				texts = append(texts, step.Reading.Ask)
			default:
				texts = append(texts, step.Value.Ask, step.Value.Because)
			}
			for _, text := range texts {
				if odd.MatchString(text) {
					t.Errorf("%s: %q", step.Name, text)
				}
			}
		}
	}
}

// Eleven questions for a clear one, with an indicator or with a pin, which with the mark and the signature is
// two replies more than job.md 2 hopes for: a control question, and papers asked as a section of their own.
func TestDescenderNumberOfQuestions(t *testing.T) {
	f := libraryFlow(t, "cam-handle-descender")
	for _, mark := range []string{"indicator", "pin"} {
		d, err := f.ClearWith(map[string]string{"wear_mark": mark})
		if err != nil {
			t.Fatal(err)
		}
		plan := Plan(f, f.Start(Start{Item: d.Item.Item, Facts: d.Facts, Sheet: d.Sheet}))
		if len(plan) > 11 {
			t.Errorf("%s: %d questions", mark, len(plan))
		}
	}
}

// What checks.md says of a descender, case by case.
func TestDescenderVerdicts(t *testing.T) {
	f := libraryFlow(t, "cam-handle-descender")
	cases := []struct {
		name, mark, step, answer string // answer: findings or readings, parted by spaces
		want                     Verdict
		source                   string
	}{
		{"groove in the cam", "indicator", "look.cam", "groove", Watch, "common practice, no source"},
		{"crack in the cam", "indicator", "look.cam", "crack", Retire, "trade.md 2.1 M, common practice"},
		{"indicator just opening", "indicator", "look.indicator", "opening", Quarantine, "common practice, no source"},
		{"indicator open", "indicator", "look.indicator", "open", Retire, "model sheet"},
		{"handle bent", "indicator", "look.handle", "bent", Retire, "common practice, no source"},
		{"cover cracked", "indicator", "look.handle", "cover", Quarantine, "common practice, no source"},
		{"bare of anodising", "indicator", "look.plates_surface", "bare", Fit, "common practice, no source"},
		{"sharp step at a hard facing", "indicator", "feel.facing", "step_sharp", Retire, "common practice, no source"},
		{"pin moved out", "indicator", "feel.felt_pins", "out", Retire, "common practice, no source"},
		{"slow only before cleaning", "indicator", "function.action", "slow_once", Fit, "common practice, no source"},
		{"catch fails once", "indicator", "function.action", "catch", Quarantine, "common practice, no source"},
		{"spring broken", "indicator", "function.action", "spring", Retire, "common practice, no source"},
		{"fails once on rope", "indicator", "on-rope.hold", "failed", Quarantine, "common practice, no source"},
		{"stopped a fall", "indicator", "papers.history", "arrest", Quarantine, "EN 365:2004 (from memory)"},
		{"above 80 °C", "indicator", "papers.exposure", "heat", Quarantine, "trade.md 2.3, common practice"},
		// figures of this document: pin 8.00 new, 7.50 least; doubt 0.03
		{"pin as new", "pin", "measure.wear_pin", "8.00 8.00 8.00", Fit, "common practice, no source"},
		{"pin worn, above the limit", "pin", "measure.wear_pin", "7.80 7.81 7.80", Watch, "common practice, no source"},
		{"pin within the doubt of the limit", "pin", "measure.wear_pin", "7.52 7.53 7.53", Quarantine, "common practice, no source"},
		{"pin at the limit", "pin", "measure.wear_pin", "7.50 7.53 7.53", Retire, "model sheet"},
		{"groove three quarters of the limit", "indicator", "measure.cam_groove", "1.5 1.4 1.4", Watch, "common practice, no source"},
		{"groove at the limit", "indicator", "measure.cam_groove", "2.0 1.9 1.9", Retire, "model sheet"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			d, err := f.ClearWith(map[string]string{"wear_mark": c.mark})
			if err != nil {
				t.Fatal(err)
			}
			d.Sheet["pin_new"], d.Sheet["pin_min"], d.Sheet["cam_groove_max"] = MustNumber("8.00"), MustNumber("7.50"), MustNumber("2.0")
			if _, asked := d.Answers["measure.wear_pin"]; asked {
				d.Answers["measure.wear_pin"] = Given{IsList: true, List: []string{"8.00", "8.00", "8.00"}}
			}
			d.Answers[c.step] = Given{IsList: true, List: strings.Fields(c.answer)}
			o, err := f.Examine(d, anyDay())
			if err != nil {
				t.Fatal(err)
			}
			if o.Worst() != c.want {
				t.Errorf("%s, not %s (%s): %v", o.Worst(), c.want, c.source, o.Rules)
			}
		})
	}
}

// A reading that nobody can be asked for is never asked: creep and the plate's groove wait for their finding.
func TestDescenderMeasuresWhatWasFound(t *testing.T) {
	f := libraryFlow(t, "cam-handle-descender")
	d, err := f.Clear()
	if err != nil {
		t.Fatal(err)
	}
	for finding, reading := range map[string]string{"look.path groove": "measure.plate_groove", "on-rope.hold creep": "on-rope.creep"} {
		step, id, _ := strings.Cut(finding, " ")
		if _, asked := d.Answers[reading]; asked {
			t.Errorf("%s is asked of a clear one", reading)
		}
		before := d.Answers[step]
		d.Answers[step] = Given{IsList: true, List: []string{id}}
		o, err := f.Examine(d, anyDay())
		d.Answers[step] = before
		if err != nil || o.Verdict != Incomplete || len(o.Missing) != 1 || o.Missing[0] != reading {
			t.Errorf("%s: %s, missing %v, %v", finding, o.Verdict, o.Missing, err)
		}
	}
}
