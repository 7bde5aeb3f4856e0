package report

import (
	"bytes"
	"compress/zlib"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
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

// camera makes a picture as large as a file of a phone's camera, of noise and stripes that nobody took.
func camera(t testing.TB, wide, high int) []byte {
	t.Helper()
	chance := rand.New(rand.NewPCG(7, 7))
	img := image.NewYCbCr(image.Rect(0, 0, wide, high), image.YCbCrSubsampleRatio420)
	for n := range img.Y {
		img.Y[n] = byte(n/97%180) + byte(chance.IntN(40))
	}
	for n := range img.Cb {
		img.Cb[n], img.Cr[n] = byte(100+n/61%40), byte(110+n/83%40)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 85}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// withPhotos is a report with so many small photos.
func withPhotos(t testing.TB, n int) Data {
	d := watched(t)
	picture := camera(t, 640, 480)
	for range n {
		d.Photos = append(d.Photos, Photo{Of: "Cam, 1 November 2026", Type: "image/jpeg", Picture: picture})
	}
	return d
}

func TestAPictureIsTurnedTheRightWayUp(t *testing.T) {
	// Red is stored top left of a picture of 3 by 2. Where it is shown follows from EXIF 2.32, 4.6.4 A, tag 274: row 0 and
	// column 0 are, for 1 to 8, top left, top right, bottom right, bottom left, left top, right top, right bottom, left bottom.
	shown := map[uint16]image.Point{1: {0, 0}, 2: {2, 0}, 3: {2, 1}, 4: {0, 1}, 5: {0, 0}, 6: {1, 0}, 7: {1, 2}, 8: {0, 2}}
	for turned, at := range shown {
		from := image.NewRGBA(image.Rect(0, 0, 3, 2))
		from.SetRGBA(0, 0, color.RGBA{R: 255, A: 255})
		to := upright(from, turned)
		if to.RGBAAt(at.X, at.Y).R != 255 {
			t.Errorf("%d: red isn't at %v", turned, at)
		}
		if turned >= 5 && to.Rect.Size() != image.Pt(2, 3) {
			t.Errorf("%d: the picture is %v", turned, to.Rect.Size())
		}
	}
}

// BenchmarkPDF is the report of an item with 12 photos, as chat apps send them and as a phone's camera takes them, beside what
// opening the 12 takes by itself.
func BenchmarkPDF(b *testing.B) {
	for name, size := range map[string]image.Point{"sent": {2048, 1536}, "camera": {4000, 3000}} {
		b.Run(name, func(b *testing.B) {
			d := watched(b)
			picture := camera(b, size.X, size.Y)
			for range 12 {
				d.Photos = append(d.Photos, Photo{Of: "Cam, 1 November 2026", Type: "image/jpeg", Picture: picture})
			}
			began := time.Now()
			for range 12 {
				if _, err := jpeg.Decode(bytes.NewReader(picture)); err != nil {
					b.Fatal(err)
				}
			}
			opening := time.Since(began)
			made := 0
			for b.Loop() {
				pdf, err := PDF(d)
				if err != nil {
					b.Fatal(err)
				}
				made = len(pdf)
			}
			b.ReportMetric(float64(len(picture))/1e6, "MB/photo")
			b.ReportMetric(float64(made)/1e6, "MB/report")
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/opening.Seconds(), "report/opening") // opening the 12, one after the other
		})
	}
}

// TestSafety24_NoPlaceInAReport puts words into a picture's file where cameras write the place, and looks for them in the document.
func TestSafety24_NoPlaceInAReport(t *testing.T) {
	const place = "Exif\x00\x00 58.1234N 6.4321W, Fulmar Holm"
	picture := camera(t, 320, 240)
	picture = slices.Concat(picture[:2], []byte{0xFF, 0xE1, 0, byte(len(place) + 2)}, []byte(place), picture[2:])
	d := watched(t)
	d.Photos = []Photo{{Of: "Cam", Type: "image/jpeg", Picture: picture}}
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(pdf, []byte("/DCTDecode")) {
		t.Fatal("the picture isn't in the document")
	}
	if bytes.Contains(pdf, []byte("58.1234N")) {
		t.Error("the document says where the photo was taken")
	}
}

func TestAPictureOfAnUnknownKindIsSpokenOf(t *testing.T) {
	d := watched(t)
	d.Photos = []Photo{{Of: "Cam", Type: "image/heic", Picture: []byte("....ftypheic")}}
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	if read := bare(readPDF(t, pdf)); !strings.Contains(read, bare("Cam: a photo is kept with the record.")) {
		t.Error("nothing is said of a photo that can't be shown")
	}
}
