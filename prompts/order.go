package prompts

import (
	"fmt"
	"slices"
	"strings"
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
	if s := outOfRow(p); s != "" {
		return fmt.Sprintf("%q comes later than it did", s)
	}
	last, before := -1, ""
	for _, w := range toldIn(p.from, p.was) {
		if slices.Contains(p.was.NeverTold, w) || !p.was.plainForm(w) || gerund(w) {
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

// outOfRow gives a sentence that says what an earlier one said than those before it; empty: none does.
func outOfRow(p pair) string {
	last := 0
	for _, s := range p.to.sentences {
		shared, most := make([]int, len(p.from.sentences)), 0
		said := map[string]bool{}
		for i, w := range s {
			if _, figure := p.is.figureAt(s, i); figure || p.is.carries(w) && !p.is.neutral[w] {
				said[p.is.stem(w)] = true
			}
		}
		for n, was := range p.from.sentences {
			had := map[string]bool{}
			for _, w := range was {
				had[p.was.stem(w)] = true
			}
			for w := range said {
				if had[w] {
					shared[n]++
				}
			}
			most = max(most, shared[n])
		}
		if most == 0 || most*2 < len(said) {
			continue
		}
		n := last
		for n < len(shared) && shared[n] < most {
			n++
		}
		if n == len(shared) {
			return strings.Join(s, " ")
		}
		last = n
	}
	return ""
}

// toldIn lists the words that begin a sentence, or follow "and" or "then" in it: what is to be done stands there.
func toldIn(t text, l *lexicon) (all []string) {
	for _, s := range t.sentences {
		for i, w := range s {
			if begins := i == 0 || s[i-1] == "and" || s[i-1] == "then"; begins && !slices.Contains(l.Finite, at(s, i+1)) && (l.carries(w) || l.neutral[w] && !l.common[w]) {
				all = append(all, w)
			}
		}
	}
	return all
}

// gerund tells of a word that says how something is done: "by closing the jaws and sliding them".
func gerund(w string) bool { return len(w) > 6 && strings.HasSuffix(w, "ing") }
