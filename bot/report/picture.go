package report

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"image/jpeg"
	"runtime"
	"sync"

	"codeberg.org/go-pdf/fpdf"
)

const (
	photoWide = 84.0
	photoHigh = 63.0
	photoGap  = 6.0
)

// readied is a photo as it goes into the document.
type readied struct {
	jpeg       []byte // empty: it can't be shown
	wide, high int
	of         string
}

// photos shows the pictures two to a row, each with its words below it.
func (p *page) photos(photos []Photo) error {
	if len(photos) == 0 {
		return nil
	}
	all, err := ready(photos)
	if err != nil {
		return err
	}
	p.heading(headPhotos, headRoom+photoHigh)
	column := 0
	for _, r := range all {
		if len(r.jpeg) == 0 {
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
	return nil
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

// ready gets pictures for the document, as many at once as there are processors.
func ready(photos []Photo) ([]readied, error) {
	all, errs := make([]readied, len(photos)), make([]error, len(photos))
	var busy sync.WaitGroup
	places := make(chan struct{}, runtime.GOMAXPROCS(0))
	for n, photo := range photos {
		busy.Go(func() {
			places <- struct{}{}
			defer func() { <-places }()
			all[n], errs[n] = readyOne(photo)
		})
	}
	busy.Wait()
	return all, errors.Join(errs...)
}

func readyOne(photo Photo) (readied, error) {
	file, err := photo.File()
	r := readied{jpeg: file, of: photo.Of}
	if err != nil || len(file) == 0 {
		return r, err
	}
	head, err := jpeg.DecodeConfig(bytes.NewReader(file))
	r.wide, r.high = head.Width, head.Height
	return r, err
}
