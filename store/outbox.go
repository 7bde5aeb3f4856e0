package store

import (
	"context"
	"database/sql"
	"time"
)

// Outgoing is a reply on its way out. Key is the same however often it is sent; N gives the order. Guidance lists, in JSON, the
// texts in it whose wording isn't settled yet; empty: none.
type Outgoing struct {
	N                int64
	Key, Cause, Room string
	Body             []byte
	Guidance         string
}

// Say puts a reply in the outbox. A key that was used before changes nothing.
func (tx *Tx) Say(key, cause, room string, body []byte) error {
	return tx.put(`INSERT INTO outbox (key, cause, room, body, at) VALUES (?, ?, ?, ?, ?) ON CONFLICT (key) DO NOTHING`,
		key, cause, room, present(body), tx.now.UnixMicro())
}

// Questions remembers the question that a reply in the outbox asks, under a name of the caller's choice.
func (tx *Tx) Questions(key, question string) error {
	return tx.put(`UPDATE outbox SET question = ? WHERE key = ?`, question, key)
}

// QuestionOf is the question that a reply asked; empty for one that asked none, or isn't known.
func (tx *Tx) QuestionOf(key string) (question string, err error) {
	_, err = tx.get(`SELECT question FROM outbox WHERE key = ?`, []any{key}, &question)
	return question, err
}

// Unsent lists up to limit replies that aren't known to be delivered, in order.
func (db *DB) Unsent(ctx context.Context, limit int) ([]Outgoing, error) {
	var out []Outgoing
	err := db.View(ctx, func(tx *Tx) (err error) {
		out, err = list(tx, readOutgoing, `SELECT n, key, cause, room, body, guidance FROM outbox
			WHERE sent IS NULL AND body IS NOT NULL ORDER BY n LIMIT ?`, limit)
		return err
	})
	return out, err
}

func readOutgoing(row *sql.Rows) (o Outgoing, err error) {
	err = row.Scan(&o.N, &o.Key, &o.Cause, &o.Room, &o.Body, &o.Guidance)
	return o, err
}

// Sent marks replies as delivered. After a power failure the last marks may be gone: such a reply is sent again under
// the same key.
func (db *DB) Sent(ctx context.Context, n ...int64) error {
	return db.doLazily(ctx, func(tx *Tx) error {
		for _, n := range n {
			if err := tx.put(`UPDATE outbox SET sent = ? WHERE n = ? AND sent IS NULL`, tx.now.UnixMicro(), n); err != nil {
				return err
			}
		}
		return nil
	})
}

// Sweep drops the bodies of replies delivered, and of finished messages received, before the given time. Their
// keys and IDs stay, so that none is taken or said twice. What is set aside stays whole.
func (db *DB) Sweep(ctx context.Context, before time.Time) error {
	return db.Do(ctx, func(tx *Tx) error {
		err := tx.put(`UPDATE outbox SET body = NULL WHERE sent < ? AND body IS NOT NULL`, before.UnixMicro())
		if err != nil {
			return err
		}
		return tx.put(`UPDATE inbox SET body = NULL WHERE state IN (?, ?) AND at < ? AND body IS NOT NULL`,
			stateDone, StateRefused, before.UnixMicro())
	})
}
