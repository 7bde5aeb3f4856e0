package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"becket/bot/table"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// register opens a store of so many items. Eight of them are found by "gannet", have never been inspected and so are due;
// all others were signed today.
func register(b *testing.B, items int) *longRecord {
	b.Helper()
	now := time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC)
	r := openBench(b, filepath.Join(b.TempDir(), fmt.Sprintf("items-%d.db", items)), func() time.Time { now = now.Add(time.Second); return now })
	r.do(func(tx *store.Tx) error {
		write := func(ev store.Event) error {
			_, err := tx.Append("!here", "@me", "$", ev)
			return err
		}
		if err := write(store.TeamNamed{Name: "A large store (invented)"}); err != nil {
			return err
		}
		if err := write(store.PersonListed{Person: store.Person{ID: "@me", Roles: []string{store.Keeper}}}); err != nil {
			return err
		}
		for n := range items {
			item := store.Item{Flow: "connector", Maker: "Northlight", Model: "Kittiwake", Place: fmt.Sprint("tin ", n%50),
				Item: flows.Item{Mark: fmt.Sprintf("K-%05d", n), Serial: fmt.Sprintf("%02d-%05d", n%20, 7*n), Use: flows.People}}
			if n < 8 {
				item.Model = "Gannet"
			}
			if err := write(store.ItemTaken{Item: item}); err != nil {
				return err
			}
			if n < 8 {
				continue
			}
			id := fmt.Sprint("$", n)
			if err := write(store.Started{Inspection: id, Mark: item.Mark}); err != nil {
				return err
			}
			if err := write(store.Signed{Inspection: id, Mark: item.Mark, Day: due.On(tx.Now()), Verdict: flows.Fit}); err != nil {
				return err
			}
		}
		return nil
	})
	return r
}

// BenchmarkRegister times what looks through a store: with 100 items, with 10,000, and how many times longer the latter
// takes. The same number of items is found in both.
func BenchmarkRegister(b *testing.B) {
	const few, many, runs, mostTimes = 100, 10_000, 31, 5
	small, large := register(b, few), register(b, many)
	for _, line := range []struct{ name, text string }{
		{"find", "find gannet"}, {"find-short", "find 7k"}, {"who-has", "who has K-00003"}, {"due", "due"}, {"can-i-use", "can I use K-00003"},
	} {
		took := map[*longRecord][]time.Duration{}
		for range runs {
			for _, r := range []*longRecord{small, large} { // turn about, so that both meet the same machine
				m := r.message(line.text, "")
				took[r] = append(took[r], r.take(r.receive(m)))
			}
		}
		for _, all := range took {
			slices.Sort(all)
		}
		s, l := took[small][runs/2], took[large][runs/2]
		if l > mostTimes*s {
			b.Errorf("%s takes %v with %d items, and %v with %d", line.name, l, many, s, few)
		}
		b.ReportMetric(float64(l.Microseconds()), line.name+"-µs")
		b.ReportMetric(float64(l)/float64(s), line.name+"-ratio")
	}
	b.ReportMetric(0, "ns/op")
}

// oldList is an old list of so many rows, each with a serial.
func oldList(rows int) []byte {
	var text strings.Builder
	text.WriteString("Asset no,Type,Maker,Model,Serial,Made\n")
	for n := range rows {
		fmt.Fprintf(&text, "K-%06d,connector,Northlight,Kittiwake,%02d-%06d,2024\n", n, n%20, 7*n)
	}
	return []byte(text.String())
}

// BenchmarkImport times taking a spreadsheet into an empty register: of 5,000 rows, of 50,000, and how many times longer the
// latter takes.
func BenchmarkImport(b *testing.B) {
	const few, many, mostTimes = 5_000, 50_000, 15
	took := map[int]time.Duration{}
	for _, rows := range []int{few, many} {
		r := register(b, 0)
		began := time.Now()
		from, err := table.Read(oldList(rows), "", table.Large())
		if err != nil {
			b.Fatal(err)
		}
		said, err := r.bot.TakeRegister(b.Context(), r.db, "!here", from, table.Unsaid, false)
		if err != nil || len(said) != rows || !said[rows-1].Changes {
			b.Fatalf("%d of %d rows, %v", len(said), rows, err)
		}
		took[rows] = time.Since(began)
	}
	if took[many] > mostTimes*took[few] {
		b.Errorf("%d rows take %v, and %d take %v", many, took[many], few, took[few])
	}
	b.ReportMetric(float64(took[many].Milliseconds()), "import-ms")
	b.ReportMetric(float64(took[many])/float64(took[few]), "import-ratio")
	b.ReportMetric(0, "ns/op")
}
