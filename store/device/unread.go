package device

import (
	"context"
	"time"

	"go.mau.fi/util/dbutil"
)

// Unread is a message that can't be read for want of its key. Told: its sender knows. Overtaken: the same person has
// said something else in the room since.
type Unread struct {
	Event, Room, Sender string
	At                  time.Time
	Body                []byte
	Told, Overtaken     bool
}

// KeepUnread keeps a message until its key comes. One that is kept already stays as it is.
func (db *DB) KeepUnread(ctx context.Context, u Unread) error {
	return db.put(ctx, `INSERT INTO unread (event, room, sender, at, body) VALUES ($1, $2, $3, $4, $5) ON CONFLICT (event) DO NOTHING`,
		u.Event, u.Room, u.Sender, u.At.UnixMicro(), u.Body)
}

// Unread lists what can't be read yet, in order of arrival.
func (db *DB) Unread(ctx context.Context) ([]Unread, error) {
	return rows(ctx, db, func(row dbutil.Scannable) (u Unread, err error) {
		var at int64
		err = row.Scan(&u.Event, &u.Room, &u.Sender, &at, &u.Body, &u.Told, &u.Overtaken)
		u.At = time.UnixMicro(at).UTC()
		return u, err
	}, `SELECT event, room, sender, at, body, told, overtaken FROM unread ORDER BY n`)
}

// TellUnread remembers that the sender knows.
func (db *DB) TellUnread(ctx context.Context, event string) error {
	return db.put(ctx, `UPDATE unread SET told = 1 WHERE event = $1`, event)
}

// Overtake remembers that somebody has said something else in a room.
func (db *DB) Overtake(ctx context.Context, room, sender string) error {
	return db.put(ctx, `UPDATE unread SET overtaken = 1 WHERE room = $1 AND sender = $2`, room, sender)
}

// ForgetUnread drops a message that was read, or never will be.
func (db *DB) ForgetUnread(ctx context.Context, event string) error {
	return db.put(ctx, `DELETE FROM unread WHERE event = $1`, event)
}
