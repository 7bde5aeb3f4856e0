package device

import "context"

// Login is what the homeserver knows this device by. PickleKey locks the keys beside it.
type Login struct{ Homeserver, User, Device, Token, PickleKey string }

func (l *Login) settings() map[string]*string {
	return map[string]*string{
		"homeserver": &l.Homeserver, "user": &l.User, "device": &l.Device, "token": &l.Token, "pickle key": &l.PickleKey,
	}
}

// Login gives the login; Device is empty before the first.
func (db *DB) Login(ctx context.Context) (l Login, err error) {
	for name, value := range l.settings() {
		if _, err := db.get(ctx, `SELECT value FROM setting WHERE name = $1`, []any{name}, value); err != nil {
			return Login{}, err
		}
	}
	return l, nil
}

// SetLogin keeps the login, whole or not at all.
func (db *DB) SetLogin(ctx context.Context, l Login) error {
	return db.own.DoTxn(ctx, nil, func(ctx context.Context) error {
		for name, value := range l.settings() {
			err := db.put(ctx, `INSERT INTO setting (name, value) VALUES ($1, $2)
				ON CONFLICT (name) DO UPDATE SET value = excluded.value`, name, *value)
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// RecoveryKey is the key that was made and not yet shown; empty if there is none.
func (db *DB) RecoveryKey(ctx context.Context) (key string, err error) {
	_, err = db.get(ctx, `SELECT value FROM setting WHERE name = 'recovery key'`, nil, &key)
	return key, err
}

// KeepRecoveryKey keeps a key until it has been shown; an empty one forgets it.
func (db *DB) KeepRecoveryKey(ctx context.Context, key string) error {
	if key == "" {
		return db.put(ctx, `DELETE FROM setting WHERE name = 'recovery key'`)
	}
	return db.put(ctx, `INSERT INTO setting (name, value) VALUES ('recovery key', $1)
		ON CONFLICT (name) DO UPDATE SET value = excluded.value`, key)
}
