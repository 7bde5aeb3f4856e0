package flows

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// Problem is one mistake in a flow, in words for people who inspect.
type Problem struct {
	File string
	Line int // from 1
	Col  int // from 1, in characters
	What string
	Do   string
}

func (p Problem) String() string {
	return fmt.Sprintf("%s:%d:%d: %s; %s", p.File, p.Line, p.Col, p.What, p.Do)
}

// Problems are all mistakes found at once, in the order of the text. None: the flow can be relied on.
type Problems []Problem

func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.String()
	}
	return strings.Join(lines, "\n")
}

// place is where something stands. The zero value stands nowhere.
type place struct {
	file      string
	line, col int
	again     bool // in a block's second or later use, which repeats no mistake of the first
}

func (p place) known() bool { return p.line > 0 }

// maxProblems is where a list stops being of use to anybody.
const maxProblems = 200

// reporter gathers problems.
type reporter struct {
	problems Problems
	known    map[reflect.Type][]field // the keys that a decoder has listed so far
}

func (r *reporter) report(at place, what, do string) {
	p := Problem{File: at.file, Line: max(at.line, 1), Col: max(at.col, 1), What: what, Do: do}
	if at.again && slices.ContainsFunc(r.problems, p.sameSpot) {
		return
	}
	r.add(p)
}

// add takes a problem that isn't there yet.
func (r *reporter) add(p Problem) {
	if len(r.problems) < maxProblems && !slices.Contains(r.problems, p) {
		r.problems = append(r.problems, p)
	}
}

func (p Problem) sameSpot(q Problem) bool {
	return p.File == q.File && p.Line == q.Line && p.Col == q.Col
}

// sorted lists the problems as they stand in the text, file by file in the order in which they were met.
func (r *reporter) sorted() Problems {
	met := map[string]int{}
	for _, p := range r.problems {
		if _, ok := met[p.File]; !ok {
			met[p.File] = len(met)
		}
	}
	slices.SortStableFunc(r.problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(met[a.File], met[b.File]), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	return r.problems
}

// maxGuessed bounds the names for which a nearest one is looked for.
const maxGuessed = 40

// nearest is the known name that was most likely meant, or "".
func nearest(name string, known []string) string {
	if utf8.RuneCountInString(name) > maxGuessed {
		return ""
	}
	best, least := "", 1+max(1, min(3, utf8.RuneCountInString(name)/2))
	for _, k := range known {
		if d := levenshtein.ComputeDistance(strings.ToLower(name), strings.ToLower(k)); d < least {
			best, least = k, d
		}
	}
	return best
}

// instead says which name to write for one that isn't known.
func instead(name string, known []string) string {
	if near := nearest(name, known); near != "" {
		return fmt.Sprintf("did you mean %q", near)
	}
	if len(known) == 0 {
		return "there is none to name here; take it out"
	}
	return "write one of " + listed(known)
}

// listed joins a few names; of many it says how many more there are.
func listed(names []string) string {
	const few = 12
	if len(names) > few {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:few], ", "), len(names)-few)
	}
	return strings.Join(names, ", ")
}

// clipped shortens what somebody wrote so that a message stays one line.
func clipped(text string) string {
	const most = 50
	text = strings.Join(strings.Fields(text), " ")
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + " ..."
	}
	return text
}
