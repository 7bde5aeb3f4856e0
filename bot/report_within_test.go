package bot

import (
	"strings"
	"testing"
)

// TestReportWithinAnotherQuestion reports from the field while something else is being typed in: the report is taken, never kept as
// the answer to a question, and what was half typed is said to be left off.
func TestReportWithinAnotherQuestion(t *testing.T) {
	t.Parallel()
	reports := map[string]string{
		"incident fall Gull Gully, D-14":                "In quarantine from now",
		"incident Gull Gully, rope took a fall, D-14":   "In quarantine from now",
		"conditions dusty, D-14":                        "D-14",
		"quarantine D-99 handle sticks":                 "There is no D-99",
		"quarantine D-14 handle sticks":                 "is in quarantine from now",
		"quarantine blue pulley, east stack, no mark":   "Tag it",
		"fault orange rope grab, can't read its number": "Tag it",
	}
	for report, want := range reports {
		for _, before := range [][]string{{"take in", "Z-1", "a"}, {"round due"}} {
			c := talk(t)
			for _, said := range before {
				c.say("@ana", "", said)
			}
			if got := c.say("@ana", "", report).text(); !strings.Contains(got, want) {
				t.Errorf("after %q, %q is answered by: %s", before, report, got)
			}
		}
	}
}
