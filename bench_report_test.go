package main

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"becket/bot"
	"becket/bot/photo"
	"becket/store"
)

// shot makes a picture as large as a file of a phone's camera, of noise and stripes that nobody took; number tells it from others.
func shot(b *testing.B, size image.Point, number uint64) []byte {
	b.Helper()
	chance := rand.New(rand.NewPCG(7, number))
	img := image.NewYCbCr(image.Rectangle{Max: size}, image.YCbCrSubsampleRatio420)
	for n := range img.Y {
		img.Y[n] = byte(n/97%180) + byte(chance.IntN(40))
	}
	for n := range img.Cb {
		img.Cb[n], img.Cr[n] = byte(100+n/61%40), byte(110+n/83%40)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 85}); err != nil {
		b.Fatal(err)
	}
	return out.Bytes()
}

// photographed is a store in which an item was examined with so many photos, and all is told that its report needs.
func photographed(b *testing.B, photos int, size image.Point) (r *longRecord, mb float64) {
	b.Helper()
	now := time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC)
	r = openBench(b, filepath.Join(b.TempDir(), "becket.db"), func() time.Time { return now })
	team, err := bot.ParseTeamFile(demoTeam)
	if err != nil {
		b.Fatal(err)
	}
	r.do(func(tx *store.Tx) error { return r.bot.Import(tx, team, "demo") })
	r.begin("D-07")
	for n := 0; r.asked != nil; {
		m := r.nextAnswer()
		for ; n < photos && r.asked.Kind == "checks"; n++ {
			picture := shot(b, size, uint64(n))
			mb += float64(len(picture)) / 1e6
			m.Files = append(m.Files, photo.Keep(b.Context(), r.db, fmt.Sprintf("%d.jpg", n), bytes.NewReader(picture), int64(len(picture))))
		}
		r.take(r.receive(m))
	}
	for _, line := range []string{
		"report details", "The Gannet Trust (invented)", "1 Stack Lane", "same", "yes",
		"my details", "Robin Fell", "2 Lighthouse Row", "inspector, certificate 1234", "self-employed", "yes", "last examined D-07 3 May 2026",
	} {
		r.take(r.receive(r.message(line, "")))
	}
	return r, mb
}

// BenchmarkReport makes the report of an item with 12 photos in the conversation, each time anew: as chat apps send photos and as a
// phone's camera takes them, with the small copies that were made as they came, and without them, as after a backup is restored.
func BenchmarkReport(b *testing.B) {
	for name, size := range map[string]image.Point{"sent": {2048, 1536}, "camera": {4000, 3000}} {
		r, mb := photographed(b, 12, size)
		for _, copies := range []string{"", ", no small copies"} {
			b.Run(name+copies, func(b *testing.B) {
				took, n := time.Duration(0), 0
				for b.Loop() {
					n++
					r.take(r.receive(r.message(fmt.Sprintf("swl D-07 %d kg", 200+n%2), "")))
					if copies != "" {
						if err := os.RemoveAll(r.file + "-small"); err != nil {
							b.Fatal(err)
						}
					}
					took += r.take(r.receive(r.message("report D-07", "")))
				}
				b.ReportMetric(mb/12, "MB/photo")
				b.ReportMetric(took.Seconds()/float64(n), "s/report")
				b.ReportMetric(0, "ns/op")
			})
		}
	}
}
