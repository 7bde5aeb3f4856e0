// Package serial compares serial numbers as makers stamp them, so that a range in a maker's notice is found in a register
// that people have typed. It knows nothing of items: text in, an answer out, and that answer may be "can't be told".
package serial

import (
	"cmp"
	"fmt"
	"strings"
	"unicode"
)

// Fits is what a comparison says.
type Fits int

// Unknown is what can't be told, and a notice counts it as affected: the zero value, so that a forgotten one is too.
const (
	Unknown Fits = iota
	Inside
	Outside
)

// Range is the serials from one to another, both included. An empty end is open. From equal to To is one serial.
type Range struct{ From, To string }

// String is the range as people say it.
func (r Range) String() string {
	switch {
	case r.From == r.To:
		return r.From
	case r.From == "":
		return "up to " + r.To
	case r.To == "":
		return "from " + r.From
	}
	return r.From + " to " + r.To
}

// Check refuses a range that runs backwards, or whose ends can't be compared.
func (r Range) Check() error {
	if r.From == "" && r.To == "" {
		return fmt.Errorf("a range of serials has neither a first nor a last one; write it like 22-1100 to 22-1199")
	}
	if r.From == "" || r.To == "" {
		return nil
	}
	order, comparable := compare(parts(r.From), parts(r.To))
	switch {
	case !comparable:
		return fmt.Errorf("%s and %s aren't written alike, so nobody can tell what lies between them; write both as the maker does", r.From, r.To)
	case order > 0:
		return fmt.Errorf("%s comes after %s; write the lower one first", r.From, r.To)
	}
	return nil
}

// Covers tells whether a serial lies in the range. One that isn't written like the range's ends, that is empty or has a
// sign nobody could read, can't be told.
func (r Range) Covers(serial string) Fits {
	if strings.ContainsAny(serial, "?*_…") {
		return Unknown
	}
	own := parts(serial)
	if len(own) == 0 {
		return Unknown
	}
	for _, end := range []struct {
		text string
		sign int
	}{{r.From, -1}, {r.To, 1}} {
		if end.text == "" {
			continue
		}
		order, comparable := compare(own, parts(end.text))
		switch {
		case !comparable:
			return Unknown
		case order == end.sign:
			return Outside
		}
	}
	return Inside
}

// CoveredBy tells whether a serial lies in any of the ranges. It is outside only when it is outside them all.
func CoveredBy(serial string, ranges []Range) Fits {
	fits := Outside
	for _, r := range ranges {
		switch r.Covers(serial) {
		case Inside:
			return Inside
		case Unknown:
			fits = Unknown
		}
	}
	return fits
}

// parts cuts a serial into runs of letters and runs of digits; whatever stands between them is how people write. Zeros
// that lead a run of digits count for nothing.
func parts(serial string) []string {
	var all []string
	last := ' '
	for _, r := range strings.ToUpper(serial) {
		kind := ' '
		switch {
		case r >= '0' && r <= '9':
			kind = '0'
		case unicode.IsLetter(r):
			kind = 'A'
		}
		switch {
		case kind == ' ':
		case kind == last:
			all[len(all)-1] += string(r)
		default:
			all = append(all, string(r))
		}
		last = kind
	}
	for n, p := range all {
		if isNumber(p) {
			all[n] = strings.TrimLeft(p[:len(p)-1], "0") + p[len(p)-1:]
		}
	}
	return all
}

func isNumber(part string) bool { return part[0] >= '0' && part[0] <= '9' }

// compare orders two serials part by part, numbers by their value. They can be compared when they are written alike: as
// many parts, letters where the other has letters.
func compare(a, b []string) (order int, comparable bool) {
	if len(a) != len(b) {
		return 0, false
	}
	for n := range a {
		if isNumber(a[n]) != isNumber(b[n]) {
			return 0, false
		}
	}
	for n := range a {
		if order = cmp.Compare(a[n], b[n]); isNumber(a[n]) {
			order = cmp.Or(cmp.Compare(len(a[n]), len(b[n])), order)
		}
		if order != 0 {
			return order, true
		}
	}
	return 0, true
}
