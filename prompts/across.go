package prompts

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"
)

// sideBySide wants, in another language, sentence for sentence the same figures, duties and words of the trade. One sentence may be several, and
// several one, where their parts correspond. No check here can tell whether a translation is right; see DEVELOPERS.md for who
// has to read it.
func sideBySide(p pair) string {
	if !p.across {
		return ""
	}
	from, to := p.from.sentences, p.to.sentences
	if len(to) > len(from)*3 || len(from) > len(to)*3 {
		return fmt.Sprintf("%d sentences became %d", len(from), len(to))
	}
	reached := make([][]bool, len(from)+1)
	for i := range reached {
		reached[i] = make([]bool, len(to)+1)
		for j := range reached[i] {
			reached[i][j] = i == 0 && j == 0 || slices.ContainsFunc(pieces(), func(size [2]int) bool {
				a, b := i-size[0], j-size[1]
				return a >= 0 && b >= 0 && reached[a][b] && p.correspond(a, i, b, j)
			})
		}
	}
	if reached[len(from)][len(to)] {
		return ""
	}
	for n := range min(len(from), len(to)) {
		if why := p.otherwise(n, n+1, n, n+1); why != "" && len(from) == len(to) {
			return fmt.Sprintf("sentence %d %s", n+1, why)
		}
	}
	return fmt.Sprintf("%d sentences became %d", len(from), len(to))
}

// pieces are how many sentences may correspond to how many.
func pieces() [][2]int { return [][2]int{{1, 1}, {1, 2}, {2, 1}, {1, 3}, {3, 1}} }

// correspond tells whether the sentences from a to i may be said by those from b to j.
func (p pair) correspond(a, i, b, j int) bool {
	if p.otherwise(a, i, b, j) != "" {
		return false
	}
	if i-a == j-b {
		return p.saysIts(p.from.sentences[a], p.to.sentences[b])
	}
	return p.divided(p.from.sentences[a:i], p.to.sentences[b:j])
}

// otherwise tells what is otherwise in the sentences from b to j than in those from a to i; empty: nothing that is known here.
func (p pair) otherwise(a, i, b, j int) string {
	was, now := text{sentences: p.from.sentences[a:i]}, text{sentences: p.to.sentences[b:j]}
	switch {
	case !sameDuties(was, p.was, now, p.is):
		return "has other duties"
	case !agree(figuresIn(was, p.was, ""), figuresIn(now, p.is, "")):
		return "has other figures"
	}
	if _, _, same := p.sameConditions(was, now); !same {
		return "has other conditions"
	}
	if why := p.turnedRound(was, now); why != "" {
		return why
	}
	return p.otherTerms(a, i, b, j)
}

// otherTerms tells which word of the trade is missing in a translation, or is said where it wasn't. Where the original says "it", it may be named
// as in a sentence before.
func (p pair) otherTerms(a, i, b, j int) string {
	from, to := text{sentences: p.from.sentences[a:i]}.words(), text{sentences: p.to.sentences[b:j]}.words()
	earlier := text{sentences: p.from.sentences[:a]}.words()
	there := func(english string) bool { return p.was.says(from, english) }
	named := func(english string) bool {
		return p.was.says(earlier, english) && slices.ContainsFunc(from, func(w string) bool { return slices.Contains(p.was.Pronouns, w) })
	}
	said := map[string]bool{}
	for _, w := range to {
		terms := p.is.termsOf(w)
		if len(terms) > 0 && !slices.ContainsFunc(terms, there) && !slices.ContainsFunc(terms, named) {
			return fmt.Sprintf("says %q, a thing that wasn't there", w)
		}
		for _, english := range terms {
			said[english] = true
		}
	}
	for _, english := range p.is.fixed {
		if there(english) && !said[english] && !anyWithin(to, p.is.MaySay[english]) {
			return fmt.Sprintf("should say %q as %s", english, listed(slices.Concat(p.is.Terms[english], p.is.MaySay[english])))
		}
	}
	return ""
}

// says tells whether a word, in whatever form, stands among others.
func (l *lexicon) says(words []string, word string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return l.stem(w) == l.stem(word) })
}

// anyWithin tells whether one of some pieces is within one of some words.
func anyWithin(words, pieces []string) bool {
	return slices.ContainsFunc(words, func(w string) bool {
		return slices.ContainsFunc(pieces, func(piece string) bool { return strings.Contains(w, piece) })
	})
}

// enoughKnown is how many known words of a sentence one has to be said of.
const enoughKnown = 3

