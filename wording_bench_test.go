package main

import (
	"bufio"
	"io"
	"net"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// BenchmarkBesideADeadModel holds the beginner's conversation without a model and beside one that takes every question and never answers,
// in turns, and reports how long the slowest hundredth of the messages took beside it, in terms of those without.
func BenchmarkBesideADeadModel(b *testing.B) {
	dead, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	defer dead.Close()
	var without, beside []time.Duration
	for b.Loop() {
		without = append(without, latencies(b)...)
		beside = append(beside, latencies(b, "--wording", "http://"+dead.Addr().String()+"/v1", "--wording-budget", "20ms")...)
	}
	slices.Sort(without)
	slices.Sort(beside)
	at := func(all []time.Duration, share int) float64 { return float64(all[len(all)*share/100]) }
	b.ReportMetric(at(beside, 50)/at(without, 50), "p50-of-off")
	b.ReportMetric(at(beside, 99)/at(without, 99), "p99-of-off")
	b.ReportMetric((at(beside, 99)-at(without, 99))/1e6, "ms-more-at-p99")
}

// latencies holds the conversation once, and gives how long each message took until it was done.
func latencies(b *testing.B, more ...string) (all []time.Duration) {
	b.Helper()
	in, typed := io.Pipe()
	said, out := io.Pipe()
	args := append([]string{"chat", "--json", "--demo", "--db", filepath.Join(b.TempDir(), "t.db"), "--now", "2026-11-14T10:00:00Z", "--seed", "1"}, more...)
	ended := make(chan int)
	go func() { ended <- run(args, in, out, io.Discard) }()
	lines := bufio.NewScanner(said)
	lines.Buffer(nil, 1<<20)
	until := func(begin string) {
		for lines.Scan() {
			if strings.HasPrefix(lines.Text(), begin) {
				return
			}
		}
		b.Fatal("it ended early")
	}
	until(`{"ready"`)
	for _, line := range answersOfABeginner() {
		begun := time.Now()
		if _, err := io.WriteString(typed, line+"\n"); err != nil {
			b.Fatal(err)
		}
		until(`{"done"`)
		all = append(all, time.Since(begun))
	}
	_ = typed.Close()
	if code := <-ended; code != 0 {
		b.Fatalf("it ended with %d", code)
	}
	return all
}
