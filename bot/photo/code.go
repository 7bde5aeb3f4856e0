package photo

import (
	"bytes"
	"image"
	"strings"
	"unicode"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"github.com/makiuchi-d/gozxing/qrcode"

	"becket/bot/photo/small"
)

const (
	// openable is the largest picture that is opened while its sender waits.
	openable = 30_000_000
	// longest is how long a tag's or a maker's code is; a longer one is something else.
	longest = 64
)

// open opens a picture and makes it small; nil where it can't be opened, or only slowly.
func open(file []byte) (shrunk *image.RGBA) {
	defer func() {
		if recover() != nil { // a picture made to upset whatever opens it stays closed
			shrunk = nil
		}
	}()
	size, _, err := image.DecodeConfig(bytes.NewReader(file))
	if err != nil || size.Width*size.Height > openable {
		return nil
	}
	whole, _, err := image.Decode(bytes.NewReader(file))
	if err != nil {
		return nil
	}
	return small.Shrink(whole)
}

// code reads the QR code or data matrix in a picture: a tag of ours, or what the maker put on the item. Empty where there is none
// that can be read, and where it is no short line of print. A tag fills a fair part of its picture, so that a small one does.
func code(shrunk *image.RGBA) (text string) {
	defer func() {
		if recover() != nil { // a picture made to upset whatever reads it is one without a code
			text = ""
		}
	}()
	if shrunk == nil {
		return ""
	}
	bitmap, err := gozxing.NewBinaryBitmapFromImage(shrunk)
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

// line is a code's text if it is a short line of print.
func line(text string) string {
	text = strings.TrimSpace(text)
	if len(text) > longest || strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return ""
	}
	return text
}
