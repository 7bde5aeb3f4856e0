package prompts

import (
	"fmt"
	"slices"
	"strings"
)

// The classes of conditions: surely one, and perhaps ("look where the rope runs").
const (
	surely  = "if"
	perhaps = "where"
)

// condition is the class of condition that a sentence's nth word opens; empty: none.
func (l *lexicon) condition(s []string, n int) string {
	switch {
	case slices.Contains(l.Conditions, s[n]) && slices.Contains(l.WhetherAfter, at(s, n-1)): // "you notice if it slips"
		return perhaps
	case slices.Contains(l.Conditions, s[n]), n == 0 && slices.Contains(l.Places, s[n]):
		return surely
	case slices.Contains(l.Places, s[n]), l.opensClause(s, n):
		return perhaps
	}
	return ""
}

// place is the class of a place that a sentence's nth word opens within it; empty: none. At its beginning it is a condition.
func (l *lexicon) place(s []string, n int) string {
	if n > 0 && slices.Contains(l.Places, s[n]) {
		return perhaps
	}
	return ""
}

// conditions wants none dropped, and none put to something to be done, or to a duty, that had none: "if it is dirty, wipe it". No place may come in
// either: "wipe it where it is dirty".
func conditions(p pair) string {
	if p.across {
		return conditionsAcross(p)
	}
	was, now := p.was.conditionsWithFronted(p.from), scopesIn(p.to, p.is, p.is.condition)
	told := perhapsTold(p.from, p.was)
	asks := strings.Contains(p.worded, "?")
	whether := []string{"whether"}
	asked := countOf(p.from, whether) - countOf(p.to, whether)
	for n, s := range p.to.sentences {
		for _, i := range conditionsOf(s, p.is) {
			here := scopesIn(text{sentences: p.to.sentences[n : n+1]}, p.is, func(s []string, j int) string {
				if i != j {
					return ""
				}
				return surely
			})[0]
			o := orders{p, told}
			if m := indexOfCondition(was, here); m >= 0 && (!was[m].fronted || !o.conditional(s, i) || o.states(s, i)) {
				was = slices.Delete(was, m, m+1)
			} else if asked > 0 && slices.Contains(p.is.Asking, at(s, i-1)) { // "see if it moved" for "see whether it moved"
				asked--
			} else if asks || o.conditional(s, i) {
				return fmt.Sprintf("a condition was put to %q", strings.Join(s, " "))
			}
		}
	}
	if place, is := newPlace(p.was.conditionsWithFronted(p.from), p); is {
		if len(place.about) == 0 {
			return "it names a place now that it didn't name"
		}
		return fmt.Sprintf("it is bound to a place now that has to do with %s", listed(place.about))
	}
	loose := slices.DeleteFunc(now, func(sc scope) bool { return sc.class == surely })
	for _, left := range was {
		if left.class == surely && indexOfCondition(loose, left) < 0 {
			return fmt.Sprintf("no condition is about %s now", listed(left.about))
		}
	}
	return ""
}

// conditionsWithFronted finds the conditions of a text, and with them what stands before its statements instead of one: "home, no turn shows", "worn
// through it shows".
func (l *lexicon) conditionsWithFronted(t text) []scope {
	all := scopesIn(t, l, l.condition)
	for _, s := range t.sentences {
		if n := l.fronted(s); n > 0 {
			sc := scope{class: perhaps, fronted: true}
			for _, w := range s[:n] {
				if l.carries(w) {
					sc.about = append(sc.about, l.stem(w))
				}
			}
			if len(sc.about) > 0 {
				all = append(all, sc)
			}
		}
	}
	return all
}

// How many words may stand so before a statement: shortPart before a comma, frontedWords with a participle.
const (
	shortPart    = 3
	frontedWords = 5
)

// fronted is how many words of a sentence stand before its statement, up to a comma or as a participle's part; 0: none do.
func (l *lexicon) fronted(s []string) int {
	_, irregular := l.Forms[s[0]]
	participle := irregular || strings.HasSuffix(s[0], "ed")
	for n := 1; n < len(s) && n <= frontedWords; n++ {
		says := slices.Contains(l.Subjects, at(s, n+1)) && at(s, n+1) != "that" || l.dutyOf[at(s, n+1)] == "no"
		switch {
		case s[n] == comma:
			if !participle && !(n <= shortPart && slices.Contains(l.Fronting, s[0])) || !says {
				return 0
			}
			return n
		case participle && (s[n] == "it" || s[n] == "they"):
			return n
		case l.condition(s, n) != "":
			return 0
		}
	}
	return 0
}

