// Package picture draws how a place wore: lines, spots and words on paper, in black and grey alone, since not everybody tells colours
// apart and not every printer has them. What a picture says is said in words beside it too.
package picture

// Picture is a drawing of so many points (1/72 inch) across and down. It is drawn in the order of its parts: lines, spots, texts.
type Picture struct {
	Width, Height float64
	Lines         []Line
	Spots         []Spot
	Texts         []Text
}

// Place is so many points from the left and from the top.
type Place struct{ X, Y float64 }

// Line is a straight line. Grey is from 0, black, to 1, white.
type Line struct {
	From, To Place
	Width    float64
	Grey     float64
	Dashes   []float64 // lengths drawn and left out in turn; none: drawn through
}

// Spot is a filled circle, black.
type Spot struct {
	At     Place
	Radius float64
}

// Align says which end of a text stands at its place.
type Align uint8

// The ends of a text.
const (
	Left Align = iota
	Middle
	Right
)

// Text is one line of words, its foot at a place.
type Text struct {
	At    Place
	Size  float64
	Align Align
	Bold  bool
	Says  string
}

func (p *Picture) line(from, to Place, width, grey float64, dashes ...float64) {
	p.Lines = append(p.Lines, Line{from, to, width, grey, dashes})
}

func (p *Picture) text(at Place, size float64, align Align, bold bool, says string) {
	p.Texts = append(p.Texts, Text{at, size, align, bold, says})
}
