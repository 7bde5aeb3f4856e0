package small

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"

	"golang.org/x/image/draw"
	"pgregory.net/rapid"
)

// mean is the mean of a channel of a picture over a point of a copy in another size, from what a mean is and nothing of the program's.
func mean(at func(x, y int) float64, from, to image.Point, x, y int) float64 {
	high, wide := float64(from.Y)/float64(to.Y), float64(from.X)/float64(to.X)
	top, left := float64(y)*high, float64(x)*wide
	sum, covered := 0.0, 0.0
	for v := int(top); v < from.Y && float64(v) < top+high; v++ {
		for u := int(left); u < from.X && float64(u) < left+wide; u++ {
			share := (min(float64(v+1), top+high) - max(float64(v), top)) * (min(float64(u+1), left+wide) - max(float64(u), left))
			sum, covered = sum+share*at(u, v), covered+share
		}
	}
	return sum / covered
}

func TestEachPointIsTheMeanOfWhatItCovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := rapid.IntRange(1, 40)
		from, to := image.Pt(side.Draw(t, "wide"), side.Draw(t, "high")), image.Pt(side.Draw(t, "copy's width"), side.Draw(t, "copy's height"))
		grey := image.NewGray(image.Rectangle{Max: from})
		copy(grey.Pix, rapid.SliceOfN(rapid.Byte(), len(grey.Pix), len(grey.Pix)).Draw(t, "points"))
		light := image.NewYCbCr(grey.Rect, image.YCbCrSubsampleRatio420)
		copy(light.Y, grey.Pix)
		for n := range light.Cb {
			light.Cb[n], light.Cr[n] = 128, 128
		}
		for name, picture := range map[string]image.Image{"grey": grey, "a JPEG's": light} {
			copied := average(picture, to)
			for y := range to.Y {
				for x := range to.X {
					want := mean(func(u, v int) float64 { return float64(grey.GrayAt(u, v).Y) }, from, to, x, y)
					if got := copied.RGBAAt(x, y); math.Abs(float64(got.R)-want) > 0.51 || got.R != got.G || got.G != got.B || got.A != 255 {
						t.Fatalf("%s: at %d, %d stands %v, not %.2f", name, x, y, got, want)
					}
				}
			}
		}
	})
}

// TestColoursStayWhereTheyAre in a part of a picture whose colours are kept coarser than its light, for every way in which they may be.
func TestColoursStayWhereTheyAre(t *testing.T) {
	for _, ratio := range []image.YCbCrSubsampleRatio{
		image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420, image.YCbCrSubsampleRatio440, image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410,
	} {
		whole := image.NewYCbCr(image.Rect(0, 0, 203, 101), ratio)
		for y := range 101 {
			for x := range 203 {
				shown := color.RGBA{200, 40, 40, 255}
				if x >= 103 {
					shown = color.RGBA{30, 60, 190, 255}
				}
				whole.Y[whole.YOffset(x, y)], whole.Cb[whole.COffset(x, y)], whole.Cr[whole.COffset(x, y)] = color.RGBToYCbCr(shown.R, shown.G, shown.B)
			}
		}
		copied := average(whole.SubImage(image.Rect(3, 1, 203, 101)), image.Pt(50, 25))
		for x := range 50 {
			left := x < 23
			if got := copied.RGBAAt(x, 12); (x < 23 || x > 26) && (got.R > got.B) != left { // in between the two meet
				t.Errorf("%v: at %d it is %v", ratio, x, got)
			}
		}
	}
}

// hairline is a crack: its middle, its slant in degrees and its width, in points of the original.
type hairline struct {
	x, y, slant, wide float64
}

func hairlines() []hairline {
	return []hairline{{700, 700, 3, 1}, {2000, 700, 17, 1}, {3300, 700, 45, 1}, {700, 2200, 87, 1}, {2000, 2200, 3, 2}, {3300, 2200, 17, 3}}
}

const hairlineHalf = 400.0 // of its length

