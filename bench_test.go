package main

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"becket/bot"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// How fast it is with a long record: go test -bench . -run ^$ . builds one of 1,000 inspections and forgets it.
// BECKET_BENCH_DIR=FOLDER builds one of 100,000 there, which takes minutes, and takes it again the next time. Results worth
// keeping are in testdata/bench, a file a day.
const benchVariable = "BECKET_BENCH_DIR"

// eachItem is how many inspections an item has behind it: those of ten years.
const eachItem = 20

// longRecord is a database with many inspections in it.
type longRecord struct {
	b           *testing.B
	bot         *bot.Bot
	db          *store.DB
	file        string
	inspections int
	messages    int
	asked       *benchAsk // what the last reply asks
	thread      string
}

// benchAsk is an awaited answer, as far as it takes to give one.
type benchAsk struct {
	Kind, Expect string
	Step         any
	Choices      []struct{ Key string }
}

// openLong opens the long record, and builds it where it isn't there yet.
func openLong(b *testing.B) *longRecord {
	b.Helper()
	folder, inspections := os.Getenv(benchVariable), 100_000
	if folder == "" {
		folder, inspections = b.TempDir(), 1_000
	}
	file := filepath.Join(folder, fmt.Sprintf("inspections-%d.db", inspections))
	if _, err := os.Stat(file); err != nil {
		buildLong(b, file, inspections)
	}
	now := time.Now().UTC()
	r := openBench(b, file, func() time.Time { now = now.Add(time.Second); return now })
	r.inspections = inspections
	return r
}

func openBench(b *testing.B, file string, now func() time.Time) *longRecord {
	b.Helper()
	library, err := flows.Library()
	if err != nil {
		b.Fatal(err)
	}
	seed := uint64(1)
	r := &longRecord{b: b, bot: bot.New(bot.Options{Flows: library, Seed: &seed}), file: file}
	if r.db, err = store.Open(b.Context(), file, now); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = r.db.Close() }) // closed already where closing is measured
	return r
}

// buildLong holds one inspection by conversation and writes its entries many times over, each time for another item
// and day, with their messages and replies, delivered and swept.
func buildLong(b *testing.B, file string, inspections int) {
	b.Helper()
	half := file + ".part"
	now := time.Date(2024, 12, 2, 9, 0, 0, 0, time.UTC)
	r := openBench(b, half, func() time.Time { return now })
	team, err := bot.ParseTeamFile(demoTeam)
	if err != nil {
		b.Fatal(err)
	}
	r.do(func(tx *store.Tx) error { return r.bot.Import(tx, team, "demo") })
	entries := r.oneInspection("D-07")
	r.longest("D-09")
	const atOnce = 200
	for done := 0; done < inspections; done += atOnce {
		now = now.Add(12 * time.Hour)
		r.copies(entries, done, min(atOnce, inspections-done), inspections/eachItem)
	}
	r.settle(now.Add(time.Hour))
	if err := r.db.Close(); err != nil {
		b.Fatal(err)
	}
	if err := os.Rename(half, file); err != nil {
		b.Fatal(err)
	}
}

func (r *longRecord) do(fn func(*store.Tx) error) {
	r.b.Helper()
	if err := r.db.Do(r.b.Context(), fn); err != nil {
		r.b.Fatal(err)
	}
}

// oneInspection goes through an inspection to its signature and gives its entries.
func (r *longRecord) oneInspection(mark string) (entries []store.Entry) {
	r.b.Helper()
	thread := r.begin(mark)
	for r.asked != nil {
		r.take(r.receive(r.nextAnswer()))
	}
	r.view(func(tx *store.Tx) (err error) {
		entries, err = tx.Entries(store.InspectionSubject(thread))
		return err
	})
	return entries
}

// longestID is the inspection in which somebody went back again and again.
const longestID = "longest"

// longest takes an inspection back and forth until it has more answers than any in earnest.
func (r *longRecord) longest(mark string) {
	r.b.Helper()
	in := r.message("inspect "+mark, "")
	in.ID = longestID
	r.take(r.receive(in))
	r.thread = longestID
	for range 8 {
		r.take(r.receive(r.nextAnswer()))
	}
	for range 40 {
		r.take(r.receive(r.message("back", r.thread)))
		r.take(r.receive(r.nextAnswer()))
	}
	for r.asked != nil {
		r.take(r.receive(r.nextAnswer()))
	}
}

