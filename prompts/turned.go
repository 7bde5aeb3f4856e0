package prompts

import (
	"fmt"
	"slices"
	"strings"
)

// turnedRound tells what a translation turned round, or said of fewer things: an opposite that stands there in place of the word, an "each" that is
// gone, gloves that went on instead of off. Empty: nothing that is known here.
func (p pair) turnedRound(from, to text) string {
	was, now := from.words(), to.words()
	for _, kind := range p.is.WideKinds {
		if a, b := countOf(from, kind.Words), countBeginning(now, kind.Here); b < a {
			return fmt.Sprintf("has %q %d times, not %d", kind.Words[0], b, a)
		}
	}
	for _, t := range p.is.Turned {
		for _, sides := range [][2]saidHere{{t.One, t.Other}, {t.Other, t.One}} {
			said, other := sides[0], sides[1]
			if countOf(from, said.Words) > 0 && countOf(from, other.Words) == 0 && countBeginning(now, other.Here) > 0 && countBeginning(now, said.Here) == 0 {
				return fmt.Sprintf("turns %q round", said.Words[0])
			}
		}
	}
	for _, t := range p.is.Together {
		if holds(was, strings.Fields(t.Words)) && !t.stands(now) {
			return fmt.Sprintf("doesn't say %q", t.Words)
		}
	}
	return ""
}

func countBeginning(words, beginnings []string) (n int) {
	for _, w := range words {
		if slices.ContainsFunc(beginnings, func(b string) bool { return strings.HasPrefix(w, b) }) {
			n++
		}
	}
	return n
}

func (t together) stands(words []string) bool {
	for i, w := range words {
		if strings.HasPrefix(w, t.Word) && slices.ContainsFunc(words[max(0, i-2):min(len(words), i+3)], func(w string) bool { return slices.Contains(t.With, w) }) {
			return true
		}
	}
	return false
}
