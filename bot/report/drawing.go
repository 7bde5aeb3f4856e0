package report

import (
	"math"

	"becket/bot/picture"
)

// widest is how wide a page lets a drawing be.
const widest = 150.0

// drawing puts a picture on the page, in lines that stay sharp however large it is shown. Its words come in the order in which
// they are read aloud.
func (p *page) drawing(drawn picture.Picture) {
	if len(drawn.Lines) == 0 {
		return
	}
	mm := widest / drawn.Width // for each of the picture's points
	p.need(drawn.Height*mm + line)
	top := p.GetY() + line/2
	at := func(place picture.Place) (x, y float64) { return margin + place.X*mm, top + place.Y*mm }
	for _, l := range drawn.Lines {
		grey := int(math.Round(255 * l.Grey))
		p.SetDrawColor(grey, grey, grey)
		p.SetLineWidth(l.Width * mm)
		dashes := make([]float64, len(l.Dashes))
		for n, d := range l.Dashes {
			dashes[n] = d * mm
		}
		p.SetDashPattern(dashes, 0)
		x1, y1 := at(l.From)
		x2, y2 := at(l.To)
		p.Line(x1, y1, x2, y2)
	}
	p.SetDashPattern(nil, 0)
	p.SetDrawColor(0, 0, 0)
	p.SetFillColor(0, 0, 0)
	for _, s := range drawn.Spots {
		x, y := at(s.At)
		p.Circle(x, y, s.Radius*mm, "F")
	}
	for _, t := range drawn.Texts {
		p.words(t, at, mm)
	}
	p.SetY(top + drawn.Height*mm + line/2)
}

// words writes a text of a picture.
func (p *page) words(t picture.Text, at func(picture.Place) (x, y float64), mm float64) {
	style := ""
	if t.Bold {
		style = bold
	}
	const pointsInMM = 72 / 25.4
	p.SetFont(family, style, t.Size*mm*pointsInMM)
	says := p.letters.shown(t.Says)
	x, y := at(t.At)
	switch t.Align {
	case picture.Middle:
		x -= p.GetStringWidth(says) / 2
	case picture.Right:
		x -= p.GetStringWidth(says)
	}
	p.Text(x, y, says)
}