// begin starts an inspection and gives its thread.
func (r *longRecord) begin(mark string) string {
	r.b.Helper()
	m := r.message("inspect "+mark, "")
	r.take(r.receive(m))
	r.thread = m.ID
	return m.ID
}

func (r *longRecord) message(text, thread string) bot.Message {
	r.messages++
	return bot.Message{ID: fmt.Sprintf("$%d-%d", time.Now().UnixNano(), r.messages), Room: "!here", Thread: thread, From: "@me", Text: text}
}

// nextAnswer answers what is asked: nothing found, nothing worn.
func (r *longRecord) nextAnswer() bot.Message {
	r.b.Helper()
	text := "left plate by the hole, 0.6 mm"
	switch a := r.asked; {
	case a == nil:
		r.b.Fatal("nothing is asked")
	case a.Expect != "":
		text = a.Expect
	case a.Kind == "checks", a.Kind == "critical":
		text = "clear"
	case a.Kind == "choice":
		text = a.Choices[0].Key
	case a.Kind == "sign":
		text = "sign " + a.Choices[0].Key
	case a.Kind == "photo":
		text = "no photo"
	case a.Kind == "reading" && strings.Contains(fmt.Sprint(a.Step), "pin"):
		text = "8.00 7.99 8.00"
	case a.Kind == "reading":
		text = "0.04 0.05 0.04"
	}
	return r.message(text, r.thread)
}

func (r *longRecord) receive(m bot.Message) store.Incoming {
	r.b.Helper()
	body, err := json.Marshal(m)
	if err != nil {
		r.b.Fatal(err)
	}
	in := store.Incoming{ID: m.ID, Room: m.Room, Body: body}
	if _, err := r.db.Receive(r.b.Context(), "bench", []store.Incoming{in}, ""); err != nil {
		r.b.Fatal(err)
	}
	return in
}

// take takes a message and delivers what is answered. It gives how long the transaction took alone.
func (r *longRecord) take(in store.Incoming) time.Duration {
	r.b.Helper()
	began := time.Now()
	err := r.db.Do(context.Background(), func(tx *store.Tx) error { return r.bot.TakeStored(tx, in) })
	took := time.Since(began)
	if err != nil {
		r.b.Fatal(err)
	}
	out, err := r.db.Unsent(r.b.Context(), 100)
	if err != nil {
		r.b.Fatal(err)
	}
	for _, o := range out {
		var reply struct {
			Ask     *benchAsk
			Refused bool
			Text    string
		}
		if err := json.Unmarshal(o.Body, &reply); err != nil {
			r.b.Fatal(err)
		}
		if reply.Refused {
			r.b.Fatalf("%s was refused: %s", in.Body, reply.Text)
		}
		r.asked = reply.Ask
		if err := r.db.Sent(r.b.Context(), o.N); err != nil {
			r.b.Fatal(err)
		}
	}
	return took
}

// copies writes an inspection's entries so many times over, from the number first on.
func (r *longRecord) copies(entries []store.Entry, first, many, items int) {
	r.b.Helper()
	var in []store.Incoming
	for n := first; n < first+many; n++ {
		for _, cause := range causes(entries) {
			in = append(in, store.Incoming{ID: fmt.Sprintf("%s of %d", cause, n), Room: "!here"})
		}
	}
	if _, err := r.db.Receive(r.b.Context(), "bench", in, ""); err != nil {
		r.b.Fatal(err)
	}
	r.do(func(tx *store.Tx) error {
		for n := first; n < first+many; n++ {
			if err := copyInspection(tx, entries, n, n%items); err != nil {
				return err
			}
		}
		for _, m := range in {
			if err := tx.Say(m.ID+"/1", m.ID, m.Room, nil); err != nil {
				return err
			}
			if err := tx.Finish(m.ID, false); err != nil {
				return err
			}
		}
		return nil
	})
}

func causes(entries []store.Entry) (ids []string) {
	for _, e := range entries {
		if !slices.Contains(ids, e.Cause) {
			ids = append(ids, e.Cause)
		}
	}
	return ids
}

