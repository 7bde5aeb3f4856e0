package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// PNG is the picture with so many pixels to a point. The same picture gives the same bytes.
func (p Picture) PNG(scale float64) ([]byte, error) {
	c, err := newCanvas(p, scale)
	if err != nil {
		return nil, fmt.Errorf("the letters for a picture can't be read: %w", err)
	}
	for _, l := range p.Lines {
		c.dashed(l)
	}
	for _, s := range p.Spots {
		c.spot(s)
	}
	for _, t := range p.Texts {
		if err := c.text(t); err != nil {
			return nil, fmt.Errorf("drawing %q: %w", t.Says, err)
		}
	}
	var out bytes.Buffer
	err = png.Encode(&out, c.img)
	return out.Bytes(), err
}

// boldWidth is how wide a text is in bold letters of a size, in points.
func boldWidth(text string, size float64) float64 {
	letters, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return 0 // no letters, which drawing it says
	}
	face, err := opentype.NewFace(letters, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return 0
	}
	return float64(font.MeasureString(face, text)) / 64
}

type canvas struct {
	img           *image.Gray
	scale         float64
	regular, bold *opentype.Font
}

func newCanvas(p Picture, scale float64) (*canvas, error) {
	img := image.NewGray(image.Rect(0, 0, int(p.Width*scale), int(p.Height*scale)))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	regular, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, err
	}
	bold, err := opentype.Parse(gobold.TTF)
	return &canvas{img, scale, regular, bold}, err
}

// dashed draws the pieces of a line that aren't left out.
func (c *canvas) dashed(l Line) {
	length := math.Hypot(l.To.X-l.From.X, l.To.Y-l.From.Y)
	dashes, sum := l.Dashes, 0.0
	for _, d := range dashes {
		sum += d
	}
	if sum <= 0 {
		dashes = []float64{length}
	}
	along := func(x float64) Place {
		if length == 0 {
			return l.From
		}
		return Place{l.From.X + (l.To.X-l.From.X)*x/length, l.From.Y + (l.To.Y-l.From.Y)*x/length}
	}
	for at, n := 0.0, 0; at < length; n++ {
		d := dashes[n%len(dashes)]
		if n%2 == 0 {
			c.bar(along(at), along(min(length, at+d)), l.Width, l.Grey)
		}
		at += d
	}
}

// bar fills a line of a width.
func (c *canvas) bar(a, b Place, width, grey float64) {
	dx, dy := b.X-a.X, b.Y-a.Y
	length := math.Hypot(dx, dy)
	if length == 0 {
		return
	}
	x, y := -dy/length*width/2, dx/length*width/2
	c.fill(grey, Place{a.X + x, a.Y + y}, Place{b.X + x, b.Y + y}, Place{b.X - x, b.Y - y}, Place{a.X - x, a.Y - y})
}

func (c *canvas) spot(s Spot) {
	const corners = 32
	var round []Place
	for n := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(n) / corners)
		round = append(round, Place{s.At.X + s.Radius*cos, s.At.Y + s.Radius*sin})
	}
	c.fill(0, round...)
}

// fill fills what lies between corners. Only the pixels around it are gone through.
func (c *canvas) fill(grey float64, corners ...Place) {
	around := image.Rectangle{Min: c.img.Bounds().Max}
	for _, p := range corners {
		around.Min.X = min(around.Min.X, int(math.Floor(p.X*c.scale)))
		around.Min.Y = min(around.Min.Y, int(math.Floor(p.Y*c.scale)))
		around.Max.X = max(around.Max.X, int(math.Ceil(p.X*c.scale)))
		around.Max.Y = max(around.Max.Y, int(math.Ceil(p.Y*c.scale)))
	}
	around = around.Intersect(c.img.Bounds())
	if around.Empty() {
		return
	}
	z := vector.NewRasterizer(around.Dx(), around.Dy())
	for n, p := range corners {
		x, y := float32(p.X*c.scale)-float32(around.Min.X), float32(p.Y*c.scale)-float32(around.Min.Y)
		if n == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
	z.Draw(c.img, around, image.NewUniform(color.Gray{Y: uint8(math.Round(255 * grey))}), image.Point{})
}

func (c *canvas) text(t Text) error {
	letters := c.regular
	if t.Bold {
		letters = c.bold
	}
	face, err := opentype.NewFace(letters, &opentype.FaceOptions{Size: t.Size * c.scale, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return err
	}
	x := fixed.Int26_6(t.At.X * c.scale * 64)
	switch width := font.MeasureString(face, t.Says); t.Align {
	case Middle:
		x -= width / 2
	case Right:
		x -= width
	}
	d := font.Drawer{Dst: c.img, Src: image.Black, Face: face, Dot: fixed.Point26_6{X: x, Y: fixed.Int26_6(t.At.Y * c.scale * 64)}}
	d.DrawString(t.Says)
	return face.Close()
}
