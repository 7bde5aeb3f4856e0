package store

import (
	"context"
	"encoding/json"
	"syscall"
	"time"
)

// Condition is how a transport is, in one room or in all of them, as it last said so itself.
type Condition struct {
	// Network is what lies between, like "homeserver"; empty: nothing does.
	Network string    `json:"network,omitempty"`
	Heard   time.Time `json:"heard,omitzero"` // when it last answered
	// Encrypted and Signed say of a room that nobody between can read it, and of Becket's device that apps trust it.
	Encrypted bool `json:"encrypted,omitempty"`
	Signed    bool `json:"signed,omitempty"`
	Unread    int  `json:"unread,omitempty"` // messages of a room that couldn't be read for want of a key
}

// SetCondition keeps how a transport is, in one room. It may be lost when the power fails: it is said again.
func (db *DB) SetCondition(ctx context.Context, room string, c Condition) error {
	body, err := json.Marshal(c)
	if err != nil {
		return err
	}
	return db.doLazily(ctx, func(tx *Tx) error {
		return tx.put(`INSERT INTO condition(place, body) VALUES(?, ?) ON CONFLICT(place) DO UPDATE SET body = excluded.body`, room, string(body))
	})
}

// Condition is how the transport is in a room; false where it hasn't said.
func (tx *Tx) Condition(room string) (Condition, bool, error) {
	return one[Condition](tx, `SELECT body FROM condition WHERE place = ?`, room)
}

// Waits counts the replies that aren't delivered yet, in a room and in all.
func (tx *Tx) Waits(room string) (here, all int, err error) {
	_, err = tx.get(`SELECT coalesce(sum(room = ?), 0), count(*) FROM outbox WHERE sent IS NULL AND body IS NOT NULL`, []any{room}, &here, &all)
	return here, all, err
}

// Space is how many bytes the disk with the database has left.
func (tx *Tx) Space() (free uint64, err error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(tx.db.file, &s); err != nil {
		return 0, inPlainWords(tx.db.name, err)
	}
	return s.Bavail * uint64(s.Bsize), nil
}
