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
	headRoom   = 24.0 // a heading isn't left alone at the foot of a page
	indent     = 7.0
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
	title   string // of the report being written
}

// PDF is one report or several as a PDF of A4 pages, each report from a page of its own. The same Data gives the same bytes. A
// picture that can't be opened is said to be kept and isn't shown.
func PDF(all ...Data) ([]byte, error) {
	p, err := newPage(all[0])
	if err != nil {
		return nil, fmt.Errorf("the report's letters can't be loaded: %w", err)
	}
	for _, d := range all {
		p.AddPage()
		p.title = d.Title() // from here on at the foot of each page
		if err := p.report(d); err != nil {
			return nil, fmt.Errorf("a photo of the report can't be read: %w", err)
		}
	}
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
	for _, s := range d.Sections() {
		p.section(s)
		if s.Heading == headWear {
			for _, w := range d.Wear {
				p.drawing(w.Drawn)
			}
		}
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
	p.SetAutoPageBreak(true, margin)
	for style, font := range fonts() {
		p.AddUTF8FontFromBytes(family, style, font)
	}
	p.AliasNbPages("")
	p.SetFooterFunc(func() {
		p.SetY(-margin + line)
		p.SetFont(family, "", small)
		p.CellFormat(0, line, p.letters.shown(fmt.Sprintf(footer, p.title, p.PageNo())), "", 0, "R", false, 0, "")
	})
	return p, p.Error()
}

// section writes a heading and its lines.
func (p *page) section(s Section) {
	p.heading(s.Head(), headRoom)
	for _, l := range s.Lines {
		deeper := float64(len(l) - len(strings.TrimLeft(l, " ")))
		p.write(indent+deeper*step, "", plain, l)
	}
}

// heading starts a part, with an entry in the document's list of contents. room is what has to stand below it on the page.
func (p *page) heading(text string, room float64) {
	p.need(room)
	p.Ln(line / 2)
	p.Bookmark(p.letters.shown(text), 0, -1)
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
	p.SetX(margin + in)
	p.MultiCell(0, max(line, size*0.42), p.letters.shown(strings.TrimSpace(text)), "", "L", false)
}
