package bot

import (
	"strings"
	"testing"

	"becket/flows/agreement"
)

// Attention rule 18: kappa with its interval, AC1, PABAK and the raw counts always stand together, also where kappa isn't defined;
// and what was missed is counted apart, since kappa takes a fault passed and a fault imagined for the same.
func TestAttention18_FiguresStandTogether(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		table agreement.Table // out of use first
		want  []string
	}{
		// κ .4000 of 20, 5, 10, 15: a worked example of Cohen's kappa, from memory; PABAK 2·.70-1; 20 of 30 by hand.
		"agree so far": {agreement.Table{{20, 5}, {10, 15}}, []string{
			"Inspected twice, the second time blind and by somebody else: 50.", "Both in use: 15; both out of use: 20; only the first out of use: 5; only the second: 10.",
			"Alike: 35 of 50, 70 %", "Kappa 0.40, between ", "; AC1 0.", "PABAK 0.40.", "Out of use by one of the two, at least: 35. The first missed 10 of them, the second 5.",
			"the first found 67 % (between 47 % and 83 %)",
		}},
		// The paradox: .944 alike, κ -.0234, AC1 .9408, PABAK .888.
		"nearly all in use": {agreement.Table{{0, 2}, {5, 118}}, []string{"Alike: 118 of 125, 94 %", "Kappa -0.02, between ", "AC1 0.94, between ", "PABAK 0.89.", "The first missed 5 of them, the second 2."}},
		"all in use":        {agreement.Table{{0, 0}, {0, 30}}, []string{"Both in use: 30", "Kappa isn't defined", "AC1 1.00; PABAK 1.00."}},
		"few":               {agreement.Table{{1, 0}, {0, 3}}, []string{"Kappa 1.00", "These are few"}},
		// Thurfjell's two readers: 77.47 in all, variance 1.994, p .1153.
		"two readers": {agreement.Table{{56, 14}, {6, 0}}, []string{"about 77.5 in all are to be found (give or take 2.8), so about 1.5 that neither saw", "comes 12 times in 100"}},
	} {
		two, err := agreement.Compare(c.table)
		if err != nil {
			t.Fatal(err)
		}
		said := strings.Join(agreementWords(two), "\n")
		for _, want := range c.want {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q is missing in:\n%s", name, want, said)
			}
		}
	}
}

// What the second look finds and the first didn't is counted as missed by the first, from the record and not from what anybody says.
func TestAgreementFromBlindLooks(t *testing.T) {
	t.Parallel()
	c, asked := repeated(t, nil)
	c.wantSaid(c.say("@ana", "", "agreement"), "Nothing that was inspected twice is signed yet")
	c.wantRefused(c.say("@ben", "", "agreement"), "may not")
	mine := asked[:0]
	for _, r := range asked {
		if r.Who != "@ana" {
			c.say("@ana", "", "repeat "+r.Mark+" @ana")
		}
		mine = append(mine, r)
	}
	for n, r := range mine[:2] {
		c.say("@ana", "", "repeat "+r.Mark)
		thread := c.every[len(c.every)-1].Thread
		var found finds
		if n == 1 {
			found = finds{"function.gate": "slow"}
		}
		c.until("@ana", thread, "", found)
		c.say("@ana", thread, "sign "+c.open(thread).outcome().Verdict.String())
	}
	c.wantSaid(c.say("@ana", "", "agreement"), "Both in use: 1; both out of use: 0; only the first out of use: 0; only the second: 1.")
}

// What all together caught in practice is said where it isn't one person's alone.
func TestPracticeOfAllTogether(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.practised("@dee", 9, 9)
	if h := c.say("@ana", "", "agreement"); strings.Contains(h.text(), "In practice") {
		t.Errorf("one person's practice is told: %s", h.text())
	}
	c.practised("@ben", 20, 20)
	// 29 of 29: .025^(1/29) is .8806, by Clopper and Pearson.
	c.wantSaid(c.say("@ana", "", "agreement"), "caught 29 of 29 faults that were set, 100 % (between 88 % and 100 %, exactly)")
}
