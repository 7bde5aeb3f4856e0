package prompts

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// TestNoConditionIsPutToWhatIsToBeDone takes every sentence of the explanations that only tells to do something, and puts a condition to it, of
// words that the checks let in: none may come through.
func TestNoConditionIsPutToWhatIsToBeDone(t *testing.T) {
	c := checker(t)
	own, err := Own()
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for order := range ordersOf(own, c.languages[English]) {
		first, size := utf8.DecodeRuneInString(order)
		after := string(unicode.ToLower(first)) + order[size:]
		before := strings.TrimSuffix(order, ".")
		for _, to := range []string{
			"If you see it, " + after, "Where it is so, " + after, "When you look, " + after, "If it has one, then " + after, "If it is there " + after, "Where you see it " + after,
			before + " if you see it.", before + ", when it is there.", before + " where it is so.",
		} {
			tried++
			if len(c.Objections(order, to, English)) == 0 {
				t.Errorf("a condition comes in unseen: %s", to)
			}
		}
	}
	if t.Logf("%d were tried", tried); tried < 2000 {
		t.Errorf("only %d were tried", tried)
	}
}

// ordersOf gives sentences that begin with what is to be done and state nothing besides.
func ordersOf(g *Guidance, l *lexicon) map[string]bool {
	all := map[string]bool{}
	begins := slices.Concat(l.Orders, strings.Fields("wipe draw press pull push bend lay open close clean brush read count measure lift roll run set write wear mark shine rub clip sit tie ask spread never swing slide twist"))
	for _, words := range []map[string]map[string]Words{g.families, g.blocks} {
		for of := range maps.Values(words) {
			for w := range maps.Values(of) {
				for s := range strings.SplitAfterSeq(strings.ReplaceAll(w.Explained, partMark, "frame"), ". ") {
					s = strings.TrimSpace(s)
					first, _, _ := strings.Cut(strings.ToLower(s), " ")
					if slices.Contains(begins, first) && strings.Count(s, " ") >= 4 && !strings.ContainsAny(s, ":;?") && !strings.Contains(s, ", since ") {
						all[s] = true
					}
				}
			}
		}
	}
	return all
}
