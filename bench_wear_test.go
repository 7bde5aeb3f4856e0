package main

import (
	"os"
	"slices"
	"testing"
	"time"
)

// BenchmarkWear times what looks through all that was ever measured in a store, in the conversation: in one store and in one ten times as
// large, and how many times longer the latter takes. BECKET_BENCH_DIR=FOLDER takes 5,000 items with 20,000 records for the larger.
func BenchmarkWear(b *testing.B) {
	const runs, mostTimes = 5, 20
	many := 500
	if os.Getenv(benchVariable) != "" {
		many = 5000
	}
	small, large := packed(b, many/10), packed(b, many)
	for _, line := range []struct{ name, text string }{
		{"causes", "causes"}, {"budget", "budget"}, {"plan", "plan"}, {"export", "export register"}, {"calendar", "calendar"},
	} {
		took := map[*longRecord][]time.Duration{}
		for range runs {
			for _, r := range []*longRecord{small, large} { // turn about, so that both meet the same machine
				took[r] = append(took[r], r.take(r.receive(r.message(line.text, ""))))
			}
		}
		for _, all := range took {
			slices.Sort(all)
		}
		s, l := took[small][runs/2], took[large][runs/2]
		if l > mostTimes*s {
			b.Errorf("%s takes %v in a store of %d items, and %v in one of %d", line.text, l, many, s, many/10)
		}
		b.ReportMetric(float64(l.Milliseconds()), line.name+"-ms")
		b.ReportMetric(float64(l)/float64(s), line.name+"-ratio")
	}
	b.ReportMetric(0, "ns/op")
}
