package store

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// each runs step b.N times and reports the middle of how long it took beside the mean.
func each(b *testing.B, step func(i int)) {
	var took []time.Duration
	for i := range b.N {
		began := time.Now()
		step(i)
		took = append(took, time.Since(began))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), "p50-µs")
}

// BenchmarkBareCommit commits one row on the same disk with the same settings, and nothing else.
func BenchmarkBareCommit(b *testing.B) {
	other := raw(b, &DB{file: filepath.Join(b.TempDir(), "bare.db")})
	other.SetMaxOpenConns(1)
	execRaw(b, other, `PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; CREATE TABLE t (n INTEGER PRIMARY KEY, x TEXT) STRICT`)
	insert, err := other.Prepare(`INSERT INTO t (x) VALUES (?)`)
	if err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	each(b, func(int) {
		if _, err := insert.Exec("one row"); err != nil {
			b.Fatal(err)
		}
	})
}

// BenchmarkStep does what an answer does: the message done, three entries, one reply.
func BenchmarkStep(b *testing.B) {
	db := openTemp(b)
	var in []Incoming
	for i := range b.N {
		in = append(in, Incoming{ID: fmt.Sprint("$", i), Room: "!yard", Body: []byte(`{"text":"clear"}`)})
	}
	if _, err := db.Receive(b.Context(), "console", in, ""); err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	each(b, func(i int) {
		do(b, db, func(tx *Tx) error {
			id := fmt.Sprint("$", i)
			for range 3 {
				if _, err := tx.Append("!yard", "@ana", id, noteSet{fmt.Sprint(i % 100), "an answer of usual length"}); err != nil {
					return err
				}
			}
			if err := tx.Say(id, id, "!yard", []byte(`{"text":"the next question, with its choices and what to look at"}`)); err != nil {
				return err
			}
			return tx.Finish(id, false)
		})
	})
}

// BenchmarkVerify goes through a thousand entries.
func BenchmarkVerify(b *testing.B) {
	db := openTemp(b)
	do(b, db, func(tx *Tx) error {
		for i := range 1000 {
			if _, err := tx.Append("!yard", "@ana", "$1", noteSet{fmt.Sprint(i), "an answer of usual length"}); err != nil {
				return err
			}
		}
		return nil
	})
	b.ResetTimer()
	for range b.N {
		if faults, err := db.Verify(b.Context(), []string{"note"}, nil); err != nil || len(faults) > 0 {
			b.Fatal(faults, err)
		}
	}
}
