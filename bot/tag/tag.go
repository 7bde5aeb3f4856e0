// Package tag lays out labels for kit: an item's mark as people read it, and as a QR code for a camera. Nothing else stands on
// them, so that a tag that is lost tells a stranger nothing.
package tag

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/makiuchi-d/gozxing"
	reader "github.com/makiuchi-d/gozxing/qrcode"
	"github.com/skip2/go-qrcode"
	"golang.org/x/image/font/gofont/gobold"
)

// A sheet of A4 holds three labels side by side and eight of them down, each 70 mm by 37 mm. Lengths are in millimetres.
const (
	across, down  = 3, 8
	width, height = 70.0, 37.0
	above         = 0.5
	edge          = 6.0  // free round the code, four of its dots at least (ISO/IEC 18004, 5.3.8)
	seam          = 0.05 // by which strokes lie over those below, so that no screen shows a gap
	codeSize      = 25.0 // large enough for a camera at arm's length
	family        = "go"
)

// Sheet is a PDF of labels for these marks, in their order. The same marks on the same day make the same bytes.
func Sheet(marks []string, day time.Time) ([]byte, error) {
	p := fpdf.New("P", "mm", "A4", "")
	p.SetCreationDate(day)
	p.SetModificationDate(day)
	p.SetCatalogSort(true)
	p.SetTitle("Tags", true)
	p.SetAutoPageBreak(false, 0)
	p.SetCellMargin(0)
	p.AddUTF8FontFromBytes(family, "", gobold.TTF)
	for n, mark := range marks {
		place := n % (across * down)
		if place == 0 {
			p.AddPage()
		}
		if err := label(p, mark, float64(place%across)*width, above+float64(place/across)*height); err != nil {
			return nil, fmt.Errorf("the tag of %s can't be drawn: %w", mark, err)
		}
	}
	var out bytes.Buffer
	if err := p.Output(&out); err != nil {
		return nil, fmt.Errorf("the tags can't be written as a PDF: %w", err)
	}
	return out.Bytes(), nil
}

// label draws one: the code, and the mark beside it, as large as fits.
func label(p *fpdf.Fpdf, mark string, x, y float64) error {
	dots, err := Dots(mark)
	if err != nil {
		return err
	}
	p.SetDrawColor(200, 200, 200)
	p.Rect(x, y, width, height, "D")
	p.SetFillColor(0, 0, 0)
	one := codeSize / float64(len(dots))
	for row, line := range dots {
		for from := 0; from < len(line); {
			to := from
			for to < len(line) && line[to] {
				to++
			}
			if to > from { // a row's dots that touch are one stroke, so that no printer leaves a gap
				p.Rect(x+edge+float64(from)*one, y+edge+float64(row)*one, float64(to-from)*one, one+seam, "F")
			}
			from = to + 1
		}
	}
	if shown, err := Printable(mark); err != nil || !shown {
		return err
	}
	lines, size := fitted(p, mark, width-2.5*edge-codeSize, height-edge)
	p.SetFont(family, "", size)
	high := size * lineHigh
	for n, l := range lines {
		p.SetXY(x+2*edge+codeSize, y+(height-float64(len(lines))*high)/2+float64(n)*high)
		p.CellFormat(0, high, l, "", 0, "LM", false, 0, "")
	}
	return p.Error()
}

// Dots is the code that stands for a mark and nothing else, true for dark, without the free edge that belongs round it. A quarter of
// it may be scratched or dirty (level Q of ISO/IEC 18004). About one code in a thousand holds what readers take for one of its
// corners; that one is drawn at another level.
func Dots(mark string) (dots [][]bool, err error) {
	for _, level := range []qrcode.RecoveryLevel{qrcode.High, qrcode.Highest, qrcode.Medium, qrcode.Low} {
		code, err := qrcode.New(mark, level)
		if err != nil {
			return nil, err
		}
		code.DisableBorder = true
		if dots = code.Bitmap(); found(dots) {
			return dots, nil
		}
	}
	return nil, errors.New("no camera would read it")
}

// free is the edge round a code, in dots (ISO/IEC 18004, 5.3.8).
const free = 4

// found tells whether a reader finds a code's corners.
func found(dots [][]bool) bool {
	const points = 4
	side := (len(dots) + 2*free) * points
	p := image.NewGray(image.Rect(0, 0, side, side))
	draw.Draw(p, p.Bounds(), image.White, image.Point{}, draw.Src)
	for y, line := range dots {
		for x, dark := range line {
			if dark {
				draw.Draw(p, image.Rect((x+free)*points, (y+free)*points, (x+free+1)*points, (y+free+1)*points), image.Black, image.Point{}, draw.Src)
			}
		}
	}
	bitmap, err := gozxing.NewBinaryBitmapFromImage(p)
	if err != nil {
		return false
	}
	_, err = reader.NewQRCodeReader().Decode(bitmap, nil)
	return err == nil
}
