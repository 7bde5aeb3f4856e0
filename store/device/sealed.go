package device

import "context"

// Sealed is what goes over the wire, to be sent as it is however often it takes. Txn is its name for the homeserver.
type Sealed struct {
	Txn, Type string
	Content   []byte
}

// Seal keeps what is about to be sent.
func (db *DB) Seal(ctx context.Context, s Sealed) error {
	return db.put(ctx, `INSERT INTO sealed (txn, type, content) VALUES ($1, $2, $3)`, s.Txn, s.Type, s.Content)
}

// Sealed finds what was about to be sent, and tells whether it has come back since.
func (db *DB) Sealed(ctx context.Context, txn string) (s Sealed, found, arrived bool, err error) {
	s.Txn = txn
	found, err = db.get(ctx, `SELECT type, content, arrived FROM sealed WHERE txn = $1`, []any{txn}, &s.Type, &s.Content, &arrived)
	return s, found, arrived, err
}

// Arrived marks what came back from the homeserver. What isn't kept any more stays forgotten.
func (db *DB) Arrived(ctx context.Context, txn string) error {
	return db.put(ctx, `UPDATE sealed SET arrived = 1 WHERE txn = $1`, txn)
}

// Unseal forgets what has been delivered.
func (db *DB) Unseal(ctx context.Context, txn string) error {
	return db.put(ctx, `DELETE FROM sealed WHERE txn = $1`, txn)
}
