package bot

import (
	"strings"
	"unicode"
)

// shown is what is said without what a screen obeys instead of showing: control characters, and those that turn the direction
// of what follows. What people typed is said again in replies, and must not make the rest of one read otherwise.
func shown(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return r
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, text)
}
