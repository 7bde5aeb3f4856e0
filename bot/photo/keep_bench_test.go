package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"becket/store"
)

// BenchmarkKeep takes in a photo as a phone's camera takes it, of noise and stripes that nobody took, each time anew. Somebody
// waits for that before they are answered.
func BenchmarkKeep(b *testing.B) {
	chance := rand.New(rand.NewPCG(7, 7))
	img := image.NewYCbCr(image.Rect(0, 0, 4000, 3000), image.YCbCrSubsampleRatio420)
	for n := range img.Y {
		img.Y[n] = byte(n/97%180) + byte(chance.IntN(40))
	}
	for n := range img.Cb {
		img.Cb[n], img.Cr[n] = byte(100+n/61%40), byte(110+n/83%40)
	}
	var file bytes.Buffer
	if err := jpeg.Encode(&file, img, &jpeg.Options{Quality: 85}); err != nil {
		b.Fatal(err)
	}
	db, err := store.Open(b.Context(), filepath.Join(b.TempDir(), "becket.db"), time.Now)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = db.Close() })
	n := 0
	for b.Loop() {
		n++
		one := append(bytes.Clone(file.Bytes()), byte(n), byte(n>>8)) // after the picture's end: another file, the same picture
		if f := Keep(b.Context(), db, "cam.jpg", bytes.NewReader(one), int64(len(one))); f.Problem != "" {
			b.Fatal(f.Problem)
		}
	}
}
