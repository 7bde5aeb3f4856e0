package report

import (
	"strings"
	"testing"

	"becket/flows"
)

// retired is a report of something with a defect that is a danger now.
func retired(t testing.TB) Data {
	d := held(t)
	d.Verdict, d.Defects[0].Verdict, d.Repair, d.Danger = flows.Retire, flows.Retire, "", "yes"
	return d
}

// fit is a report of something without a defect.
func fit(t testing.TB) Data {
	d := watched(t)
	d.Verdict, d.Defects, d.Remedy = flows.Fit, []Defect{}, ""
	return d
}

// TestAtAGlance reads what stands on the first page before the first heading: the verdict, what is a danger, the next day, the signer.
func TestAtAGlance(t *testing.T) {
	for name, c := range map[string]struct {
		of   func(testing.TB) Data
		want []string
	}{
		"fit": {fit, []string{
			"FIT: safe to operate as it was found on 30 October 2026", "Descender with cam and handle, Skerry Works Dunlin, serial 22-1180.",
			"Defects: none that is a danger to persons, and none that could become one.", "Next thorough examination by 7 February 2027 at the latest.", "Signed by Ana Quay, 4 November 2026 11:20.",
		}},
		"watched": {watched, []string{"WATCH: safe to operate", "Defects: 0 that are a danger to persons, 1 that could become one. See 8(a).", "by 7 February 2027"}},
		"held": {held, []string{
			"QUARANTINE: not safe to operate, as it was found on 30 October 2026", "Defects: 1 that are a danger to persons, 0 that could become one.",
			"No risk of serious personal injury, existing or imminent, in the judgement of who made this report.", "Out of use until a complete new examination, and a release in writing.",
		}},
		"retired": {retired, []string{"RETIRE: not safe to operate", "There is a risk of serious personal injury, existing or imminent.", "Never to be used again."}},
	} {
		d := c.of(t)
		if lacks := d.Missing(); len(lacks) > 0 {
			t.Fatalf("%s: the whole report lacks %v", name, lacks)
		}
		pdf, err := PDF(d)
		if err != nil {
			t.Fatal(err)
		}
		said, _, found := strings.Cut(bare(readPDF(t, pdf)), bare("1 "+head1))
		if !found || strings.Contains(said, "…") {
			t.Fatalf("%s: something is cut of %q", name, said)
		}
		for _, want := range c.want {
			if !strings.Contains(said, bare(want)) {
				t.Errorf("%s: at a glance it doesn't say %q but %q", name, want, said)
			}
		}
		if d.Danger == "" && strings.Contains(said, "risk") || d.Verdict.Holds() && strings.Contains(said, bare("7 February 2027")) {
			t.Errorf("%s: it says too much: %q", name, said)
		}
	}
}