// copyInspection writes the entries as those of another inspection of another item, which it takes in at its first.
func copyInspection(tx *store.Tx, entries []store.Entry, n, item int) error {
	id, mark := fmt.Sprintf("$inspection-%d", n), fmt.Sprintf("X-%05d", item)
	day := due.On(tx.Now())
	if n == item {
		d07, _, err := tx.Item("!here", "D-07")
		if err != nil {
			return err
		}
		d07.Mark = mark
		if _, err := tx.Append("!here", "@me", id, store.ItemTaken{Item: d07}); err != nil {
			return err
		}
	}
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return err
		}
		switch ev := ev.(type) {
		case *store.Started:
			ev.Inspection, ev.Thread, ev.Mark, ev.Start.Item.Mark, ev.Start.Day = id, id, mark, mark, day
		case *store.Answered:
			ev.Inspection = id
		case *store.Signed:
			ev.Inspection, ev.Mark, ev.Number = id, mark, fmt.Sprintf("%d-%06d", tx.Now().Year(), n)
			next := due.Next(day, 6)
			ev.Day, ev.Outcome.Inspection, ev.Outcome.Item, ev.Outcome.NextDue = day, id, mark, &next
		default:
			return fmt.Errorf("an inspection without findings has an entry of the kind %s", ev.Kind())
		}
		if _, err := tx.Append(e.Room, e.By, fmt.Sprintf("%s of %d", e.Cause, n), ev); err != nil {
			return err
		}
	}
	return nil
}

// settle delivers and sweeps.
func (r *longRecord) settle(now time.Time) {
	r.b.Helper()
	for {
		out, err := r.db.Unsent(r.b.Context(), 10_000)
		if err != nil {
			r.b.Fatal(err)
		}
		if len(out) == 0 {
			break
		}
		numbers := make([]int64, len(out))
		for i, o := range out {
			numbers[i] = o.N
		}
		if err := r.db.Sent(r.b.Context(), numbers...); err != nil {
			r.b.Fatal(err)
		}
	}
	if err := r.db.Sweep(r.b.Context(), now); err != nil {
		r.b.Fatal(err)
	}
}

// bareCommit gives a function that commits one row on the same disk, as the database does, and nothing else.
func (r *longRecord) bareCommit() func() time.Duration {
	r.b.Helper()
	folder, err := os.MkdirTemp(filepath.Dir(r.file), "bare-")
	if err != nil {
		r.b.Fatal(err)
	}
	bare, err := sql.Open("sqlite", "file:"+filepath.Join(folder, "bare.db")+"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)")
	if err != nil {
		r.b.Fatal(err)
	}
	bare.SetMaxOpenConns(1)
	r.b.Cleanup(func() {
		_ = bare.Close()
		_ = os.RemoveAll(folder)
	})
	if _, err := bare.Exec(`CREATE TABLE t (n INTEGER PRIMARY KEY, x TEXT) STRICT`); err != nil {
		r.b.Fatal(err)
	}
	insert, err := bare.Prepare(`INSERT INTO t (x) VALUES (?)`)
	if err != nil {
		r.b.Fatal(err)
	}
	return func() time.Duration {
		began := time.Now()
		if _, err := insert.Exec("one row"); err != nil {
			r.b.Fatal(err)
		}
		return time.Since(began)
	}
}

// BenchmarkAnswer times one answered message (Take's transaction), one bare commit after each, and the whole way of a
// message: received, taken, read for delivery, and marked as delivered. Each figure is the middle one of five runs.
func BenchmarkAnswer(b *testing.B) {
	const runs, each = 5, 200
	r := openLong(b)
	commit := r.bareCommit()
	figures := map[string][]float64{}
	for run := range runs {
		var steps, bare, whole []time.Duration
		for item := 0; len(steps) < each; item++ {
			r.begin(fmt.Sprintf("X-%05d", (run*100+item)%(r.inspections/eachItem)))
			for r.asked != nil {
				signs, answer := r.asked.Kind == "sign", r.nextAnswer()
				began := time.Now()
				took := r.take(r.receive(answer))
				if all := time.Since(began); !signs {
					steps, whole = append(steps, took), append(whole, all)
					bare = append(bare, commit())
				}
			}
		}
		note := func(name string, took []time.Duration, share float64) {
			slices.Sort(took)
			figures[name] = append(figures[name], float64(took[int(share*float64(len(took)-1))].Nanoseconds())/1000)
		}
		note("step-p50-µs", steps, .5)
		note("step-p99-µs", steps, .99)
		note("commit-p50-µs", bare, .5)
		note("commit-p99-µs", bare, .99)
		note("message-p50-µs", whole, .5)
		last := len(figures["step-p50-µs"]) - 1
		figures["step/commit"] = append(figures["step/commit"], figures["step-p50-µs"][last]/figures["commit-p50-µs"][last])
	}
	for name, all := range figures {
		slices.Sort(all)
		b.ReportMetric(all[runs/2], name)
	}
	b.ReportMetric(0, "ns/op")
}

