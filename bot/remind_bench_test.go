package bot

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"becket/store"
)

// BenchmarkRemind claims ten reminders that are due, and asks whether anything is when nothing is, with 1,000 others
// waiting and with 100,000, one after the other on one disk. Each figure is the middle one of its run.
func BenchmarkRemind(b *testing.B) {
	few, many := newWaiting(b, 1_000), newWaiting(b, 100_000)
	took := map[string][]float64{}
	for range max(b.N, 200) {
		for name, w := range map[string]*waiting{"1k": few, "100k": many} {
			claim, idle := w.claim(b)
			took["claim-"+name] = append(took["claim-"+name], claim)
			took["idle-"+name] = append(took["idle-"+name], idle)
		}
	}
	for name, all := range took {
		slices.Sort(all)
		b.ReportMetric(all[len(all)/2], name+"-µs")
	}
	middle := func(name string) float64 { return took[name][len(took[name])/2] }
	b.ReportMetric(middle("claim-100k")/middle("claim-1k"), "claim-100k/1k")
	b.ReportMetric(middle("idle-100k")/middle("idle-1k"), "idle-100k/1k")
	b.ReportMetric(0, "ns/op")
}

// waiting is a team with ten calipers out of date that one keeper is asked about, and others who wait to be asked.
type waiting struct {
	db  *store.DB
	bot *Bot
	now time.Time
}

func newWaiting(b *testing.B, n int) *waiting {
	b.Helper()
	w := &waiting{bot: New(Options{}), now: time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC)}
	var err error
	if w.db, err = store.Open(b.Context(), filepath.Join(b.TempDir(), "waiting.db"), func() time.Time { return w.now }); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = w.db.Close() })
	team := TeamFile{People: []store.Person{{ID: "@cal", Roles: []string{store.Keeper}}}}
	team.Team.Room, team.Team.Zone = "!yard", "Europe/London"
	for i := range 10 {
		team.Instruments = append(team.Instruments, store.Instrument{Mark: fmt.Sprint("C-", i), Kind: "caliper"})
	}
	w.do(b, func(tx *store.Tx) error { return w.bot.Import(tx, team, "bench") })
	w.do(b, w.bot.Remind)
	w.now = w.now.Add(24 * time.Hour)
	w.do(b, w.bot.Remind) // the keeper is asked for the first time
	w.do(b, func(tx *store.Tx) error {
		for i := range n {
			person, matter := fmt.Sprint("@p", i%100), fmt.Sprint("over X-", i, " 2099-01-01")
			if err := tx.Ask("!yard", person, matter); err != nil {
				return err
			}
			if err := tx.AskAgain("!yard", person, matter, w.now.AddDate(50, 0, i%365)); err != nil {
				return err
			}
		}
		return nil
	})
	return w
}

func (w *waiting) do(b *testing.B, fn func(*store.Tx) error) {
	b.Helper()
	if err := w.db.Do(b.Context(), fn); err != nil {
		b.Fatal(err)
	}
}

// claim times the claiming of ten, and asking once more, in microseconds.
func (w *waiting) claim(b *testing.B) (claimed, idle float64) {
	b.Helper()
	w.now = w.now.Add(30 * time.Second)
	w.do(b, func(tx *store.Tx) error {
		asked, err := tx.Asked("!yard", "@cal")
		if err == nil && len(asked) != 10 {
			err = fmt.Errorf("%d wait for the keeper", len(asked))
		}
		for _, r := range asked {
			if err == nil {
				err = tx.AskAgain(r.Room, r.Person, r.Matter, w.now)
			}
		}
		return err
	})
	began := time.Now()
	w.do(b, w.bot.Remind)
	claimed = float64(time.Since(began).Nanoseconds()) / 1000
	began = time.Now()
	w.do(b, w.bot.Remind)
	return claimed, float64(time.Since(began).Nanoseconds()) / 1000
}
