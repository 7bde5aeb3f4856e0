package device

import (
	"context"
	"time"
)

// Offer is a sign that we put under a question, to be tapped. Event is the homeserver's name for the question, Reply our own.
type Offer struct {
	Room, Event, Sign, Reply string
}

// KeepOffer remembers a sign that is put under a question at a moment.
func (db *DB) KeepOffer(ctx context.Context, o Offer, at time.Time) error {
	return db.put(ctx, `INSERT INTO offered (event, sign, room, reply, at) VALUES ($1, $2, $3, $4, $5) ON CONFLICT DO NOTHING`,
		o.Event, o.Sign, o.Room, o.Reply, at.UnixMicro())
}

// ForgetOffers forgets all signs that were put before a moment.
func (db *DB) ForgetOffers(ctx context.Context, before time.Time) error {
	return db.put(ctx, `DELETE FROM offered WHERE at < $1`, before.UnixMicro())
}

// ForgetOffer forgets a sign that couldn't be put there after all.
func (db *DB) ForgetOffer(ctx context.Context, o Offer) error {
	return db.put(ctx, `DELETE FROM offered WHERE event = $1 AND sign = $2`, o.Event, o.Sign)
}

// Offered finds the offer that somebody taps; false where we put no such sign there.
func (db *DB) Offered(ctx context.Context, room, event, sign string) (o Offer, found bool, err error) {
	o = Offer{Room: room, Event: event, Sign: sign}
	found, err = db.get(ctx, `SELECT reply FROM offered WHERE event = $1 AND sign = $2 AND room = $3`, []any{event, sign, room}, &o.Reply)
	return o, found, err
}
