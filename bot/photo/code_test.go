package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"golang.org/x/image/draw"
	"golang.org/x/image/math/f64"

	"becket/bot/tag"
)

// printed is a code as it is printed, with the free edge that belongs to it.
func printed(t *testing.T, dark func(x, y int) bool, side, points int) *image.Gray {
	t.Helper()
	const free = 4
	p := image.NewGray(image.Rect(0, 0, (side+2*free)*points, (side+2*free)*points))
	draw.Draw(p, p.Bounds(), image.White, image.Point{}, draw.Src)
	for y := range side {
		for x := range side {
			if dark(x, y) {
				draw.Draw(p, image.Rect((x+free)*points, (y+free)*points, (x+free+1)*points, (y+free+1)*points), image.Black, image.Point{}, draw.Src)
			}
		}
	}
	return p
}

func tagOf(t *testing.T, mark string, points int) *image.Gray {
	t.Helper()
	dots, err := tag.Dots(mark)
	if err != nil {
		t.Fatal(err)
	}
	return printed(t, func(x, y int) bool { return dots[y][x] }, len(dots), points)
}

// photographed lays a code on a grey, grainy bench, turned, with light that falls off to one side, and saves it as cameras do.
func photographed(t *testing.T, code image.Image, width, height int, turn, scale float64) []byte {
	t.Helper()
	bench := image.NewGray(image.Rect(0, 0, width, height))
	for n := range bench.Pix {
		bench.Pix[n] = 150
	}
	sin, cos := math.Sin(turn)*scale, math.Cos(turn)*scale
	half := float64(code.Bounds().Dx()) / 2
	at := f64.Aff3{cos, -sin, float64(width)/2 - cos*half + sin*half, sin, cos, float64(height)/2 - sin*half - cos*half}
	draw.BiLinear.Transform(bench, at, code, code.Bounds(), draw.Over, nil)
	chance := rand.New(rand.NewPCG(1, 2))
	for y := range height {
		for x := range width {
			light := 1 - 0.4*float64(x)/float64(width)
			bench.SetGray(x, y, color.Gray{uint8(min(255, max(0, float64(bench.GrayAt(x, y).Y)*light+chance.Float64()*16)))})
		}
	}
	var file bytes.Buffer
	if err := jpeg.Encode(&file, bench, &jpeg.Options{Quality: 80}); err != nil {
		t.Fatal(err)
	}
	return file.Bytes()
}

func TestATagInAPhoto(t *testing.T) {
	for name, c := range map[string]struct {
		width, height int
		turn, scale   float64
	}{
		"straight":        {640, 480, 0, 1},
		"upside down":     {640, 480, math.Pi, 1},
		"aslant":          {800, 600, 0.3, 1.2},
		"in a large one":  {4000, 3000, 0.2, 8},
		"small in a view": {1200, 900, 0.1, 0.9},
	} {
		t.Run(name, func(t *testing.T) {
			if got := code(open(photographed(t, tagOf(t, "K-12", 6), c.width, c.height, c.turn, c.scale))); got != "K-12" {
				t.Errorf("the tag reads %q", got)
			}
		})
	}
}

func TestAMakersDataMatrix(t *testing.T) {
	matrix, err := datamatrix.NewDataMatrixWriter().Encode("K23-0184", gozxing.BarcodeFormat_DATA_MATRIX, 0, 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := code(open(photographed(t, printed(t, matrix.Get, matrix.GetWidth(), 12), 640, 480, 0, 1))); got != "K23-0184" {
		t.Errorf("the maker's code reads %q", got)
	}
}

// TestNoCode: what isn't there isn't read, and what is no line of print isn't taken from a code.
func TestNoCode(t *testing.T) {
	grain := image.NewGray(image.Rect(0, 0, 300, 300))
	chance := rand.New(rand.NewPCG(3, 4))
	for n := range grain.Pix {
		grain.Pix[n] = uint8(chance.IntN(256))
	}
	var file bytes.Buffer
	if err := png.Encode(&file, grain); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"grain": file.Bytes(), "no picture": []byte("K-12"), "empty": nil, "cut": file.Bytes()[:500]} {
		if got := code(open(data)); got != "" {
			t.Errorf("%s reads %q", name, got)
		}
	}
	for _, text := range []string{"K-12\nrelease D-07", "K-12\x00", string(bytes.Repeat([]byte("K"), longest+1))} {
		if got := code(open(photographed(t, tagOf(t, text, 4), 900, 900, 0, 2))); got != "" {
			t.Errorf("%q is taken as %q", text, got)
		}
	}
}
