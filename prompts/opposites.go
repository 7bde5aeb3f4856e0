package prompts

import (
	"fmt"
	"slices"
)

// side is one word of an opposite, and the words that stand nearest to it.
type side struct {
	which int
	near  []string
	// only tells of a word that only joins others there, or only says what comes next: "on a table", "first".
	only bool
}

// opposites wants no side turned into the other, nor two swapped.
func opposites(p pair) string {
	if p.across {
		return ""
	}
	for _, sides := range p.was.Opposites {
		if a, b := sidesIn(p.from, p.was, sides), sidesIn(p.to, p.is, sides); swapped(a, b) {
			return fmt.Sprintf("%q and %q changed places", sides[0][0], sides[1][0])
		}
	}
	return ""
}

// swapped tells whether a side came in that wasn't there, or whether two changed places: in another order, and not beside the words that they
// stood beside before.
func swapped(a, b []side) bool {
	inRow := slices.EqualFunc(a, b, func(x, y side) bool { return x.which == y.which })
	if inRow {
		return false
	}
	for which := range 2 {
		had, has := ofSide(a, which), ofSide(b, which)
		if len(ofSide(a, 1-which)) == 0 || len(has) == 0 {
			continue
		}
		if len(has) < len(had) && slices.ContainsFunc(had, func(s side) bool { return !s.only }) {
			return true
		}
		for _, s := range has {
			own, other := s.shares(had), s.shares(ofSide(a, 1-which))
			joins := s.only && len(ofSide(b, 1-which)) >= len(ofSide(a, 1-which)) && len(has) > len(had)
			if own <= other && !joins {
				return true
			}
		}
	}
	return false
}

func ofSide(all []side, which int) (of []side) {
	for _, s := range all {
		if s.which == which {
			of = append(of, s)
		}
	}
	return of
}

// shares counts the near words that it has in common with the one of some that has most.
func (s side) shares(with []side) (most int) {
	for _, other := range with {
		n := 0
		for _, w := range s.near {
			if slices.Contains(other.near, w) {
				n++
			}
		}
		most = max(most, n)
	}
	return most
}

// nearWords is how many words to either side of an opposite tell what it belongs to.
const nearWords = 2

func sidesIn(t text, l *lexicon, sides [2][]string) (all []side) {
	for _, s := range t.sentences {
		for i, w := range s {
			for which, words := range sides {
				next := at(s, i+1)
				if trails := slices.Contains(l.Trailing, w) && (next == "" || next == comma); slices.Contains(words, w) && !trails {
					joins := slices.Contains(l.Joining, w) && (slices.Contains(l.Articles, next) || slices.Contains(l.Wide, next) || next != "" && l.counts(next)) || l.neutral[w]
					all = append(all, side{which, l.near(s, i), joins})
				}
			}
		}
	}
	return all
}

// counts tells whether a word is a number or says something by itself.
func (l *lexicon) counts(w string) bool {
	_, figure := l.figure(w)
	return figure || l.carries(w)
}

// near lists the nearest words to either side of a sentence's nth that say something by themselves.
func (l *lexicon) near(s []string, n int) (all []string) {
	for _, step := range []int{-1, 1} {
		found := 0
		for i := n + step; i >= 0 && i < len(s) && found < nearWords; i += step {
			if l.counts(s[i]) && !l.neutral[s[i]] {
				all = append(all, l.stem(s[i]))
				found++
			}
		}
	}
	return all
}
