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
	photoLong = 2.0  // times as wide as high, or as high as wide: what is longer gets more room than others
	coarsest  = 72.0 // points to the inch: what has fewer is printed smaller
)

// readied is a photo as it goes into the document.
type readied struct {
	jpeg       []byte // empty: it can't be shown
	wide, high int
	of         string
}

// placed is a photo with the room that it takes, and its words, which never leave it.
type placed struct {
	readied
	wideMM, highMM float64
	words          []string
}

// photos shows the pictures two to a row, and one that is very wide in a row of its own, each with its number and its words below it.
func (p *page) photos(photos []Photo) error {
	if len(photos) == 0 {
		return nil
	}
	all, err := ready(photos)
	if err != nil {
		return err
	}
	p.SetFont(family, "", small)
	var rows [][]placed
	for n, r := range all {
		next := p.place(n+1, r)
		if last := len(rows) - 1; last >= 0 && len(rows[last]) == 1 && rows[last][0].halfWide() && next.halfWide() {
			rows[last] = append(rows[last], next)
			continue
		}
		rows = append(rows, []placed{next})
	}
	p.heading(headPhotos, rowHigh(rows[0]))
	for _, row := range rows {
		p.row(row)
	}
	return nil
}

// place gives a picture its room on the page: as large as fits there whole, never squeezed.
func (p *page) place(number int, r readied) placed {
	if len(r.jpeg) == 0 {
		return placed{readied: r, words: p.lines(fmt.Sprintf(photoCant, number, r.of), p.inner())}
	}
	wide, high := photoWide, photoHigh
	ratio := float64(r.wide) / float64(r.high)
	switch {
	case ratio > photoLong:
		wide = p.inner()
	case ratio < 1/photoLong:
		high = 2 * photoHigh
	case ratio < 1:
		high = photoWide
	}
	wide = min(wide, high*ratio, float64(r.wide)*25.4/coarsest)
	return placed{r, wide, wide / ratio, p.lines(fmt.Sprintf(photoIs, number, r.of), max(wide, photoWide))}
}

// halfWide tells whether another has room beside it.
func (a placed) halfWide() bool { return len(a.jpeg) > 0 && a.wideMM <= photoWide }

// rowHigh is how much of the page a row takes.
func rowHigh(row []placed) (high float64) {
	for _, a := range row {
		high = max(high, line/2+a.highMM+float64(len(a.words))*line)
	}
	return high
}

// row shows pictures beside each other.
func (p *page) row(row []placed) {
	high := rowHigh(row)
	p.need(high)
	x, y := margin, p.GetY()+line/2
	for _, a := range row {
		if len(a.jpeg) > 0 {
			p.image(a, x, y)
		}
		p.SetFont(family, "", small)
		for n, words := range a.words {
			p.SetXY(x, y+a.highMM+float64(n)*line)
			p.CellFormat(0, line, words, "", 0, "L", false, 0, "")
		}
		x += photoWide + photoGap
	}
	p.SetXY(margin, y+high)
}

func (p *page) image(a placed, x, y float64) {
	name := fmt.Sprintf("%x", sha256.Sum256(a.jpeg)) // the same picture is kept once
	opts := fpdf.ImageOptions{ImageType: "JPG"}
	p.RegisterImageOptionsReader(name, opts, bytes.NewReader(a.jpeg))
	p.ImageOptions(name, x, y, a.wideMM, a.highMM, false, opts, 0, "")
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
