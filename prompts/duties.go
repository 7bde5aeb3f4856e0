package prompts

import (
	"fmt"
	"maps"
	"slices"
)

// duties wants what forbids, obliges, allows and bounds as often as before.
func duties(p pair) string {
	if p.across && sameDuties(p.from, p.was, p.to, p.is) {
		return fewerWide(p)
	}
	was, now, repeated := dutiesIn(p.from, p.was), dutiesIn(p.to, p.is), map[string]int{}
	if !p.across {
		for _, sc := range p.was.repeats(p.from) {
			repeated[sc.class]++
		}
	}
	for _, class := range slices.Sorted(maps.Keys(p.was.Duties)) {
		if n := now[class] - was[class]; n < 0 || n > repeated[class] {
			return fmt.Sprintf("%q was there %d times, now %d", class, was[class], now[class])
		}
	}
	if p.across {
		return "what forbids, obliges, allows or bounds is there oftener or less often now"
	}
	return fewerWide(p)
}

// fewerWide wants words like "all" as often as before, or oftener.
func fewerWide(p pair) string {
	if a, b := countOf(p.from, p.was.Wide), countOf(p.to, p.is.Wide); b < a {
		return fmt.Sprintf("words like \"all\" were there %d times, now %d", a, b)
	}
	return ""
}

func dutiesIn(t text, l *lexicon) map[string]int {
	count := map[string]int{}
	for _, s := range t.sentences {
		for i := range s {
			if class := l.duty(s, i); class != "" {
				count[class]++
			}
		}
	}
	return count
}

func countOf(t text, words []string) (n int) {
	for _, w := range t.words() {
		if slices.Contains(words, w) {
			n++
		}
	}
	return n
}

// duty is the class of duty that a sentence's nth word is of; empty: none.
func (l *lexicon) duty(s []string, n int) string {
	w := s[n]
	class := l.dutyOf[w]
	switch {
	case class == "":
	case n > 0 && slices.Contains(l.NoDutyAfter[w], l.stem(s[n-1])): // "it tells about falls"
		return ""
	case slices.Contains(l.DutyOfNumbers, w) && !l.numberFollows(s, n): // "hold it up to the light"
		return ""
	case l.inTurn(s, n), slices.Contains(l.ThenAfter[w], at(s, n+1)) && (at(s, n+2) == "" || at(s, n+2) == comma || n == 0 && slices.Contains(l.Subjects, at(s, n+2))): // "after that, ..."
		return ""
	}
	return class
}

// at is a sentence's nth word; empty: it has none.
func at(s []string, n int) string {
	if n < 0 || n >= len(s) {
		return ""
	}
	return s[n]
}

func (l *lexicon) numberFollows(s []string, n int) bool {
	for _, w := range s[n+1 : min(n+3, len(s))] {
		if _, is := l.figure(w); is {
			return true
		}
	}
	return false
}

// inTurn tells whether the nth word only says that things are taken in a row: "buckle after buckle", "one after the other".
func (l *lexicon) inTurn(s []string, n int) bool {
	if l.dutyOf[at(s, n)] != "after" {
		return false
	}
	next := at(s, n+1)
	if slices.Contains(l.Articles, next) && next != "another" {
		next = at(s, n+2)
	}
	one := l.Numbers[at(s, n-1)] == "1" || l.Numbers[at(s, n-2)] == "1"
	return one && slices.Contains(l.Others, next) || at(s, n-1) != "" && l.counts(at(s, n-1)) && at(s, n-1) == at(s, n+1)
}

// scopeWords is how many words a word of duty reaches.
const scopeWords = 4

// scope is what a word of duty is about. A bare one is about words that say little: "if it comes out"; whole are all words within its reach.
type scope struct {
	class        string
	about, whole []string
	bare         bool
	// fronted tells of a part before a statement that stands for a condition.
	fronted bool
}

// scopesIn finds for each word of some classes what it is about. A condition is a part of its own.
func scopesIn(t text, l *lexicon, classOf func(sentence []string, n int) string) (all []scope) {
	for _, s := range t.sentences {
		for i := range s {
			if class := classOf(s, i); class != "" {
				all = append(all, l.scopeOf(class, s, i))
			}
		}
	}
	return all
}

func (l *lexicon) scopeOf(class string, s []string, n int) scope {
	condition := class == surely || class == perhaps
	sc := scope{class: class, about: l.about(s, n, condition)}
	sc.bare = condition && len(sc.about) > 0 && !slices.ContainsFunc(sc.about, func(w string) bool { return !l.bare[w] })
	switch hedge := slices.Contains(l.Hedges, class); {
	case condition:
		sc.whole = l.beside(s, n, 1, false)
	case hedge && (at(s, n+1) == "" || at(s, n+1) == comma):
		if sc.about = l.beside(s, n, -1, true); len(sc.about) == 0 { // "often, in a rescue, it holds two"
			sc.about = l.beside(s, n, 1, true)
		}
	case hedge && slices.Contains(l.Copulas, at(s, n-1)):
		sc.about = slices.Concat(l.beside(s, n, -1, false), l.beside(s, n, 1, false))
	}
	return sc
}

