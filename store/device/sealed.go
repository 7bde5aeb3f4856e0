package device

import "context"

// Sealed is what goes over the wire, to be sent as it is however often it takes. Txn is our name for it, Event the
// homeserver's; that is empty until it is known to have arrived.
type Sealed struct {
	Txn, Type, Event string
	Content          []byte
}

// Seal keeps what is about to be sent.
func (db *DB) Seal(ctx context.Context, s Sealed) error {
	return db.put(ctx, `INSERT INTO sealed (txn, type, content) VALUES ($1, $2, $3)`, s.Txn, s.Type, s.Content)
}

// Sealed finds what was about to be sent.
func (db *DB) Sealed(ctx context.Context, txn string) (s Sealed, found bool, err error) {
	s.Txn = txn
	found, err = db.get(ctx, `SELECT type, content, event FROM sealed WHERE txn = $1`, []any{txn}, &s.Type, &s.Content, &s.Event)
	return s, found, err
}

// Arrived marks what the homeserver is known to have, under its own name for it. What isn't kept any more stays forgotten.
func (db *DB) Arrived(ctx context.Context, txn, event string) error {
	return db.put(ctx, `UPDATE sealed SET event = $1 WHERE txn = $2`, event, txn)
}

// Unseal forgets what has been delivered.
func (db *DB) Unseal(ctx context.Context, txn string) error {
	return db.put(ctx, `DELETE FROM sealed WHERE txn = $1`, txn)
}
