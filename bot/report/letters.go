package report

import (
	"strings"
	"unicode"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// fonts are the Go fonts, by the style that they serve: Latin, Greek and Cyrillic letters, which may be embedded by anybody.
func fonts() map[string][]byte { return map[string][]byte{"": goregular.TTF, bold: gobold.TTF} }

// noLetter stands for a letter that the fonts don't have. The report's text has it all the same.
const noLetter = '□'

// letters tells which ones can be shown.
type letters struct {
	font *sfnt.Font
	room *sfnt.Buffer
}

func newLetters() (letters, error) {
	font, err := sfnt.Parse(goregular.TTF)
	return letters{font, &sfnt.Buffer{}}, err
}

// shown is a text in letters that the fonts have, on one line. An accent that came by itself, as some keyboards send it, is put
// on its letter.
func (l letters) shown(text string) string {
	return strings.Map(func(r rune) rune {
		switch n, err := l.font.GlyphIndex(l.room, r); {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Mn, r):
			return -1
		case err != nil || n == 0 || r > 0xFFFF:
			return noLetter
		}
		return r
	}, norm.NFC.String(text))
}
