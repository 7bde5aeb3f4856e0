package tag

import (
	"fmt"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/sfnt"
)

// Sizes of letters are in points.
const (
	largest  = 30
	oneLine  = 14 // a mark that needs smaller letters than that is broken into lines
	least    = 8
	lineHigh = 0.42 // mm for a point
	breaks   = "-/._"
)

// Printable tells whether there are letters for the whole of a mark. Where there aren't, its label has the code alone, and room to
// write the mark by hand: two marks with boxes in them would look alike.
func Printable(mark string) (bool, error) {
	font, err := sfnt.Parse(gobold.TTF)
	if err != nil {
		return false, fmt.Errorf("the letters of tags can't be read: %w", err)
	}
	var room sfnt.Buffer
	for _, r := range mark {
		if n, err := font.GlyphIndex(&room, r); err != nil || n == 0 || r > 0xFFFF {
			return false, err
		}
	}
	return true, nil
}

// fitted breaks a mark into lines and sets the letters as large as leaves them in a room: on one line where they are large enough
// for that, else after a dash or the like, else anywhere. What has no room even so is cut, and ends with dots: the code has all of it.
func fitted(p *fpdf.Fpdf, mark string, wide, high float64) (lines []string, size float64) {
	set := func(points float64) func(string) bool {
		p.SetFont(family, "", points)
		return func(text string) bool { return p.GetStringWidth(text) <= wide }
	}
	for size = largest; size >= oneLine; size-- {
		if fits := set(size); fits(mark) {
			return []string{mark}, size
		}
	}
	for ; size >= least; size-- {
		fits := set(size)
		if lines = filled(pieces(mark), fits); fitsAll(lines, fits) && float64(len(lines))*size*lineHigh <= high {
			return lines, size
		}
	}
	fits := set(least)
	lines = filled(strings.Split(mark, ""), fits)
	if most := int(high / (least * lineHigh)); len(lines) > most {
		lines = append(lines[:most-1:most-1], "…")
	}
	return lines, least
}

// pieces are the parts of a mark that may stand on lines of their own.
func pieces(mark string) (all []string) {
	for mark != "" {
		end := strings.IndexAny(mark, breaks) + 1
		if end == 0 {
			end = len(mark)
		}
		all, mark = append(all, mark[:end]), mark[end:]
	}
	return all
}

// filled puts as many pieces on each line as fit there, and one at least.
func filled(pieces []string, fits func(string) bool) (lines []string) {
	for _, piece := range pieces {
		if last := len(lines) - 1; last >= 0 && fits(lines[last]+piece) {
			lines[last] += piece
			continue
		}
		lines = append(lines, piece)
	}
	return lines
}

func fitsAll(lines []string, fits func(string) bool) bool {
	for _, l := range lines {
		if !fits(l) {
			return false
		}
	}
	return true
}
