package prompts

import (
	"fmt"
	"slices"
)

// inOrder wants what is to be done in the same order: first the second attachment, then the hand off.
func inOrder(p pair) string {
	if p.across {
		return ""
	}
	var words []string
	for _, w := range p.to.words() {
		words = append(words, p.is.stem(w))
	}
	last, before := -1, ""
	for _, w := range toldIn(p.from, p.was) {
		if slices.Contains(p.was.NeverTold, w) || !p.was.plainForm(w) {
			continue
		}
		at := slices.Index(words, p.was.stem(w))
		if at >= 0 && at < last && slices.Index(words[last:], p.was.stem(w)) < 0 {
			return fmt.Sprintf("%q comes before %q now", w, before)
		}
		if at > last {
			last, before = at, w
		}
	}
	return ""
}

// toldIn lists the words that begin a sentence, or follow "and" or "then" in it: what is to be done stands there.
func toldIn(t text, l *lexicon) (all []string) {
	for _, s := range t.sentences {
		for i, w := range s {
			if begins := i == 0 || s[i-1] == "and" || s[i-1] == "then"; begins && (l.carries(w) || l.neutral[w] && !l.common[w]) {
				all = append(all, w)
			}
		}
	}
	return all
}
