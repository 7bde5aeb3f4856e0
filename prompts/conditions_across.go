package prompts

import (
	"fmt"
	"slices"
	"strings"
)

// conditionsAcross wants as many conditions in another language: no fewer than surely were there, and no more than may have been.
func conditionsAcross(p pair) string {
	was, now := p.was.conditionsIn(p.from), p.is.conditionsIn(p.to)
	if strings.Contains(p.worded, "?") { // "Bewegt es sich?" begins with its verb too
		now.perhaps += now.verbFirst
		now.verbFirst = 0
	}
	if now.surely+now.verbFirst+now.perhaps < was.surely || now.surely+now.verbFirst > was.surely+was.perhaps {
		return fmt.Sprintf("conditions were there %d times, now %d", was.surely, now.surely+now.verbFirst)
	}
	return ""
}

// conditionCounts says how many conditions a text surely has, how many that begin with their verb, and how many more there may be.
type conditionCounts struct{ surely, verbFirst, perhaps int }

func (l *lexicon) conditionsIn(t text) (c conditionCounts) {
	for _, s := range t.sentences {
		for i := range s {
			begins := i == 0 || s[i-1] == comma || slices.Contains(l.Links, s[i-1])
			switch class := l.condition(s, i); {
			case class == surely:
				c.surely++
			case class == perhaps, l.mayOpen(s, i, begins):
				c.perhaps++
			case !begins || !l.verbFirst(s, i):
			case i == 0:
				c.verbFirst++
			default:
				c.perhaps++
			}
		}
	}
	return c
}

// verbFirst tells whether a clause begins at a sentence's nth word with its verb, and something follows after a comma: "hakt er, ...".
func (l *lexicon) verbFirst(s []string, n int) bool {
	w := s[n]
	verb := slices.Contains(l.VerbsFirst, w) || strings.HasSuffix(w, "t") && len(l.VerbsFirst) > 0 && !slices.Contains(l.NoVerbsFirst, w)
	return verb && slices.Contains(l.VerbSubjects, at(s, n+1)) && slices.Contains(s[n+1:], comma)
}

// mayOpen tells whether what begins at a sentence's nth word may be said as a condition, and be none: "each time that it closes", or, where a part
// of it begins, "worn through, it shows".
func (l *lexicon) mayOpen(s []string, n int, begins bool) bool {
	_, irregular := l.Forms[s[n]]
	if participle := irregular || strings.HasSuffix(s[n], "ed"); begins && participle && l.carries(s[n]) {
		return true
	}
	if n == 0 && l.fronted(s) > 0 {
		return true
	}
	return begins && slices.Contains(l.Openers, s[n]) || slices.ContainsFunc(l.MayOpen, func(words string) bool {
		all := strings.Fields(words)
		return s[n] == words || len(s)-n >= len(all) && slices.Equal(s[n:n+len(all)], all)
	})
}
