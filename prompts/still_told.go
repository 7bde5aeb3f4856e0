package prompts

import (
	"fmt"
	"slices"
)

// stillTold wants what is to be done to be told, and not supposed: "read the figures" isn't "when you read the figures".
func stillTold(p pair) string {
	if p.across {
		return ""
	}
	supposed, elsewhere := p.is.supposed(p.to)
	before, _ := p.was.supposed(p.from)
	for _, s := range p.from.sentences {
		for _, w := range toldIn(text{sentences: [][]string{s}}, p.was) {
			stem, n := p.was.stem(w), slices.Index(s, w)
			object := slices.Contains(p.was.Objects, at(s, n+1)) && at(s, n+1) != "that" // "rust that wipes off" is no order
			named := slices.Contains(p.was.Orders, w) && at(s, n+2) != comma             // nor is "let in: draws in fully"
			if (object || named) && p.was.plainForm(w) && supposed[stem] && !before[stem] && !elsewhere[stem] {
				return fmt.Sprintf("%q is only supposed now", w)
			}
		}
	}
	return ""
}

// supposed tells which stems stand within a text's conditions, and which elsewhere.
func (l *lexicon) supposed(t text) (within, elsewhere map[string]bool) {
	within, elsewhere = map[string]bool{}, map[string]bool{}
	for _, s := range t.sentences {
		in := false
		for i, w := range s {
			if opens := l.condition(s, i) == surely || slices.Contains(l.Supposing, w) && at(s, i+1) == "you"; opens || w == comma {
				in = opens
			}
			if in {
				within[l.stem(w)] = true
			} else {
				elsewhere[l.stem(w)] = true
			}
		}
	}
	return within, elsewhere
}
