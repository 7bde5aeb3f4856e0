package report

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"image/color"
	_ "image/gif" // what a photo may be
	"image/jpeg"
	_ "image/png"
	"runtime"
	"sync"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/draw"
	_ "golang.org/x/image/webp" // what a photo may be

	"becket/bot/photo/strip"
)

const (
	asItIs     = 400 << 10  // bytes up to which a JPEG is taken as it is
	longSide   = 1000       // points of the longer side of one that isn't: 300 to the inch, as wide as it is shown
	quality    = 82         // of its JPEG
	mostPoints = 60_000_000 // more would take seconds to open
	photoWide  = 84.0
	photoHigh  = 63.0
	photoGap   = 6.0
)

// errKind says that a picture is of a kind that nobody here opens, or too large.
var errKind = errors.New("a picture of this kind can't be shown")

// readied is a photo as it goes into the document.
type readied struct {
	jpeg          []byte
	wide, high    int
	of            string
	cannotBeShown bool
}

// photos shows the pictures two to a row, each with its words below it.
func (p *page) photos(photos []Photo) {
	if len(photos) == 0 {
		return
	}
	p.heading(headPhotos, headRoom+photoHigh)
	column := 0
	for _, r := range ready(photos) {
		if r.cannotBeShown {
			p.write(indent, "", plain, fmt.Sprintf(photoCant, r.of))
			continue
		}
		if column == 0 {
			p.need(photoHigh + 3*line)
		}
		p.photo(r, column)
		column = 1 - column
	}
	if column == 1 {
		p.SetY(p.GetY() + photoHigh + 3*line)
	}
}

// photo shows one picture in a column; the second column ends the row.
func (p *page) photo(r readied, column int) {
	name := fmt.Sprintf("%x", sha256.Sum256(r.jpeg)) // the same picture is kept once
	x, y := margin+float64(column)*(photoWide+photoGap), p.GetY()+line/2
	wide := min(photoWide, photoHigh*float64(r.wide)/float64(r.high))
	high := wide * float64(r.high) / float64(r.wide)
	opts := fpdf.ImageOptions{ImageType: "JPG"}
	p.RegisterImageOptionsReader(name, opts, bytes.NewReader(r.jpeg))
	p.ImageOptions(name, x, y, wide, high, false, opts, 0, "")
	p.SetFont(family, "", small)
	p.SetXY(x, y+high)
	p.MultiCell(photoWide, line, p.letters.shown(r.of), "", "L", false)
	if column == 0 {
		p.SetXY(margin, y-line/2)
	} else {
		p.SetY(y + photoHigh + 2.5*line)
	}
}

// ready makes pictures fit for the document, as many at once as there are processors.
func ready(photos []Photo) []readied {
	all := make([]readied, len(photos))
	var busy sync.WaitGroup
	places := make(chan struct{}, runtime.GOMAXPROCS(0))
	for n, photo := range photos {
		busy.Go(func() {
			places <- struct{}{}
			defer func() { <-places }()
			r, err := readyOne(photo)
			r.of, r.cannotBeShown = photo.Of, err != nil
			all[n] = r
		})
	}
	busy.Wait()
	return all
}

// readyOne gives a picture's copy without where it was taken, the right way up and no larger than it has to be.
func readyOne(photo Photo) (readied, error) {
	head, _, err := image.DecodeConfig(bytes.NewReader(photo.Picture))
	if err != nil || head.Width < 1 || head.Height < 1 || head.Width*head.Height > mostPoints {
		return readied{}, errors.Join(errKind, err)
	}
	turned := strip.Turned(photo.Type, photo.Picture)
	plain := head.ColorModel == color.YCbCrModel || head.ColorModel == color.GrayModel
	if photo.Type == "image/jpeg" && len(photo.Picture) <= asItIs && turned == 1 && plain {
		copied, err := strip.Picture(photo.Type, photo.Picture)
		return readied{jpeg: copied, wide: head.Width, high: head.Height}, err
	}
	opened, _, err := image.Decode(bytes.NewReader(photo.Picture))
	if err != nil {
		return readied{}, err
	}
	scaled := upright(fit(opened), turned)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, scaled, &jpeg.Options{Quality: quality}); err != nil {
		return readied{}, err
	}
	return readied{jpeg: out.Bytes(), wide: scaled.Bounds().Dx(), high: scaled.Bounds().Dy()}, nil
}

// fit is a picture on white, no longer than longSide.
func fit(from image.Image) *image.RGBA {
	size := from.Bounds().Size()
	if longest := max(size.X, size.Y); longest > longSide {
		size = image.Pt(max(1, size.X*longSide/longest), max(1, size.Y*longSide/longest))
	}
	to := image.NewRGBA(image.Rectangle{Max: size})
	draw.Draw(to, to.Bounds(), image.White, image.Point{}, draw.Src)
	draw.ApproxBiLinear.Scale(to, to.Bounds(), from, from.Bounds(), draw.Over, nil)
	return to
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