// saysIts tells whether a sentence says something of its own one: a quarter of what is known here, or where the sentences don't go in pairs anything.
func (p pair) saysIts(from, to []string) bool {
	known, said := len(p.known(from)), len(p.sharedWords(from, to))
	if len(p.from.sentences) == len(p.to.sentences) {
		return known < enoughKnown || said*4 >= known
	}
	return said > 0
}

// divided tells of sentences that were split or joined whether the one can be divided at commas and joining words so that its parts correspond to
// the several, one to one.
func (p pair) divided(from, to [][]string) bool {
	if len(from) > 1 {
		return slices.ContainsFunc(divisions(to[0], len(from), p.is), func(parts [][]string) bool { return p.eachSaysSo(from, parts, true) })
	}
	return slices.ContainsFunc(divisions(from[0], len(to), p.was), func(parts [][]string) bool { return p.eachSaysSo(parts, to, false) })
}

// mostWords is how long a sentence may be that is divided.
const mostWords = 80

// divisions gives all ways to divide a sentence into some parts; none for one that is too long.
func divisions(s []string, parts int, l *lexicon) (all [][][]string) {
	if len(s) > mostWords {
		return nil
	}
	if parts == 1 {
		return [][][]string{{s}}
	}
	for i := 1; i < len(s); i++ {
		if s[i] != comma && !slices.Contains(l.Links, s[i]) {
			continue
		}
		for _, rest := range divisions(s[i+1:], parts-1, l) {
			all = append(all, append([][]string{s[:i]}, rest...))
		}
	}
	return all
}

// eachSaysSo tells whether each sentence has the duties and figures of its own one, says half of what is known of it here, or where several became
// one more than half, and something that no other says, and is about as long.
func (p pair) eachSaysSo(from, to [][]string, joined bool) bool {
	shared := make([][]string, len(from))
	for n := range from {
		was, now := text{sentences: from[n : n+1]}, text{sentences: to[n : n+1]}
		before, after := letters(was.words()), letters(now.words())
		if after*2 < before || after > before*2+shortPiece || !sameDuties(was, p.was, now, p.is) || !agree(figuresIn(was, p.was, ""), figuresIn(now, p.is, "")) {
			return false
		}
		known, said := p.known(from[n]), p.sharedWords(from[n], to[n])
		if len(said)*2 < len(known) || joined && len(said)*2 == len(known) && len(known) > 0 {
			return false
		}
		if p.movedFrom(n, from, to, said) {
			return false
		}
		shared[n] = slices.Concat(said, slices.Sorted(maps.Keys(dutiesIn(was, p.was))))
	}
	return oneEach(shared, nil)
}

// movedFrom tells whether a word of a sentence that its own one doesn't say is said by another, whose own has no such word.
func (p pair) movedFrom(n int, from, to [][]string, said []string) bool {
	for _, w := range p.known(from[n]) {
		for m := range to {
			if m != n && !slices.Contains(said, w) && !p.was.says(from[m], w) && anyWithin(to[m], p.is.saidBy[w]) && !p.saidOtherwise(w, from[m], to[m]) {
				return true
			}
		}
	}
	return false
}

// saidOtherwise tells whether what may say a word says another of a sentence there.
func (p pair) saidOtherwise(word string, from, to []string) bool {
	return slices.ContainsFunc(p.known(from), func(w string) bool {
		return slices.ContainsFunc(p.is.saidBy[word], func(piece string) bool {
			return slices.Contains(p.is.saidBy[w], piece) && anyWithin(to, []string{piece})
		})
	})
}

// shortPiece is how many letters more than twice as many a piece of a sentence may have in another language.
const shortPiece = 8

// oneEach tells whether each of some lists can give a word that no other gives.
func oneEach(lists [][]string, taken []string) bool {
	return len(lists) == 0 || slices.ContainsFunc(lists[0], func(w string) bool {
		return !slices.Contains(taken, w) && oneEach(lists[1:], append(slices.Clip(taken), w))
	})
}

func letters(words []string) (n int) {
	for _, w := range words {
		n += utf8.RuneCountInString(w)
	}
	return n
}

// known lists the words of the original that are known in the other language, without their endings.
func (p pair) known(from []string) (all []string) {
	for _, w := range from {
		if base := p.was.stem(w); len(p.is.saidBy[base]) > 0 && !slices.Contains(all, base) {
			all = append(all, base)
		}
	}
	return all
}

// sharedWords lists those of them that are said.
func (p pair) sharedWords(from, to []string) (all []string) {
	for _, base := range p.known(from) {
		if anyWithin(to, p.is.saidBy[base]) {
			all = append(all, base)
		}
	}
	return all
}
