// Package small makes the copy of a photo that documents show: a JPEG without where it was taken, the right way up, and no larger than
// it is printed.
package small

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	_ "image/gif" // what a photo may be
	"image/jpeg"
	_ "image/png"
	"slices"

	_ "golang.org/x/image/webp" // what a photo may be

	"becket/bot/photo/strip"
)

const (
	// Long is how many points the longer side of a copy has at most: 360 to the inch, as wide as it is printed.
	Long       = 1200
	AsItIs     = 400 << 10  // bytes up to which a JPEG is taken as it is
	quality    = 82         // of its JPEG
	mostPoints = 60_000_000 // more would take seconds to open
)

// ErrKind says that a picture is of a kind that nobody here opens, or too large.
var ErrKind = errors.New("a picture of this kind can't be shown")

// Of is the copy of a picture; kind is its media type. made tells whether the picture had to be opened for it, which takes a while;
// else all but the picture was only left out of its file.
func Of(kind string, file []byte) (copied []byte, made bool, err error) {
	defer func() {
		if recover() != nil { // a picture made to upset whatever opens it
			copied, err = nil, ErrKind
		}
	}()
	if !Needed(kind, file) {
		copied, err = strip.Picture(kind, file)
		return copied, false, err
	}
	head, _, err := image.DecodeConfig(bytes.NewReader(file))
	if err != nil || head.Width < 1 || head.Height < 1 || head.Width*head.Height > mostPoints {
		return nil, false, errors.Join(ErrKind, err)
	}
	opened, _, err := image.Decode(bytes.NewReader(file))
	if err != nil {
		return nil, false, err
	}
	copied, err = Copy(Shrink(opened), kind, file)
	return copied, true, err
}

// Opens tells whether a picture of that media type can be opened here at all.
func Opens(kind string) bool {
	return slices.Contains([]string{"image/jpeg", "image/png", "image/gif", "image/webp"}, kind)
}

// Needed tells whether a picture has to be opened for a copy of it.
func Needed(kind string, file []byte) bool {
	if kind != "image/jpeg" || len(file) > AsItIs || strip.Turned(kind, file) != 1 {
		return true
	}
	head, _, err := image.DecodeConfig(bytes.NewReader(file))
	return err != nil || head.ColorModel != color.YCbCrModel && head.ColorModel != color.GrayModel
}

// Shrink is a picture on white, no longer than Long.
func Shrink(from image.Image) *image.RGBA {
	size := from.Bounds().Size()
	if longest := max(size.X, size.Y); longest > Long {
		size = image.Pt(max(1, size.X*Long/longest), max(1, size.Y*Long/longest))
	}
	return average(from, size)
}

// Copy is the copy of a picture that was shrunk, turned as its file says.
func Copy(shrunk *image.RGBA, kind string, file []byte) ([]byte, error) {
	var out bytes.Buffer
	err := jpeg.Encode(&out, upright(shrunk, strip.Turned(kind, file)), &jpeg.Options{Quality: quality})
	return out.Bytes(), err
}

// upright turns and mirrors a picture as its file says, 1 to 8 as in EXIF 2.32, 4.6.4 A (tag 274).
func upright(from *image.RGBA, turned uint16) *image.RGBA {
	if turned <= 1 || turned > 8 {
		return from
	}
	wide, high := from.Rect.Dx(), from.Rect.Dy()
	size := image.Rect(0, 0, wide, high)
	if turned >= 5 {
		size = image.Rect(0, 0, high, wide)
	}
	to := image.NewRGBA(size)
	for y := range size.Dy() {
		for x := range size.Dx() {
			u, v := x, y // where this point comes from
			if turned >= 5 {
				u, v = y, x
			}
			if turned == 2 || turned == 3 || turned == 7 || turned == 8 {
				u = wide - 1 - u
			}
			if turned == 3 || turned == 4 || turned == 6 || turned == 7 {
				v = high - 1 - v
			}
			to.SetRGBA(x, y, from.RGBAAt(u, v))
		}
	}
	return to
}
