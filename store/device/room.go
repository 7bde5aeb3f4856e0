package device

import (
	"context"

	"go.mau.fi/util/dbutil"
)

// Room tells what is remembered of a room: whether its state was fetched, and whether it was ever encrypted.
func (db *DB) Room(ctx context.Context, id string) (known, encrypted bool, err error) {
	_, err = db.get(ctx, `SELECT known, encrypted FROM room WHERE id = $1`, []any{id}, &known, &encrypted)
	return known, encrypted, err
}

// KnowRoom remembers that a room's state was fetched.
func (db *DB) KnowRoom(ctx context.Context, id string) error {
	return db.put(ctx, `INSERT INTO room (id, known) VALUES ($1, 1) ON CONFLICT (id) DO UPDATE SET known = 1`, id)
}

// MarkEncrypted remembers for good that a room is encrypted.
func (db *DB) MarkEncrypted(ctx context.Context, id string) error {
	return db.put(ctx, `INSERT INTO room (id, encrypted) VALUES ($1, 1) ON CONFLICT (id) DO UPDATE SET encrypted = 1`, id)
}

// Invitation is a room that somebody asked us into.
type Invitation struct{ Room, By string }

// Invited keeps an invitation until it is settled.
func (db *DB) Invited(ctx context.Context, in Invitation) error {
	return db.put(ctx, `INSERT INTO invitation (room, by_whom) VALUES ($1, $2)
		ON CONFLICT (room) DO UPDATE SET by_whom = excluded.by_whom`, in.Room, in.By)
}

// Invitations lists those that aren't settled.
func (db *DB) Invitations(ctx context.Context) ([]Invitation, error) {
	return rows(ctx, db, func(row dbutil.Scannable) (in Invitation, err error) {
		err = row.Scan(&in.Room, &in.By)
		return in, err
	}, `SELECT room, by_whom FROM invitation ORDER BY room`)
}

// Settled forgets an invitation.
func (db *DB) Settled(ctx context.Context, room string) error {
	return db.put(ctx, `DELETE FROM invitation WHERE room = $1`, room)
}

// Direct is the room in which one person is told something alone; empty if there is none yet.
func (db *DB) Direct(ctx context.Context, person string) (room string, err error) {
	_, err = db.get(ctx, `SELECT room FROM direct WHERE person = $1`, []any{person}, &room)
	return room, err
}

// SetDirect keeps the room in which one person is told something alone.
func (db *DB) SetDirect(ctx context.Context, person, room string) error {
	return db.put(ctx, `INSERT INTO direct (person, room) VALUES ($1, $2)
		ON CONFLICT (person) DO UPDATE SET room = excluded.room`, person, room)
}

// Replacement is a room that is said to be replaced by another.
type Replacement struct{ Room, By string }

// Replaced keeps that a room is said to be replaced, until it is settled.
func (db *DB) Replaced(ctx context.Context, r Replacement) error {
	return db.put(ctx, `INSERT INTO replaced (room, by_room) VALUES ($1, $2)
		ON CONFLICT (room) DO UPDATE SET by_room = excluded.by_room`, r.Room, r.By)
}

// Replacements lists those that aren't settled.
func (db *DB) Replacements(ctx context.Context) ([]Replacement, error) {
	return rows(ctx, db, func(row dbutil.Scannable) (r Replacement, err error) {
		err = row.Scan(&r.Room, &r.By)
		return r, err
	}, `SELECT room, by_room FROM replaced ORDER BY room`)
}

// SettleReplacement forgets one.
func (db *DB) SettleReplacement(ctx context.Context, room string) error {
	return db.put(ctx, `DELETE FROM replaced WHERE room = $1`, room)
}

// Shown is which commands a room's apps were last told of, as SetShown kept it; empty before the first time.
func (db *DB) Shown(ctx context.Context, room string) (what string, err error) {
	_, err = db.get(ctx, `SELECT value FROM setting WHERE name = 'commands in ' || $1`, []any{room}, &what)
	return what, err
}

// SetShown keeps which commands a room's apps were told of, in whatever form the caller knows again.
func (db *DB) SetShown(ctx context.Context, room, what string) error {
	return db.put(ctx, `INSERT INTO setting (name, value) VALUES ('commands in ' || $1, $2)
		ON CONFLICT (name) DO UPDATE SET value = excluded.value`, room, what)
}