// newPlace gives a place within a sentence that is none of the original's conditions, each of which serves once; false: there is none.
func newPlace(was []scope, p pair) (scope, bool) {
	for _, s := range p.to.sentences {
		for i := range s {
			class := p.is.condition(s, i)
			if class == "" {
				continue
			}
			sc := p.is.scopeOf(class, s, i)
			n := indexOfCondition(was, sc)
			if n < 0 && p.is.place(s, i) != "" {
				return sc, true
			}
			if n >= 0 {
				was = slices.Delete(was, n, n+1)
			}
		}
	}
	return scope{}, false
}

// conditionsOf gives the places in a sentence where a condition surely begins.
func conditionsOf(s []string, l *lexicon) (at []int) {
	for i := range s {
		if l.condition(s, i) == surely {
			at = append(at, i)
		}
	}
	return at
}

// indexOfCondition finds a condition about the same; failing that one that is about nothing in particular.
func indexOfCondition(all []scope, sc scope) int {
	shared := func(other scope) bool {
		n := 0
		for _, w := range other.about {
			if slices.Contains(sc.about, w) {
				n++
			}
		}
		whole := len(sc.about) < scopeWords && len(other.about) < scopeWords
		another := whole && n < len(other.about) && n < len(sc.about) // "if the wire is torn" for "if the cover is torn"
		return n > 0 && !another
	}
	if n := slices.IndexFunc(all, shared); n >= 0 {
		return n
	}
	named := func(other scope) bool { // "if a bail comes out" for "if it comes out"
		return other.bare && !slices.ContainsFunc(other.about, func(w string) bool { return !slices.Contains(sc.whole, w) })
	}
	if n := slices.IndexFunc(all, named); n >= 0 {
		return n
	}
	return slices.IndexFunc(all, func(other scope) bool { return len(other.about) == 0 })
}

// perhapsTold lists what may be told to be done, and some words more. After a subject "and" only joins what ends there: "a torn cover lets in wet and grit".
func perhapsTold(t text, l *lexicon) (all []string) {
	for _, s := range t.sentences {
		states := slices.Contains(l.Subjects, at(s, 0))
		for i, w := range s {
			begins := i == 0 || slices.Contains(l.Links, s[i-1]) && !(states && s[i-1] == "and" && (at(s, i+1) == "" || at(s, i+1) == comma))
			if (begins || s[i-1] == comma) && !slices.Contains(l.NeverTold, w) && (l.carries(w) || l.neutral[w] && !l.common[w]) {
				all = append(all, w)
			}
		}
	}
	return all
}

// orders looks for what is to be done in a rewording. told is what the original tells to do, and some words more that begin its sentences.
type orders struct {
	pair
	told []string
}

// conditional tells whether the condition that begins at a sentence's nth word is put to something to be done, to a duty, or to nothing.
func (o orders) conditional(s []string, n int) bool {
	rest, before := s[n+1:], s[:n]
	if n > 0 && (slices.Contains(o.is.Links, s[n-1]) || s[n-1] == comma && o.is.condition(s, 0) == surely) { // "..., and if it is sharp"
		before = nil
	}
	if first := slices.Index(before, comma); first > 0 && o.is.condition(s, 0) == surely { // "if it rocks, it comes off when somebody leans on it"
		before = before[first+1:]
	}
	end := slices.Index(rest, comma)
	switch {
	case len(before) > 0 && !slices.Contains(o.is.Subjects, before[0]): // "three times when you look"
		return true
	case len(before) > 0 && end >= 0: // "it stops, when it is slow, too late"
		return o.tells(before, false) || o.tells(rest[end+1:], false)
	case len(before) > 0:
		return o.tells(before, false)
	case end >= 0: // "if it is there wipe it, ..." tells within
		main, within := o.withoutConditions(rest, end)
		return within || o.tells(main, false)
	}
	whom := slices.IndexFunc(rest, func(w string) bool { return slices.Contains(o.is.Subjects, w) && !slices.Contains(o.is.Articles, w) })
	if whom == 0 {
		whom += 1 + slices.IndexFunc(rest[1:], func(w string) bool { return slices.Contains(o.is.Subjects, w) && !slices.Contains(o.is.Articles, w) })
	}
	return whom < 2 || o.tells(rest, true) // "if it is twisted" leads to nothing
}

// states tells whether what follows the condition at a sentence's nth word states that there is none of something: "when it is home, no turn shows".
func (o orders) states(s []string, n int) bool {
	end := slices.Index(s[n:], comma)
	if end < 0 || o.is.dutyOf[at(s, n+end+1)] != "no" {
		return false
	}
	return !o.tells(s[n+end+2:], false)
}