// BenchmarkCommands times what looks further than one inspection: to begin one, to sign one, and what is due.
func BenchmarkCommands(b *testing.B) {
	r := openLong(b)
	took := map[string][]time.Duration{}
	for n := range 15 {
		begin := r.message(fmt.Sprintf("inspect X-%05d", n), "")
		took["inspect-p50-ms"] = append(took["inspect-p50-ms"], r.take(r.receive(begin)))
		r.thread = begin.ID
		for r.asked != nil {
			signs, answer := r.asked.Kind == "sign", r.nextAnswer()
			if t := r.take(r.receive(answer)); signs {
				took["sign-p50-ms"] = append(took["sign-p50-ms"], t)
			}
		}
		if n%5 == 0 {
			took["due-p50-ms"] = append(took["due-p50-ms"], r.take(r.receive(r.message("due", ""))))
		}
	}
	for name, all := range took {
		slices.Sort(all)
		b.ReportMetric(float64(all[len(all)/2].Microseconds())/1000, name)
	}
	b.ReportMetric(0, "ns/op")
}

// BenchmarkFoldLongest reads, folds and judges the inspection in which somebody went back again and again.
func BenchmarkFoldLongest(b *testing.B) {
	r := openLong(b)
	var f *flows.Flow
	r.view(func(tx *store.Tx) error {
		row, found, err := tx.Inspection(longestID)
		if err != nil || !found {
			return fmt.Errorf("the longest inspection isn't there: %w", err)
		}
		text, err := tx.FlowText(row.Flow)
		if err != nil {
			return err
		}
		loaded, problems := flows.Load("record", text)
		if f = loaded; len(problems) > 0 {
			return problems
		}
		return nil
	})
	answers := 0
	for b.Loop() {
		r.view(func(tx *store.Tx) error {
			entries, err := tx.Entries(store.InspectionSubject(longestID))
			if err != nil {
				return err
			}
			answers, err = folded(f, entries)
			return err
		})
	}
	b.ReportMetric(float64(answers), "answers")
}

func (r *longRecord) view(fn func(*store.Tx) error) {
	r.b.Helper()
	if err := r.db.View(r.b.Context(), fn); err != nil {
		r.b.Fatal(err)
	}
}

// folded folds and judges an inspection, and counts its answers.
func folded(f *flows.Flow, entries []store.Entry) (answers int, err error) {
	var state flows.State
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return 0, err
		}
		switch ev := ev.(type) {
		case *store.Started:
			state = f.Start(ev.Start)
		case *store.Answered:
			answers++
			state = state.Recorded(ev.Answer, ev.SetAside)
		}
	}
	if o := flows.Judge(f, state); o.Verdict == flows.Incomplete {
		return 0, fmt.Errorf("it came out incomplete: %v", o.Missing)
	}
	return answers, nil
}

// BenchmarkVerify goes through the whole record, and says how large it is.
func BenchmarkVerify(b *testing.B) {
	r := openLong(b)
	var entries int64
	r.view(func(tx *store.Tx) (err error) {
		entries, _, err = tx.Head()
		return err
	})
	for b.Loop() {
		faults, err := r.bot.Verify(b.Context(), r.db)
		if err != nil || len(faults) > 0 {
			b.Fatalf("%d faults, the first of them %v, %v", len(faults), faults[:min(1, len(faults))], err)
		}
	}
	info, err := os.Stat(r.file)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(entries), "entries")
	b.ReportMetric(float64(info.Size())/1e6, "MB")
	b.ReportMetric(float64(info.Size())/float64(r.inspections), "B/inspection")
}

// BenchmarkOpen opens and closes the long record, and one with nothing in it.
func BenchmarkOpen(b *testing.B) {
	long := openLong(b)
	empty := openBench(b, filepath.Join(b.TempDir(), "empty.db"), time.Now)
	for name, r := range map[string]*longRecord{"long": long, "empty": empty} {
		if err := r.db.Close(); err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				db, err := store.Open(b.Context(), r.file, time.Now)
				if err != nil {
					b.Fatal(err)
				}
				if err := db.Close(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
