package device

import (
	"context"
	"fmt"
)

// Record is where the record ended that was last spoken from: its last entry's number, and that one's hash in hex; 0
// before the first time.
func (db *DB) Record(ctx context.Context) (seq int64, hash string, err error) {
	var kept string
	found, err := db.get(ctx, `SELECT value FROM setting WHERE name = 'record'`, nil, &kept)
	if err != nil || !found {
		return 0, "", err
	}
	if _, err := fmt.Sscanf(kept, "%d %s", &seq, &hash); err != nil {
		return 0, "", fmt.Errorf("the device's own file says of the record %q, which nobody can read: %w", kept, err)
	}
	return seq, hash, nil
}

// KeepRecord keeps where the record ends.
func (db *DB) KeepRecord(ctx context.Context, seq int64, hash string) error {
	return db.put(ctx, `INSERT INTO setting (name, value) VALUES ('record', $1)
		ON CONFLICT (name) DO UPDATE SET value = excluded.value`, fmt.Sprintf("%d %s", seq, hash))
}