// cracked is a picture as a camera takes it of dull grey metal with light cracks.
func cracked() *image.Gray {
	img := image.NewGray(image.Rect(0, 0, 4000, 3000))
	for y := range 3000 {
		for x := range 4000 {
			img.Pix[y*img.Stride+x] = byte(60 + (x*7+y*13+x*y)%9)
		}
	}
	for _, h := range hairlines() {
		sin, cos := math.Sincos(h.slant * math.Pi / 180)
		for y := int(h.y - hairlineHalf); y < int(h.y+hairlineHalf); y++ {
			for x := int(h.x - hairlineHalf); x < int(h.x+hairlineHalf); x++ {
				along, across := cos*(float64(x)-h.x)+sin*(float64(y)-h.y), -sin*(float64(x)-h.x)+cos*(float64(y)-h.y)
				if math.Abs(along) < hairlineHalf {
					img.Pix[y*img.Stride+x] += byte(140 * max(0, min(1, h.wide/2+0.5-math.Abs(across))))
				}
			}
		}
	}
	return img
}

// contrast is how much lighter a crack is than what lies beside it, in a copy whose points are so many of the original: over its whole
// length, and where it is weakest over as much as two points of the copy.
func contrast(light func(x, y int) float64, h hairline, each float64) (whole, weakest float64) {
	sin, cos := math.Sincos(h.slant * math.Pi / 180)
	weakest = math.Inf(1)
	last, n := 0.0, 0.0
	for along := 40 - hairlineHalf; along <= hairlineHalf-40; along += each {
		crack, beside, points := 0.0, 0.0, 0.0
		for across := -10.0; across <= 10; across++ {
			x, y := h.x/each+cos*along/each-sin*across, h.y/each+sin*along/each+cos*across
			switch v := light(int(math.Floor(x)), int(math.Floor(y))); {
			case math.Abs(across) <= 2:
				crack = max(crack, v)
			default:
				beside, points = beside+v, points+1
			}
		}
		now := crack - beside/points
		if whole, n = whole+now, n+1; n > 1 {
			weakest = min(weakest, (now+last)/2)
		}
		last = now
	}
	return whole / n, weakest
}

// TestAHairlineCrackStaysInTheCopy: in the copy as it is saved, a crack is nearly as clear as the mean of what each point covers can
// have it, which is the most that a copy without sharpening keeps of it everywhere, and it has no gaps.
func TestAHairlineCrackStaysInTheCopy(t *testing.T) {
	original := cracked()
	var file bytes.Buffer
	if err := jpeg.Encode(&file, original, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	copied, _, err := Of("image/jpeg", file.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	view := seen(t, copied)
	size, each := view.Bounds().Size(), 4000.0/Long
	light := func(x, y int) float64 { return float64(color.GrayModel.Convert(view.At(x, y)).(color.Gray).Y) }
	best := func(x, y int) float64 {
		return mean(func(u, v int) float64 { return float64(original.GrayAt(u, v).Y) }, original.Rect.Size(), size, x, y)
	}
	quick := image.NewGray(view.Bounds())
	draw.ApproxBiLinear.Scale(quick, quick.Rect, original, original.Rect, draw.Src, nil)
	gaps := 0
	for _, h := range hairlines() {
		whole, weakest := contrast(light, h, each)
		most, least := contrast(best, h, each)
		_, quickest := contrast(func(x, y int) float64 { return float64(quick.GrayAt(x, y).Y) }, h, each)
		t.Logf("%+v: contrast %.0f of %.0f, where it is weakest %.0f of %.0f; a quick way leaves %.0f there", h, whole, most, weakest, least, quickest)
		if whole < 0.9*most || weakest < 0.8*least {
			t.Errorf("of the crack %+v is left %.0f of %.0f, and where it is weakest %.0f of %.0f", h, whole, most, weakest, least)
		}
		if quickest < 0.8*least {
			gaps++
		}
	}
	if gaps == 0 {
		t.Error("a way that skips points has no gaps in these cracks, so that they show nothing")
	}
}
