package prompts

import (
	"fmt"
	"slices"
	"strings"
)

// figure is a number, unit, date or code in a text. A loose one may be none: "one worn thin" is a thing, "one reading" a number, and in other
// languages the word for one is that for "a".
type figure struct {
	says  string
	loose bool
}

// figures wants every number, unit, date and code, spelled or not, once each and in the same order: two that are swapped mislead.
func figures(p pair) string {
	a, b := figuresIn(p.from, p.was, p.original), figuresIn(p.to, p.is, p.worded)
	for _, inRow := range []bool{false, true} {
		other := func(f figure) bool { return ordinal(f.says) != inRow }
		was, is := slices.DeleteFunc(slices.Clone(a), other), slices.DeleteFunc(slices.Clone(b), other)
		if !agree(was, is) {
			return fmt.Sprintf("%s became %s", figuresListed(was), figuresListed(is))
		}
	}
	return ""
}

// agree tells whether two lists of figures are the same when some loose ones are left out.
func agree(a, b []figure) bool {
	reached := make([][]bool, len(a)+1)
	for i := range reached {
		reached[i] = make([]bool, len(b)+1)
		for j := range reached[i] {
			reached[i][j] = i == 0 && j == 0 ||
				i > 0 && a[i-1].loose && reached[i-1][j] ||
				j > 0 && b[j-1].loose && reached[i][j-1] ||
				i > 0 && j > 0 && a[i-1].says == b[j-1].says && reached[i-1][j-1]
		}
	}
	return reached[len(a)][len(b)]
}

// ordinal tells whether a figure is a place in a row, as a lexicon marks it: "second" is nd2.
func ordinal(figure string) bool {
	return strings.HasPrefix(figure, "nd") || strings.HasPrefix(figure, "th")
}

func figuresIn(t text, l *lexicon, raw string) (all []figure) {
	capitals := map[string]bool{}
	for w := range strings.FieldsFuncSeq(raw, func(r rune) bool { return !isWord(r) }) {
		if len([]rune(w)) > 1 && w == strings.ToUpper(w) && !hasDigit(w) {
			capitals[strings.ToLower(w)] = true
		}
	}
	for _, s := range t.sentences {
		for i, w := range s {
			if f, is := l.figureAt(s, i); is {
				all = append(all, f)
			} else if capitals[w] {
				all = append(all, figure{says: strings.ToUpper(w)})
			}
		}
	}
	return all
}

func figuresListed(all []figure) string {
	var says []string
	for _, f := range all {
		if !f.loose {
			says = append(says, f.says)
		}
	}
	return listed(says)
}

func listed(all []string) string {
	if len(all) == 0 {
		return "nothing"
	}
	return strings.Join(all, ", ")
}

// figureAt gives what a sentence's nth word says as a number, a unit, a date or a code.
func (l *lexicon) figureAt(sentence []string, n int) (figure, bool) {
	w := sentence[n]
	if says, is := l.MaybeFigures[w]; is {
		return figure{says, true}, true
	}
	says, is := l.figure(w)
	if says, within := l.figureWithin(w); !is && within {
		return figure{says, true}, true
	}
	if l.opensClause(sentence, n) {
		return figure{}, false
	}
	if slices.Contains(l.Loose, w) {
		return figure{says, true}, is
	}
	if !is || says != "1" || hasDigit(w) {
		return figure{says: says}, is
	}
	thing := l.oneIsThing(sentence, n)
	counted := thing && slices.Contains(l.Copulas, at(sentence, n+1)) && !slices.Contains(l.Articles, at(sentence, n-1)) && n > 0 // "one is easily forgotten"
	return figure{"1", counted || l.oneMayBeThing(sentence, n)}, counted || !thing
}

// figureWithin gives a figure that a longer word begins with: "Viertelkreis".
func (l *lexicon) figureWithin(w string) (string, bool) {
	for beginning, says := range l.FigureBeginnings {
		if strings.HasPrefix(w, beginning) && w != beginning {
			return says, true
		}
	}
	return "", false
}

// opensClause tells of a word for a count that a clause begins with: "once grit is in the rope".
func (l *lexicon) opensClause(s []string, n int) bool {
	verbs, next := l.CountsOfClauses[s[n]], at(s, n+1)
	if !l.carries(next) && !slices.Contains(l.Subjects, next) { // "what slips once here is not to be tried"
		return false
	}
	return next != comma && (slices.Contains(verbs, at(s, n+1)) || slices.Contains(verbs, at(s, n+2)))
}

// oneIsThing tells of a spelled "one" whether it stands for a thing or for anybody: "a new one", "one that gives", "one stops too early",
// "if it has one".
func (l *lexicon) oneIsThing(s []string, n int) bool {
	named := n+1 < len(s) && l.carries(s[n+1]) && !slices.Contains(l.OneBefore, s[n+1]) && !verbAfter(s[n+1])
	for back := 1; back <= 3 && n-back >= 0 && s[n-back] != comma; back++ {
		if slices.Contains(l.Articles, s[n-back]) && !slices.Contains(l.Copulas, s[n-back+1]) { // "that is one huge load"
			return back > 1 || !named // "the one rope" may be a number
		}
		if back == 2 && !l.carries(s[n-1]) {
			break
		}
	}
	last := n+1 == len(s) || s[n+1] == comma
	if last {
		return n > 0 && slices.Contains(l.OneAfter, s[n-1])
	}
	next := s[n+1]
	return l.carries(next) && verbAfter(next) || slices.Contains(l.OneBefore, strings.Fields(next)[0]) // "one has to be pushed"
}

// verbAfter tells whether a word after a spelled "one" is a verb: after the number a noun stands without an s.
func verbAfter(w string) bool {
	return len(w) > 3 && strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "ss")
}

// atATime is a phrase that only says that things are taken in a row.
const atATime = "at a time"

// oneMayBeThing tells of a spelled "one" whether it can be read either way: "one worn thin", "one gate after the other".
func (l *lexicon) oneMayBeThing(s []string, n int) bool {
	before := at(s, n-1)
	if n+1 == len(s) || s[n+1] == comma {
		return before != "" && (l.carries(before) || slices.Contains(l.Finite, before)) // "beside soft one", "if there is one"
	}
	if slices.Contains(l.Articles, before) {
		return true
	}
	if slices.Contains(l.MaybeOneBefore, s[n+1]) { // "one on the shaft"
		return true
	}
	if turn := slices.Index(s[n:], atATime); turn == 1 || turn == 2 { // "one strap at a time"
		return true
	}
	_, irregular := l.Forms[s[n+1]]
	return irregular || strings.HasSuffix(s[n+1], "ed") || n+2 < len(s) && l.inTurn(s, n+2)
}
