package device

import "context"

// KeepUploaded keeps what a message will say once its file is on the homeserver, in place of what was kept before. Txn is the
// message's name for the homeserver.
func (db *DB) KeepUploaded(ctx context.Context, txn string, content []byte) error {
	return db.put(ctx, `INSERT INTO uploaded (txn, content) VALUES ($1, $2)
		ON CONFLICT (txn) DO UPDATE SET content = excluded.content`, txn, content)
}

// Uploaded finds what a message says whose file is on the homeserver.
func (db *DB) Uploaded(ctx context.Context, txn string) (content []byte, found bool, err error) {
	found, err = db.get(ctx, `SELECT content FROM uploaded WHERE txn = $1`, []any{txn}, &content)
	return content, found, err
}

// ForgetUploaded drops it once the message is delivered.
func (db *DB) ForgetUploaded(ctx context.Context, txn string) error {
	return db.put(ctx, `DELETE FROM uploaded WHERE txn = $1`, txn)
}
