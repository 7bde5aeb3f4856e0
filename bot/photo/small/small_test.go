package small

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"slices"
	"testing"
)

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

// seen opens a copy.
func seen(t *testing.T, copied []byte) image.Image {
	t.Helper()
	opened, err := jpeg.Decode(bytes.NewReader(copied))
	if err != nil {
		t.Fatal(err)
	}
	return opened
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

// TestALargePictureIsMadeSmall: no point further from the original than shrinking and saving it takes it.
func TestALargePictureIsMadeSmall(t *testing.T) {
	large := image.NewRGBA(image.Rect(0, 0, 3000, 4000))
	for n := range large.Pix {
		large.Pix[n] = 255
		if y := n / large.Stride; y < 2000 {
			large.Pix[n] = []byte{200, 30, 30, 255}[n%4]
		}
	}
	var file bytes.Buffer
	if err := png.Encode(&file, large); err != nil {
		t.Fatal(err)
	}
	copied, made, err := Of("image/png", file.Bytes())
	if err != nil || !made {
		t.Fatal(made, err)
	}
	view := seen(t, copied)
	if view.Bounds().Size() != image.Pt(900, Long) {
		t.Fatalf("it is %v", view.Bounds())
	}
	for at, want := range map[image.Point]color.RGBA{{450, 300}: {200, 30, 30, 255}, {450, 900}: {255, 255, 255, 255}} {
		r, g, b, _ := view.At(at.X, at.Y).RGBA()
		for n, got := range []uint32{r >> 8, g >> 8, b >> 8} {
			if diff := int(got) - int([]uint8{want.R, want.G, want.B}[n]); diff < -6 || diff > 6 {
				t.Errorf("at %v it shows %d %d %d, not %v", at, r>>8, g>>8, b>>8, want)
			}
		}
	}
}

func TestASmallJPEGIsTakenAsItIs(t *testing.T) {
	file := camera(t, 640, 480)
	copied, made, err := Of("image/jpeg", file)
	if err != nil || made || !bytes.Equal(copied, file) {
		t.Errorf("%d bytes became %d, %v, %v", len(file), len(copied), made, err)
	}
	if !Needed("image/jpeg", camera(t, 2048, 1536)) || !Needed("image/gif", file) {
		t.Error("what is large, or no JPEG, would be taken as it is")
	}
}

// TestOtherKinds: a GIF becomes a JPEG; nobody here opens HEIC.
func TestOtherKinds(t *testing.T) {
	var file bytes.Buffer
	if err := gif.Encode(&file, image.NewGray(image.Rect(0, 0, 40, 30)), nil); err != nil {
		t.Fatal(err)
	}
	copied, made, err := Of("image/gif", file.Bytes())
	if err != nil || !made || seen(t, copied).Bounds().Size() != image.Pt(40, 30) {
		t.Errorf("%v, %v", made, err)
	}
	if _, _, err := Of("image/heic", []byte("....ftypheic")); !errors.Is(err, ErrKind) {
		t.Errorf("HEIC: %v", err)
	}
}

// TestSafety24_NoPlaceInACopy puts words into a picture's file where cameras write the place, and looks for them in its copy.
func TestSafety24_NoPlaceInACopy(t *testing.T) {
	const place = "Exif\x00\x00 58.1234N 6.4321W, Fulmar Holm"
	for name, picture := range map[string][]byte{"small": camera(t, 320, 240), "large": camera(t, 2048, 1536)} {
		picture = slices.Concat(picture[:2], []byte{0xFF, 0xE1, 0, byte(len(place) + 2)}, []byte(place), picture[2:])
		copied, _, err := Of("image/jpeg", picture)
		if err != nil {
			t.Fatal(err)
		}
		seen(t, copied)
		if bytes.Contains(copied, []byte("58.1234N")) {
			t.Errorf("%s: the copy says where the photo was taken", name)
		}
	}
}
