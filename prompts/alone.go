package prompts

import (
	"fmt"
	"slices"
	"strings"
)

// aloneAsBefore wants each "alone" and "by itself" to be about what it was about, which is the word before it: "the spring alone moves it" isn't
// "look at it alone".
func aloneAsBefore(p pair) string {
	if p.across {
		return ""
	}
	was, now := p.was.alone(p.from), p.is.alone(p.to)
	for _, w := range now {
		n := slices.Index(was, w)
		if n < 0 {
			return fmt.Sprintf("%q is alone now", w)
		}
		was = slices.Delete(was, n, n+1)
	}
	if len(was) > 0 {
		return fmt.Sprintf("%q isn't alone now", was[0])
	}
	return ""
}

// alone lists the stems of what is said to be alone.
func (l *lexicon) alone(t text) (all []string) {
	for _, s := range t.sentences {
		for i := range s {
			for _, phrase := range l.Alone {
				words := strings.Fields(phrase)
				if i+len(words) <= len(s) && slices.Equal(s[i:i+len(words)], words) {
					all = append(all, l.stem(at(s, i-1)))
				}
			}
		}
	}
	return all
}
