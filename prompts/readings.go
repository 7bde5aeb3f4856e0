package prompts

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// counts says how many words of duty there are of each class. A class may stand below nothing for a while, where one word takes another with it.
type counts map[string]int

func (c counts) with(classes []string) counts {
	sum := maps.Clone(c)
	for _, class := range classes {
		if other, takes := strings.CutPrefix(class, "-"); takes {
			sum[other]--
		} else {
			sum[class]++
		}
	}
	maps.DeleteFunc(sum, func(_ string, n int) bool { return n == 0 })
	return sum
}

// sameDuties tells whether two texts of different languages can be read so that each class of duty is there as often: a word may be of a class in
// one language that it isn't of in the other, or of one of several.
func sameDuties(from text, was *lexicon, to text, is *lexicon) bool {
	a, b := was.dutyReadings(from, to.words()), is.dutyReadings(to, asBeside(from, was))
	for reading := range a {
		if b[reading] {
			return true
		}
	}
	return false
}

// asBeside gives a text's words, as they are and without their endings, for what may stand beside them.
func asBeside(t text, l *lexicon) []string {
	all := t.words()
	for _, w := range t.words() {
		all = append(all, l.stem(w))
	}
	return all
}

// mostReadings is how many ways to read a text are looked at; one that can be read in more isn't read at all.
const mostReadings = 5000

// dutyReadings gives all counts of duties, written out, that a text can be read to have beside a text of another language.
func (l *lexicon) dutyReadings(t text, other []string) map[string]bool {
	all := map[string]counts{"": {}}
	for _, s := range t.sentences {
		for i := range s {
			readings := l.readingsOf(s, i, other)
			if len(readings) == 0 {
				continue
			}
			next := map[string]counts{}
			for _, c := range all {
				for _, reading := range readings {
					sum := c.with(reading)
					next[fmt.Sprint(sum)] = sum
				}
			}
			if all = next; len(all) > mostReadings {
				return nil
			}
		}
	}
	written := map[string]bool{}
	for _, c := range all {
		written[fmt.Sprint(c)] = true
	}
	return written
}

// readingsOf gives the classes that a sentence's nth word may be of, in each way to read it. None: it is no word of duty.
func (l *lexicon) readingsOf(s []string, n int, other []string) (ways [][]string) {
	w, class := s[n], l.duty(s, n)
	switch {
	case len(l.Either[w]) > 0:
		for _, one := range l.Either[w] {
			ways = append(ways, []string{one})
		}
		if class == "not" && slices.Contains(l.Wide, at(s, n+1)) { // "not everybody" is never "nobody"
			ways = [][]string{{class}}
		}
	case class == mustNot && len(l.Forbidding) > 0:
		ways = [][]string{{mustNot}, {"can", "not"}}
	case class != "":
		ways = [][]string{{class}}
		if slices.Contains(l.Repeated, class) && l.nextOr(s, n) > 0 {
			ways = append(ways, []string{class, class})
		}
		if slices.Contains(l.Forbidding, w) && slices.ContainsFunc(s[n+1:], func(w string) bool { return slices.Contains(l.Either[w], "not") }) {
			ways = append(ways, []string{mustNot, "-not"})
		}
	case len(l.maybeOf[w]) > 0:
		ways = [][]string{nil}
		for _, one := range l.maybeOf[w] {
			ways = append(ways, []string{one})
		}
	default:
		return l.withinWord(w)
	}
	if l.excused(w, other) {
		ways = append(ways, nil)
	}
	return ways
}

const mustNot = "must not"

// withinWord gives what a word may say of duty by its beginning and its ending, as "unsichtbar" does.
func (l *lexicon) withinWord(w string) [][]string {
	begins := func(with string) bool { return strings.HasPrefix(w, with) }
	ends := func(with string) bool { return strings.HasSuffix(w, with) && len(w) > len(with)+2 }
	not := slices.ContainsFunc(l.Negating, begins) && !slices.ContainsFunc(l.NotNegating, begins)
	can := slices.ContainsFunc(l.Enabling, ends)
	switch {
	case not && can:
		return [][]string{nil, {"not"}, {"can", "not"}}
	case not:
		return [][]string{nil, {"not"}}
	case can:
		return [][]string{nil, {"can"}}
	}
	return nil
}

// excused tells whether a word may stand where it does since the original has one of the words beside which it says no more than they do.
func (l *lexicon) excused(w string, original []string) bool {
	return slices.ContainsFunc(l.Beside[w], func(beside string) bool {
		return slices.Contains(original, beside) || holds(original, strings.Fields(beside))
	})
}
