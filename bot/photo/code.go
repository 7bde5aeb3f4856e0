package photo

import (
	"image"
	"io"
	"strings"
	"unicode"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"github.com/makiuchi-d/gozxing/qrcode"
	"golang.org/x/image/draw"
)

const (
	// enough is how long the longer side of a picture is when its code is looked for: a tag fills a fair part of it.
	enough = 1200
	// openable is the largest picture that is opened to look for a code.
	openable = 30_000_000
	// longest is how long a tag's or a maker's code is; a longer one is something else.
	longest = 64
)

// code reads the QR code or data matrix in a picture: a tag of ours, or what the maker put on the item. Empty where there is none
// that can be read, and where it is no short line of print.
func code(r io.ReadSeeker) (text string) {
	defer func() {
		if recover() != nil { // a picture made to upset whatever opens it is one without a code
			text = ""
		}
	}()
	size, _, err := image.DecodeConfig(r)
	if err != nil || size.Width*size.Height > openable {
		return ""
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return ""
	}
	whole, _, err := image.Decode(r)
	if err != nil {
		return ""
	}
	bitmap, err := gozxing.NewBinaryBitmapFromImage(smaller(whole))
	if err != nil {
		return ""
	}
	for _, reader := range []gozxing.Reader{qrcode.NewQRCodeReader(), datamatrix.NewDataMatrixReader()} {
		if found, err := reader.Decode(bitmap, nil); err == nil {
			return line(found.GetText())
		}
	}
	return ""
}

// smaller makes a picture grey and no longer than enough.
func smaller(whole image.Image) image.Image {
	b := whole.Bounds()
	long := max(b.Dx(), b.Dy(), 1)
	if long <= enough {
		return whole
	}
	small := image.NewGray(image.Rect(0, 0, max(1, b.Dx()*enough/long), max(1, b.Dy()*enough/long)))
	draw.ApproxBiLinear.Scale(small, small.Bounds(), whole, b, draw.Src, nil)
	return small
}

// line is a code's text if it is a short line of print.
func line(text string) string {
	text = strings.TrimSpace(text)
	if len(text) > longest || strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return ""
	}
	return text
}