// withoutConditions leaves out the parts that are conditions too: "if it clicks, or if the head turns, its seat is going".
func (o orders) withoutConditions(rest []string, end int) (main []string, within bool) {
	within = o.tellsWithin(rest[:end])
	for main = o.afterList(rest, end); ; {
		first := main
		for len(first) > 0 && slices.Contains(o.is.Links, first[0]) {
			first = first[1:]
		}
		end := slices.Index(first, comma)
		if end < 0 || !slices.Contains(o.is.Conditions, first[0]) {
			return main, within
		}
		within = within || o.tellsWithin(first[1:end])
		main = first[end+1:]
	}
}

// afterList is what follows a condition. In "slow, gritty or half-way" the comma divides what stood in one row before.
func (o orders) afterList(rest []string, end int) []string {
	if end >= 2 && o.is.common[rest[end-2]] && end+1 < len(rest) {
		row := rest[end-1 : end+2]
		stood := slices.ContainsFunc(o.from.sentences, func(s []string) bool { return holds(s, row) })
		if next := slices.Index(rest[end+1:], comma); stood && next >= 0 {
			return rest[end+1+next+1:]
		}
	}
	return rest[end+1:]
}

// tells whether something is to be done in a part of a sentence, or a duty stands in it. Anywhere: no comma shows where the part begins.
func (o orders) tells(part []string, anywhere bool) bool {
	for len(part) > 0 && slices.Contains(o.is.Links, part[0]) {
		part = part[1:]
	}
	if len(part) == 0 {
		return true
	}
	fronted := o.is.common[part[0]] && !slices.Contains(o.is.Subjects, part[0]) // "where the rope runs look for a flat"
	anywhere = anywhere || fronted
	for i, w := range part {
		if o.binds(part, i) {
			return true
		}
		starts := i == 0 || part[i-1] == comma || slices.Contains(o.is.Links, part[i-1])
		free := starts || !slices.Contains(o.is.NoOrderAfter, part[i-1])
		if !o.is.plainForm(w) || !free || o.goesOn(part, i) || slices.Contains(o.is.Finite, at(part, i+1)) {
			continue
		}
		told := slices.ContainsFunc(o.told, func(t string) bool { return o.was.stem(t) == o.is.stem(w) && o.was.plainForm(t) })
		order := slices.Contains(o.is.Orders, w)
		object := slices.Contains(o.is.Objects, at(part, i+1))
		if told && (starts || anywhere || object) || order && (starts || anywhere) || starts && o.is.carries(w) && (object || len(part) == 1) {
			return true
		}
	}
	return false
}

// tellsWithin tells whether something is to be done within a condition itself, where no comma shows its end: "if it is there wipe it".
func (o orders) tellsWithin(condition []string) bool {
	for i := 2; i+1 < len(condition); i++ {
		w, before, next := condition[i], condition[i-1], at(condition, i+1)
		thing := slices.Contains(o.is.Orders, before) || slices.Contains(o.is.Finite, next) || verbAfter(next) && !o.stood(w, next) // "you see rust", "rust goes on"
		if o.is.dutyOf[w] == "never" && o.is.plainForm(next) && !o.goesOn(condition, i) {                                           // "if it is there never pull"
			return true
		}
		told := slices.Contains(o.told, w) && !thing ||
			slices.Contains(o.is.Orders, w) && !verbAfter(before) // "if the plates stand apart"
		if told && !o.goesOn(condition, i) && o.is.plainForm(w) && !slices.Contains(o.is.NoOrderAfter, before) {
			return true
		}
	}
	return false
}

// binds tells whether a part's nth word is a duty that no condition may be put to. "It is only colour" and "they harm nothing" only state something.
func (o orders) binds(part []string, n int) bool {
	class := o.is.duty(part, n)
	switch {
	case !slices.Contains(o.is.Bound, class):
		return false
	case class == "only":
		return n == 0 || !o.is.common[part[n-1]]
	case class == "no":
		return !slices.Contains(o.is.Subjects, part[0])
	}
	return true
}

// goesOn tells whether the nth word goes on as it did in the original, behind the same words and an "and": then it is told if they are.
func (o orders) goesOn(part []string, n int) bool {
	if n < 3 || !slices.Contains(o.is.Links, part[n-1]) {
		return false
	}
	return slices.ContainsFunc(o.from.sentences, func(s []string) bool { return holds(s, part[n-3:n+1]) })
}

// stood tells whether two words stood side by side in the original.
func (o orders) stood(w, next string) bool {
	return slices.ContainsFunc(o.from.sentences, func(s []string) bool { return holds(s, []string{w, next}) })
}

// plainForm tells whether somebody can be told to do something by a word as it stands: "file", not "files", "filed".
func (l *lexicon) plainForm(w string) bool {
	_, irregular := l.Forms[w]
	return w != comma && !irregular && (!strings.HasSuffix(w, "s") || strings.HasSuffix(w, "ss")) && (!strings.HasSuffix(w, "ed") || len(w) < 5)
}
