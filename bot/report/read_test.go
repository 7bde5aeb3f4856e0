package report

import (
	"bytes"
	"compress/zlib"
	"errors"
	"image"
	"image/jpeg"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"
)

// readPDF takes the words out of a PDF in the order in which its pages put them down.
func readPDF(t testing.TB, pdf []byte) string {
	t.Helper()
	if !bytes.HasPrefix(pdf, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(pdf), []byte("%%EOF")) {
		t.Fatal("it is no whole PDF")
	}
	var said strings.Builder
	for _, part := range bytes.Split(pdf, []byte("stream\n"))[1:] {
		r, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue // a picture
		}
		text, _ := io.ReadAll(r)
		if !bytes.Contains(text, []byte("Tj ET")) {
			continue // a font
		}
		for _, shown := range regexp.MustCompile(`(?s)\(((?:\\.|[^\\)])*)\) ?Tj`).FindAllSubmatch(text, -1) {
			said.WriteString(wide(shown[1]) + "\n")
		}
	}
	return said.String()
}

// wide reads a PDF's string of two bytes a letter.
func wide(text []byte) string {
	plain := regexp.MustCompile(`(?s)\\(.)`).ReplaceAllFunc(text, func(b []byte) []byte {
		if b[1] == 'r' {
			return []byte{'\r'}
		}
		return b[1:]
	})
	units := make([]uint16, len(plain)/2)
	for n := range units {
		units[n] = uint16(plain[2*n])<<8 | uint16(plain[2*n+1])
	}
	return string(utf16.Decode(units))
}

// bare is a text without spaces, since lines are broken where the page ends.
func bare(text string) string { return strings.Join(strings.Fields(text), "") }

// flat makes a JPEG of one grey.
func flat(t testing.TB, wide, high int) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, wide, high))
	for n := range img.Pix {
		img.Pix[n] = 90
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// photo is a picture that is at hand.
func photo(of string, file []byte) Photo {
	return Photo{Of: of, File: func() ([]byte, error) { return file, nil }}
}

// withPhotos is a report with so many small photos.
func withPhotos(t testing.TB, n int) Data {
	d := watched(t)
	for range n {
		d.Photos = append(d.Photos, photo("Cam, 30 October 2026", flat(t, 640, 480)))
	}
	return d
}

func TestAPictureThatCannotBeShownIsSpokenOf(t *testing.T) {
	d := watched(t)
	d.Photos = []Photo{photo("Cam", nil)}
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	if read := bare(readPDF(t, pdf)); !strings.Contains(read, bare("Cam: a photo is kept with the record.")) {
		t.Error("nothing is said of a photo that can't be shown")
	}
}

func TestNoReportWithoutAPhotoThatTheRecordLost(t *testing.T) {
	d := withPhotos(t, 3)
	lost := errors.New("it is missing")
	d.Photos[1].File = func() ([]byte, error) { return nil, lost }
	if _, err := PDF(d); !errors.Is(err, lost) {
		t.Errorf("it says %v", err)
	}
}
