package report

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// box is something on a page, in mm from the page's left and top.
type box struct {
	left, top, wide, high float64
	bold                  bool
	says                  string // empty: a photo
}

func (b box) right() float64  { return b.left + b.wide }
func (b box) bottom() float64 { return b.top + b.high }

// overlaps tells whether two boxes share more than the edge of a letter.
func (b box) overlaps(o box) bool {
	const edge = 0.3
	return min(b.right(), o.right())-max(b.left, o.left) > edge && min(b.bottom(), o.bottom())-max(b.top, o.top) > edge
}

const paperWide, paperHigh = 210.0, 297.0 // A4, ISO 216

var drawn = regexp.MustCompile(`(?s)BT /F(\w+) ([\d.]+) Tf ET|BT ([\d.]+) ([\d.]+) Td \(((?:\\.|[^\\)])*)\) ?Tj|q ([\d.]+) 0 0 ([\d.]+) ([\d.]+) ([\d.]+) cm /I\w+ Do Q`)

// boxes are what stands on each page of a document, as its own drawing orders put it there; the last of each page is its foot.
func boxes(t *testing.T, pdf []byte) (pages [][]box) {
	t.Helper()
	measure, err := newPage(watched(t))
	if err != nil {
		t.Fatal(err)
	}
	title := "" // the font in which a report begins is the bold one
	for _, part := range bytes.Split(pdf, []byte("stream\n"))[1:] {
		r, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue // a picture
		}
		orders, _ := io.ReadAll(r)
		if !bytes.Contains(orders, []byte("Tj ET")) {
			continue // a font
		}
		var page []box
		var size float64
		isBold := false
		for _, o := range drawn.FindAllSubmatch(orders, -1) {
			n := func(at int) float64 { v, _ := strconv.ParseFloat(string(o[at]), 64); return v * 25.4 / 72 }
			switch {
			case len(o[1]) > 0:
				if title == "" {
					title = string(o[1])
				}
				size, isBold = n(2), string(o[1]) == title
			case len(o[3]) > 0:
				style := ""
				if isBold {
					style = bold
				}
				measure.SetFont(family, style, size*72/25.4)
				says := wide(o[5])
				page = append(page, box{n(3), paperHigh - n(4) - 0.75*size, measure.GetStringWidth(says), 0.95 * size, isBold, says})
			default:
				page = append(page, box{n(8), paperHigh - n(9) - n(7), n(6), n(7), false, ""})
			}
		}
		pages = append(pages, page)
	}
	return pages
}

// crowded is a report with everything that is hard to place.
func crowded(t *testing.T, tests int) Data {
	d := held(t)
	d.Employer = Party{"Arbeitsgemeinschaft der Höhenrettungsgruppen des Oberlandes und der angrenzenden Gemeinden e. V. (invented)", "Kapitänsmützenstraße 117a, 51643 Köhlershäuschen"}
	d.Thing.Mark, d.Thing.Serial = "SEILKLEMME-LAGER-NORD-0000000117", strings.Repeat("m", 400)
	d.Author.Qualifications = strings.Repeat("Befähigungsnachweis", 12)
	d.Defects = append(d.Defects, Defect{Part: "Cam: " + strings.Repeat("x", 300), Because: "Wear has begun.", Place: strings.Repeat("y", 300), Verdict: d.Verdict})
	d.Notes = []string{strings.Repeat("grit in the pivot, ", 90)}
	for n := range tests {
		d.Tests = append(d.Tests, fmt.Sprintf("Reading %d: read 0.31, 0.32, 0.30 mm. Worst 0.32, doubt 0.04 mm. New 0. Limit at 1.0 (Dunlin care sheet (invented), edition 3).", n))
	}
	for n, size := range shapes() {
		d.Photos = append(d.Photos, photo(strings.Repeat("Look: side plates and handle ", n%4+1), flat(t, size[0], size[1])))
		if n%3 == 1 {
			d.Photos = append(d.Photos, photo("Cam", nil))
		}
	}
	return worn(t, d)
}

// shapes are how many points photos have across and down: as a camera takes them lying and standing, square, very wide, very high, tiny.
func shapes() [][2]int {
	return [][2]int{{1200, 900}, {900, 1200}, {675, 1200}, {1200, 1200}, {1200, 150}, {150, 1200}, {1200, 900}, {48, 36}, {900, 1200}, {3, 2}, {1200, 675}, {1200, 900}}
}

