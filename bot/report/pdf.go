package report

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// Lengths are in millimetres, sizes of letters in points.
const (
	margin     = 18.0
	line       = 4.6
	together   = 4 // a paragraph of no more lines isn't broken between pages, and of a longer one no line stands alone
	indent     = 7.0
	frame      = 0.5
	hang       = 3.0 // further in, for all lines of a paragraph but its first
	step       = 1.8 // further in, for each space that a line begins with
	big, small = 15.0, 8.0
	plain      = 9.5
	headed     = 10.5
	family     = "go"
	bold       = "B"
)

// page is a PDF being written from top to bottom, so that its order is the order in which it is read.
type page struct {
	*fpdf.Fpdf
	letters letters
	lacking bool // whether the report being written has letters that can't be printed
}

// PDF is one report or several as a PDF of A4 pages, each report from a page of its own, several after a list of them. The same Data
// gives the same bytes. A picture that can't be opened is said to be kept and isn't shown.
func PDF(all ...Data) ([]byte, error) {
	p, err := newPage(all[0])
	if err != nil {
		return nil, fmt.Errorf("the report's letters can't be loaded: %w", err)
	}
	for range listPages(len(all)) {
		p.SetTitle(listTitle(len(all)), true)
		p.AddPage()
	}
	begins := make([]int, len(all))
	for n, d := range all {
		p.AddPage()
		begins[n] = p.PageNo()
		p.Bookmark(p.letters.shown(d.Title()), 0, -1)
		if err := p.report(d); err != nil {
			return nil, fmt.Errorf("a photo of the report can't be read: %w", err)
		}
	}
	p.list(all, begins)
	p.feet(all, begins)
	var out bytes.Buffer
	if err := p.Output(&out); err != nil {
		return nil, fmt.Errorf("the report can't be written as a PDF: %w", err)
	}
	return out.Bytes(), nil
}

// report writes one.
func (p *page) report(d Data) error {
	p.write(0, bold, big, d.Title())
	p.write(0, "", small, under)
	p.glance(d.glance())
	for _, s := range d.Sections() {
		p.section(s)
		if s.Heading == headWear {
			for _, w := range d.Wear {
				p.drawing(w.Drawn)
			}
		}
	}
	if p.lacking {
		p.write(indent, "", plain, fmt.Sprintf(unprinted, noLetter))
		p.lacking = false
	}
	return p.photos(d.Photos)
}

// newPage sets up a document. Nothing in it depends on when or where it is made.
func newPage(d Data) (*page, error) {
	letters, err := newLetters()
	if err != nil {
		return nil, err
	}
	p := &page{Fpdf: fpdf.New("P", "mm", "A4", ""), letters: letters}
	made := time.Date(d.Made.First().Year, d.Made.First().Month, max(d.Made.First().Day, 1), 0, 0, 0, 0, time.UTC)
	p.SetCreationDate(made)
	p.SetModificationDate(made)
	p.SetCatalogSort(true)
	p.SetLang("en-GB")
	p.SetTitle(p.letters.shown(d.Title()), true)
	p.SetAuthor(p.letters.shown(d.Author.Name), true)
	p.SetMargins(margin, margin, margin)
	p.SetCellMargin(0)
	p.SetAutoPageBreak(true, margin)
	for style, font := range fonts() {
		p.AddUTF8FontFromBytes(family, style, font)
	}
	return p, p.Error()
}

// back goes on writing on a page that was begun before.
func (p *page) back(to int) {
	p.SetPage(to)
	// Its letters aren't those that were set on another page, which are only set where they differ from the last ones.
	p.SetFont(family, bold, 1)
	p.SetFont(family, "", 1)
}

// feet writes at the foot of each page which report it is of, now that it is known how many pages there are.
func (p *page) feet(all []Data, begins []int) {
	pages, title, next := p.PageCount(), listTitle(len(all)), 0
	_, high := p.GetPageSize()
	for n := 1; n <= pages; n++ {
		for next < len(begins) && begins[next] <= n {
			title, next = all[next].Title(), next+1
		}
		p.back(n)
		p.SetFont(family, "", small)
		number := fmt.Sprintf(pageOf, n, pages)
		p.Text(margin, high-margin+2*line, p.clipped(title+".", p.inner()-p.GetStringWidth(number)-line)+number)
	}
}

// clipped is a text in the letters that are set, on one line no wider than that: what is longer is cut, and ends with dots.
func (p *page) clipped(text string, wide float64) string {
	const cut = " …"
	lines := p.lines(text, wide)
	if len(lines) <= 1 {
		return strings.Join(lines, "")
	}
	return p.lines(text, wide-p.GetStringWidth(cut))[0] + cut
}

// section writes a heading and its lines.
func (p *page) section(s Section) {
	p.SetFont(family, "", plain)
	first := len(p.lines(s.Lines[0], p.inner()-indent-hang))
	p.heading(s.Head(), float64(min(first, together))*line)
	for _, l := range s.Lines {
		deeper := float64(len(l) - len(strings.TrimLeft(l, " ")))
		p.write(indent+deeper*step, "", plain, l)
	}
}

// heading starts a part, with an entry in the document's list of contents. It isn't left alone at the foot of a page: so much room
// has to be left below it.
func (p *page) heading(text string, room float64) {
	p.need(2*line + room)
	p.Ln(line / 2)
	p.Bookmark(p.letters.shown(text), 1, -1)
	p.write(0, bold, headed, text)
}

// need goes to the next page where so much room isn't left.
func (p *page) need(room float64) {
	if _, height := p.GetPageSize(); p.GetY()+room > height-margin {
		p.AddPage()
	}
}

// write puts down a paragraph.
func (p *page) write(in float64, style string, size float64, text string) {
	p.SetFont(family, style, size)
	high, deeper := max(line, size*0.42), hang
	if in == 0 {
		deeper = 0
	}
	lines := p.lines(text, p.inner()-in-deeper)
	for n, l := range lines {
		switch left := len(lines) - n; {
		case n == 0:
			p.need(float64(min(left, together)) * high)
		case left == 2 && len(lines) > together:
			p.need(2 * high)
		}
		p.SetX(margin + in + min(float64(n), 1)*deeper)
		p.CellFormat(0, high, l, "", 1, "L", false, 0, "")
	}
}

// inner is how wide a line may be.
func (p *page) inner() float64 {
	wide, _ := p.GetPageSize()
	return wide - 2*margin
}

// lines breaks a text into lines that are no wider than that in the letters that are set.
func (p *page) lines(text string, wide float64) []string {
	shown := p.letters.shown(strings.TrimSpace(text))
	p.lacking = p.lacking || strings.ContainsRune(shown, noLetter)
	return p.SplitText(shown, wide)
}
