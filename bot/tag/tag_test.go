package tag

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"testing"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"pgregory.net/rapid"
)

// picture shows dots as a camera would, some points for each.
func picture(dots [][]bool, points int) *image.Gray {
	side := (len(dots) + 2*free) * points
	p := image.NewGray(image.Rect(0, 0, side, side))
	for n := range p.Pix {
		p.Pix[n] = 255
	}
	for y, line := range dots {
		for x, dark := range line {
			if !dark {
				continue
			}
			for dy := range points {
				for dx := range points {
					p.SetGray((x+free)*points+dx, (y+free)*points+dy, color.Gray{})
				}
			}
		}
	}
	return p
}

// readNear reads dots as people do who move the camera a little when it doesn't see at once.
func readNear(dots [][]bool) (text string, err error) {
	for _, points := range []int{4, 5, 7} {
		if text, err = read(picture(dots, points)); err == nil {
			return text, nil
		}
	}
	return "", err
}

func read(p image.Image) (string, error) {
	bitmap, err := gozxing.NewBinaryBitmapFromImage(p)
	if err != nil {
		return "", err
	}
	found, err := qrcode.NewQRCodeReader().Decode(bitmap, nil)
	if err != nil {
		return "", err
	}
	return found.GetText(), nil
}

// TestEveryCodeIsReadBack by code that shares nothing with what drew it, also where a part of it is scratched away.
func TestEveryCodeIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mark := rapid.StringMatching(`[A-ZÄØ]{1,3}-?[0-9]{1,5}[A-Z]?`).Draw(t, "mark")
		dots, err := Dots(mark)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := readNear(dots); err != nil || got != mark {
			t.Fatalf("%q is read as %q (%v)", mark, got, err)
		}
		for y := len(dots) - 5; y < len(dots)-1; y++ { // away from the three corners that a camera finds it by
			for x := len(dots) - 5; x < len(dots)-1; x++ {
				dots[y][x] = false
			}
		}
		if got, err := readNear(dots); err != nil || got != mark {
			t.Fatalf("%q, scratched, is read as %q (%v)", mark, got, err)
		}
	})
}

func TestSheet(t *testing.T) {
	var marks []string
	for n := range across*down + 1 {
		marks = append(marks, fmt.Sprintf("K-%02d", n+1))
	}
	day := time.Date(2026, 11, 14, 0, 0, 0, 0, time.UTC)
	one, err := Sheet(marks, day)
	if err != nil {
		t.Fatal(err)
	}
	two, err := Sheet(marks, day)
	if err != nil || !bytes.Equal(one, two) {
		t.Errorf("the same tags are other bytes (%v)", err)
	}
	if pages := bytes.Count(one, []byte("/Type /Page\n")); pages != 2 {
		t.Errorf("%d pages", pages)
	}
	if _, err := Sheet([]string{"a mark of letters that no label has room for, and then some more"}, day); err != nil {
		t.Errorf("a long mark: %v", err)
	}
}
