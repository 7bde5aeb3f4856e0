package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"becket/bot"
	"becket/store"
)

// eachPacked is how many inspections an item of an evidence pack has behind it.
const eachPacked = 4

// packed opens a store of so many items, and builds it where it isn't there yet.
func packed(b *testing.B, items int) *longRecord {
	b.Helper()
	folder := os.Getenv(benchVariable)
	if folder == "" {
		folder = b.TempDir()
	}
	file := filepath.Join(folder, fmt.Sprintf("packed-%d.db", items))
	now := time.Date(2024, 12, 2, 9, 0, 0, 0, time.UTC)
	if _, err := os.Stat(file); err == nil {
		return openBench(b, file, func() time.Time { return now })
	}
	r := openBench(b, file, func() time.Time { return now })
	team, err := bot.ParseTeamFile(demoTeam)
	if err != nil {
		b.Fatal(err)
	}
	r.do(func(tx *store.Tx) error { return r.bot.Import(tx, team, "demo") })
	entries := r.oneInspection("D-07")
	for done := 0; done < items*eachPacked; done += 100 {
		now = now.Add(12 * time.Hour)
		r.copies(entries, done, 100, items)
	}
	r.settle(now.Add(time.Hour))
	return r
}

// BenchmarkEvidence writes the evidence pack of a store and of one ten times as large, and says how long each takes and how much more
// memory the larger one needs at its highest. BECKET_BENCH_DIR=FOLDER takes 5,000 items with 20,000 records for the larger.
func BenchmarkEvidence(b *testing.B) {
	many := 500
	if os.Getenv(benchVariable) != "" {
		many = 5000
	}
	small, large := packed(b, many/10), packed(b, many)
	took, most := map[*longRecord]time.Duration{}, map[*longRecord]uint64{}
	for _, r := range []*longRecord{small, large} {
		runtime.GC()
		began := time.Now()
		err := r.bot.Evidence(b.Context(), r.db, "!here", io.Discard, func(done, all int) {
			if done%(all/20) == 0 {
				var m runtime.MemStats
				runtime.GC() // so that what is counted is kept, and not merely not yet cleared away
				runtime.ReadMemStats(&m)
				most[r] = max(most[r], m.HeapAlloc)
			}
		})
		if err != nil {
			b.Fatal(err)
		}
		took[r] = time.Since(began)
	}
	b.ReportMetric(took[large].Seconds(), "large-s")
	b.ReportMetric(float64(took[large])/float64(took[small]), "time-ratio")
	b.ReportMetric(float64(most[large])/(1<<20), "large-kept-MB")
	b.ReportMetric(float64(most[large])/float64(most[small]), "memory-ratio")
	b.ReportMetric(0, "ns/op")
}