// beside lists the nearest words to one side of a sentence's nth that say something by themselves, in its part or beyond the comma too.
func (l *lexicon) beside(s []string, n, step int, beyond bool) (all []string) {
	for i := n + step; i >= 0 && i < len(s) && len(all) < scopeWords && (beyond || s[i] != comma); i += step {
		if _, figure := l.figureAt(s, i); s[i] != comma && (figure || l.carries(s[i])) {
			all = append(all, l.stem(s[i]))
		}
	}
	return all
}

// look is one way to find what a word is about: forwards or backwards, to where, by which words, and by how many.
type look struct {
	step          int
	stops, counts func(int) bool
	most          int
}

// about is what a sentence's nth word reaches: what follows it in its part; where that is only "beside it", the "beside"; where nothing does, what
// stands before; and where the part holds nothing else ("without it, ..."), the next part or the last. A condition
// ends where another begins.
func (l *lexicon) about(s []string, n int, condition bool) []string {
	ends := func(i int) bool {
		return s[i] == comma || slices.Contains(l.Conditions, s[i]) || condition && slices.Contains(l.Places, s[i])
	}
	if next := slices.Index(s[min(n+2, len(s)):], comma); condition && at(s, n+1) == comma && next >= 0 { // "where, after a fall, somebody stopped"
		return l.about(s, n+2+next, true)
	}
	never := func(int) bool { return false }
	says := func(i int) bool {
		_, figure := l.figureAt(s, i)
		return figure || l.carries(s[i])
	}
	itself := func(i int) bool { return condition && says(i) && !l.neutral[s[i]] }
	places := func(i int) bool { return l.common[s[i]] && l.dutyOf[s[i]] == "" && !slices.Contains(l.Small, s[i]) }
	looks := []look{{1, ends, itself, scopeWords}, {1, ends, says, scopeWords}, {1, ends, places, scopeWords}, {-1, ends, says, scopeWords}, {1, never, says, scopeWords}, {-1, never, says, len(s)}}
	if condition {
		looks = looks[:2]
	}
	if at(s, n+1) == comma && !condition && (n < 2 || s[n-2] == comma) { // "straight after, take the webbing"
		looks = append([]look{{1, never, says, scopeWords}}, looks...)
	}
	for _, look := range looks {
		var found []string
		for i := n + look.step; i >= 0 && i < len(s) && !look.stops(i) && len(found) < look.most; i += look.step {
			if s[i] != comma && look.counts(i) {
				found = append(found, l.stem(s[i]))
			}
		}
		if len(found) > 0 {
			return found
		}
	}
	return nil
}

// same tells whether another scope may be about what this one is about.
func (sc scope) same(now scope) bool {
	return sc.class == now.class && (len(sc.about) == 0 || slices.ContainsFunc(now.about, func(w string) bool { return slices.Contains(sc.about, w) }))
}

// sameScope wants each "not", "must" or "before" to be about what it was about: moved to another word it says something else.
func sameScope(p pair) string {
	if p.across {
		return ""
	}
	was, now := append(scopesIn(p.from, p.was, p.was.duty), p.was.repeats(p.from)...), scopesIn(p.to, p.is, p.is.duty)
	of := make([]int, len(was)) // by the place of a scope in the original, one more than that of the one which took it; 0: none did
	for n, sc := range now {
		if !pairUp(n, was, now, of, map[int]bool{}) && !slices.Contains(p.is.Movable, sc.class) {
			return fmt.Sprintf("%q is about %s now", sc.class, listed(sc.about))
		}
	}
	return ""
}

// repeats gives what a word of duty may be said of again: after an "or" it holds for what follows too, "it can open or let the rope in".
func (l *lexicon) repeats(t text) (all []scope) {
	for _, s := range t.sentences {
		for n := range s {
			if class := l.duty(s, n); class != "" && slices.Contains(l.Repeated, class) {
				if or := l.nextOr(s, n); or > 0 {
					all = append(all, scope{class: class, about: l.beside(s, or, 1, false)})
				}
			}
		}
	}
	return all
}

// nextOr is the place of the "or" that follows a sentence's nth word in its part; 0: none does.
func (l *lexicon) nextOr(s []string, n int) int {
	for i := n + 1; i < len(s) && s[i] != comma; i++ {
		if slices.Contains(l.Ors, s[i]) {
			return i
		}
	}
	return 0
}

// pairUp finds a scope of the original for the nth of a rewording, and another for the one that had it before.
func pairUp(n int, was, now []scope, of []int, tried map[int]bool) bool {
	for m := range was {
		if tried[m] || !was[m].same(now[n]) {
			continue
		}
		tried[m] = true
		if of[m] == 0 || pairUp(of[m]-1, was, now, of, tried) {
			of[m] = n + 1
			return true
		}
	}
	return false
}