// TestNothingIsCutOrCovered lays out reports that are hard to place, each with one line more, so that pages end everywhere in turn.
func TestNothingIsCutOrCovered(t *testing.T) {
	for tests := range 24 {
		pdf, err := PDF(crowded(t, tests), watched(t))
		if err != nil {
			t.Fatal(err)
		}
		for n, page := range boxes(t, pdf) {
			where := fmt.Sprintf("with %d tests, page %d", tests, n+1)
			text := page[:len(page)-1]
			for i, b := range text {
				if b.left < margin-0.1 || b.right() > paperWide-margin+0.1 || b.top < margin-0.1 || b.bottom() > paperHigh-margin+0.1 {
					t.Errorf("%s: %q is out of the margins: %.1f to %.1f mm across, %.1f to %.1f down", where, b.says, b.left, b.right(), b.top, b.bottom())
				}
				for _, o := range text[i+1:] {
					if b.overlaps(o) {
						t.Errorf("%s: %q and %q cover each other", where, b.says, o.says)
					}
				}
			}
			if foot := page[len(page)-1]; !strings.Contains(foot.says, fmt.Sprintf("Page %d of ", n+1)) || foot.right() > paperWide-margin+0.1 {
				t.Errorf("%s has at its foot %q", where, foot.says)
			}
			if last := text[len(text)-1]; last.bold && !strings.Contains(last.says, "may be there") { // a picture's words are bold, too
				t.Errorf("%s ends with the heading %q", where, last.says)
			}
		}
	}
}

// TestEachPhotoHasItsWordsBelowIt: on its page, at its edge, with its number, and never squeezed.
func TestEachPhotoHasItsWordsBelowIt(t *testing.T) {
	d := crowded(t, 3)
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	shown := 0
	for _, page := range boxes(t, pdf) {
		for _, b := range page {
			if b.says != "" {
				continue
			}
			size := shapes()[shown]
			if is, want := b.wide/b.high, float64(size[0])/float64(size[1]); math.Abs(is/want-1) > 0.01 {
				t.Errorf("a photo of %v is shown %.1f by %.1f mm", size, b.wide, b.high)
			}
			if finest := float64(size[0]) / (b.wide / 25.4); finest < coarsest-1 {
				t.Errorf("a photo of %v is shown with %.0f points to the inch", size, finest)
			}
			shown++
			number := fmt.Sprintf("%d. Look", numberOf(d, shown))
			if !slices.ContainsFunc(page, func(o box) bool {
				return strings.HasPrefix(o.says, number) && math.Abs(o.left-b.left) < 0.1 && o.top-b.bottom() > -0.5 && o.top-b.bottom() < line
			}) {
				t.Errorf("%q doesn't stand below its photo", number)
			}
		}
	}
	if shown != len(shapes()) {
		t.Errorf("%d photos are shown, not %d", shown, len(shapes()))
	}
}

// numberOf is the number in the report of the photo that is shown as the nth.
func numberOf(d Data, nth int) int {
	for n, p := range d.Photos {
		if file, _ := p.File(); len(file) > 0 {
			nth--
		}
		if nth == 0 {
			return n + 1
		}
	}
	return 0
}

// TestSeveralReportsBeginWithAListOfThem, each with the page on which it begins.
func TestSeveralReportsBeginWithAListOfThem(t *testing.T) {
	var all []Data
	for n := range 43 {
		d := watched(t)
		if n%5 == 0 {
			d = held(t)
		}
		d.Record = fmt.Sprintf("2026-%04d", n)
		all = append(all, d)
	}
	all[7].Thing.Mark = "SEILKLEMME-LAGER-NORD-0000000117-" + strings.Repeat("9", 80)
	pdf, err := PDF(all...)
	if err != nil {
		t.Fatal(err)
	}
	pages := boxes(t, pdf)
	for n, d := range all {
		list := pages[n/40]
		record := slices.IndexFunc(list, func(b box) bool { return b.says == d.Record })
		if record < 3 {
			t.Fatalf("%s isn't in the list", d.Record)
		}
		row := list[record-3 : record+2]
		for _, b := range row {
			if b.bold != d.Verdict.Holds() || b.right() > paperWide-margin || b.top != row[0].top && math.Abs(b.top-row[0].top) > 0.1 {
				t.Errorf("%s: %+v stands out", d.Record, b)
			}
		}
		for at, b := range row[1:] {
			if b.left < row[at].right() {
				t.Errorf("%s: %q and %q cover each other", d.Record, row[at].says, b.says)
			}
		}
		said := []string{d.Verdict.String(), "7 February 2027", d.Record}
		if d.Verdict.Holds() {
			said[1] = "out of use"
		}
		begins, err := strconv.Atoi(row[4].says)
		if err != nil || begins < 3 || begins > len(pages) || !strings.EqualFold(row[1].says, said[0]) || row[2].says != said[1] {
			t.Fatalf("%s: the row is %v", d.Record, row)
		}
		if first := pages[begins-1]; !slices.ContainsFunc(first[:6], func(b box) bool { return strings.HasSuffix(b.says, "record "+d.Record) || b.says == d.Record }) {
			t.Errorf("%s doesn't begin on page %d, but %q", d.Record, begins, first[0].says)
		}
	}
}
