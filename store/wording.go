package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"
)

// WordingTry is one go at rewording a piece of guidance, whatever became of it. These rows follow from nothing in the journal and no record
// leans on them: lost, they are asked for again.
type WordingTry struct {
	Key, Language, Model string
	Original, Said       string
	Checks               []string // what each check said that objected
	Choice               string
	Text                 string // what may be used; empty unless accepted
	At                   time.Time
}

// KeepWording keeps a try.
func (tx *Tx) KeepWording(w WordingTry) error {
	checks, err := json.Marshal(w.Checks)
	if err != nil {
		return fmt.Errorf("keeping what the checks said: %w", err)
	}
	return tx.put(`INSERT INTO wording(key, at, language, model, original, said, checks, choice, text) VALUES(?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		w.Key, tx.now.UnixMicro(), w.Language, w.Model, w.Original, w.Said, string(checks), w.Choice, w.Text)
}

// Wording is the latest try under a key that had this choice.
func (tx *Tx) Wording(key, choice string) (w WordingTry, found bool, err error) {
	all, err := list(tx, readWording, `SELECT key, at, language, model, original, said, checks, choice, text FROM wording
		WHERE key = ? AND choice = ? ORDER BY n DESC LIMIT 1`, key, choice)
	if err != nil || len(all) == 0 {
		return w, false, err
	}
	return all[0], true, nil
}

// WordingTries lists up to limit tries, the latest first.
func (tx *Tx) WordingTries(limit int) ([]WordingTry, error) {
	return list(tx, readWording, `SELECT key, at, language, model, original, said, checks, choice, text FROM wording ORDER BY n DESC LIMIT ?`, limit)
}

// WordingCounts tells how many tries there were of each choice.
func (tx *Tx) WordingCounts() (map[string]int, error) {
	type one struct {
		choice string
		n      int
	}
	all, err := list(tx, func(row *sql.Rows) (o one, err error) { return o, row.Scan(&o.choice, &o.n) },
		`SELECT choice, count(*) FROM wording GROUP BY choice`)
	counts := map[string]int{}
	for _, o := range all {
		counts[o.choice] = o.n
	}
	return counts, err
}

func readWording(row *sql.Rows) (w WordingTry, err error) {
	var at int64
	var checks string
	if err := row.Scan(&w.Key, &at, &w.Language, &w.Model, &w.Original, &w.Said, &checks, &w.Choice, &w.Text); err != nil {
		return w, err
	}
	w.At = time.UnixMicro(at).UTC()
	return w, json.Unmarshal([]byte(checks), &w.Checks)
}

// Guidance says which texts of guidance a reply in the outbox holds, word for word, and in which language whoever is asked is answered.
type Guidance struct {
	Language string   `json:"language"`
	Texts    []string `json:"texts"`
}

// Explains remembers the guidance of a reply in the outbox.
func (tx *Tx) Explains(key string, g Guidance) error {
	kept, err := json.Marshal(g)
	if err != nil {
		return fmt.Errorf("keeping which guidance a reply holds: %w", err)
	}
	return tx.put(`UPDATE outbox SET guidance = ? WHERE key = ?`, string(kept), key)
}

// Settle fixes how a reply's guidance is worded, before it is first sent: sent again, it says the same.
func (db *DB) Settle(ctx context.Context, o Outgoing) error {
	return db.Do(ctx, func(tx *Tx) error {
		return tx.put(`UPDATE outbox SET body = ?, guidance = '' WHERE n = ? AND sent IS NULL AND body IS NOT NULL`, o.Body, o.N)
	})
}
