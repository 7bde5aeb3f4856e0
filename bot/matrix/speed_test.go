//go:build goolm && homeserver

package matrix

import (
	"slices"
	"testing"
	"time"
)

// BenchmarkAnswerToQuestion measures from an answer leaving an app to the next question standing in it.
func BenchmarkAnswerToQuestion(b *testing.B) {
	for name, encrypted := range map[string]bool{"plain": false, "encrypted": true} {
		b.Run(name, func(b *testing.B) {
			s, _ := newScene(b, encrypted)
			root := s.ana.says(s.room, "", "inspect K-1")
			s.ana.hears("K-1")
			var took []time.Duration
			for b.Loop() {
				for _, step := range []struct{ text, then string }{{"a", "The cleat"}, {"back", "Run it all off"}} {
					began := time.Now()
					s.ana.says(s.room, root, step.text)
					s.ana.hears(step.then)
					took = append(took, time.Since(began))
				}
			}
			slices.Sort(took)
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "p50-ms")
			b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
		})
	}
}

// BenchmarkStart measures from the start to the first answer of the homeserver, with a device that is known.
func BenchmarkStart(b *testing.B) {
	s, _ := newScene(b, true)
	s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	s.b.end()
	for b.Loop() {
		before := s.b.proxy.synced()
		s.b.start()
		for s.b.proxy.synced() == before {
			time.Sleep(time.Millisecond)
		}
		b.StopTimer()
		s.b.end()
		b.StartTimer()
	}
}
