package prompts

import (
	"fmt"
	"slices"
	"strings"
)

// conditionsAcross wants as many conditions in another language: no fewer than surely were there, and no more than may have been.
func conditionsAcross(p pair) string {
	if was, now, same := p.sameConditions(p.from, p.to); !same {
		return fmt.Sprintf("conditions were there %d times, now %d", was, now)
	}
	return ""
}

// sameConditions tells whether a text may have the conditions of another, and how many surely are in each. A "where" that is said by one serves once.
func (p pair) sameConditions(from, to text) (before, after int, same bool) {
	was, now := p.was.conditionsIn(from), p.is.conditionsIn(to)
	if strings.Contains(p.worded, "?") { // "Bewegt es sich?" begins with its verb too
		now.perhaps += now.verbFirst
		now.verbFirst = 0
	}
	sure := now.surely + now.verbFirst
	most := was.surely + was.perhaps + p.frontedSaid(from, to) + max(0, was.places-now.places)
	least := was.surely - now.perhaps - max(0, now.places-was.places)
	return was.surely, sure, least <= sure && sure <= most
}

// frontedSaid counts what stands before statements instead of conditions and is said by one: "worn through, it shows" by "ist er durchgescheuert, ...".
func (p pair) frontedSaid(from, to text) (n int) {
	for _, s := range from.sentences {
		if front := p.was.fronted(s); front > 0 && p.inCondition(s[:front], to) {
			n++
		}
	}
	return n
}

// inCondition tells whether a condition of a translation says some words, as far as they are known.
func (p pair) inCondition(words []string, to text) bool {
	known := p.known(words)
	for _, s := range to.sentences {
		for i := range s {
			if p.is.condition(s, i) != surely && !p.is.verbFirst(s, i) {
				continue
			}
			end := slices.Index(s[i:], comma)
			if end < 0 {
				end = len(s) - i
			}
			if len(known) == 0 || len(p.sharedWords(words, s[i:i+end])) > 0 {
				return true
			}
		}
	}
	return false
}

// conditionCounts says how many conditions a text surely has, how many that begin with their verb, how many places, and how many more conditions there
// may be.
type conditionCounts struct{ surely, verbFirst, places, perhaps int }

func (l *lexicon) conditionsIn(t text) (c conditionCounts) {
	for _, s := range t.sentences {
		for i := range s {
			linked := i > 0 && slices.Contains(l.Links, s[i-1])
			begins := i == 0 || linked || s[i-1] == comma
			switch class := l.condition(s, i); {
			case slices.Contains(l.Places, s[i]):
				c.places++
			case class == surely:
				c.surely++
			case class == perhaps, l.mayOpen(s, i, begins):
				c.perhaps++
			case i == 0 && l.verbFirst(s, i):
				c.verbFirst++
			case linked && l.verbFirst(s, i):
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
// of it begins, "once it is slack".
func (l *lexicon) mayOpen(s []string, n int, begins bool) bool {
	if begins && slices.Contains(l.Openers, s[n]) {
		return true
	}
	return slices.ContainsFunc(l.MayOpen, func(words string) bool {
		all := strings.Fields(words)
		follows := len(s)-n > len(all) && slices.Equal(s[n:n+len(all)], all) && s[n+len(all)] != comma // not "set it anew each time"
		return s[n] == words || follows
	})
}
