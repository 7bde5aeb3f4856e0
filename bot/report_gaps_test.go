package bot

import (
	"strings"
	"testing"

	"becket/bot/report"
	"becket/flows"
)

// TestEachGapOfAReportIsNamed takes everything away, and looks for a line that names each item of the law's list in words of its own.
func TestEachGapOfAReportIsNamed(t *testing.T) {
	t.Parallel()
	lacks := report.Data{}.Missing()
	for _, v := range []flows.Verdict{flows.Watch, flows.Quarantine} { // 8(b) and (c), regulation 10
		lacks = append(lacks, report.Data{Verdict: v, Defects: []report.Defect{{Verdict: v}}}.Missing()...)
	}
	seen, items := map[string]report.Lack{}, map[string]bool{}
	for _, m := range lacks {
		line := gapsOf([]report.Missing{m}, "D-07", "@ben").lines()
		words, _ := lackWords(m.What, "@ben")
		if words == "" || !strings.HasPrefix(line, "  "+m.Item+": "+sentence(words)) {
			t.Errorf("what lacks under %s is said so: %q", m.Item, line)
		}
		if other, twice := seen[words]; twice && other != m.What {
			t.Errorf("%s and %s are said in the same words", other, m.What)
		}
		seen[words], items[m.Item] = m.What, true
	}
	for _, item := range []string{"1", "2", "3", "4 or 6(a)", "5", "7(a)", "7(b)", "8(a)", "8(b)", "8(c)(i)", "8(c)(ii)", "8(d)", "8(e)", "8(f)", "9", "10", "11", "regulation 10"} {
		if !items[item] {
			t.Errorf("nothing ever lacks under %s", item)
		}
	}
}
