package prompts

import (
	"fmt"
	"maps"
	"slices"
)

// sideBySide wants, in another language, sentence for sentence the same figures, duties and words of the trade. No check here can tell
// whether a translation is right; see DEVELOPERS.md for who has to read it.
func sideBySide(p pair) string {
	if !p.across {
		return ""
	}
	if a, b := len(p.from.sentences), len(p.to.sentences); a != b {
		return fmt.Sprintf("%d sentences became %d", a, b)
	}
	for n, s := range p.from.sentences {
		was, now := text{sentences: [][]string{s}}, text{sentences: [][]string{p.to.sentences[n]}}
		if dutiesChanged(was, p.was, now, p.is) != "" {
			return fmt.Sprintf("sentence %d has other duties", n+1)
		}
		if !agree(figuresIn(was, p.was, ""), figuresIn(now, p.is, "")) {
			return fmt.Sprintf("sentence %d has other figures", n+1)
		}
		if why := otherTerms(s, p.was, p.to.sentences[n], p.is); why != "" {
			return fmt.Sprintf("sentence %d: %s", n+1, why)
		}
	}
	return ""
}

// otherTerms tells which word of the trade is missing in a sentence's translation, or is said where it wasn't.
func otherTerms(from []string, was *lexicon, to []string, is *lexicon) string {
	there := func(english string) bool {
		return slices.ContainsFunc(from, func(w string) bool { return was.stem(w) == was.stem(english) })
	}
	said := map[string]bool{}
	for _, w := range to {
		terms := is.termsOf(w)
		if len(terms) > 0 && !slices.ContainsFunc(terms, there) {
			return fmt.Sprintf("%q says a thing that wasn't there", w)
		}
		for _, english := range terms {
			said[english] = true
		}
	}
	for _, english := range slices.Sorted(maps.Keys(is.Terms)) {
		if there(english) && !said[english] && !slices.Contains(is.LooseTerms, english) {
			return fmt.Sprintf("%q should be %s there as it was", english, listed(is.Terms[english]))
		}
	}
	return ""
}
