package store

import (
	"context"
	"database/sql"
	"fmt"
	"time"
)

// Incoming is a message as a transport received it. ID is the transport's own for the event and is never taken twice.
type Incoming struct {
	ID, Room string
	Body     []byte
}

// The states of a message on its way in.
const (
	stateNew     = "new"
	stateDone    = "done"
	StateRefused = "refused"
	stateAside   = "aside"
)

// mostTries is how often a message is tried before it is set aside.
const mostTries = 5

// Receive stores messages in order, together with the transport's own position; an empty position leaves the old
// one. fresh tells for each whether it was new: a known ID isn't stored again.
func (db *DB) Receive(ctx context.Context, transport string, in []Incoming, position string) (fresh []bool, err error) {
	return storeIncoming(ctx, db.Do, transport, in, position)
}

// ReceiveRepeatable is Receive for what is given again to whoever asks from an older position. It needn't be on disk at once:
// when the power fails, messages and position are gone together.
func (db *DB) ReceiveRepeatable(ctx context.Context, transport string, in []Incoming, position string) (fresh []bool, err error) {
	return storeIncoming(ctx, db.doLazily, transport, in, position)
}

func storeIncoming(ctx context.Context, do func(context.Context, func(*Tx) error) error, transport string, in []Incoming, position string) (fresh []bool, err error) {
	err = do(ctx, func(tx *Tx) error {
		for _, m := range in {
			rows, err := tx.exec(`INSERT INTO inbox (id, transport, room, at, body) VALUES (?, ?, ?, ?, ?)
				ON CONFLICT (id) DO NOTHING`,
				m.ID, transport, m.Room, tx.now.UnixMicro(), present(m.Body))
			if err != nil {
				return err
			}
			fresh = append(fresh, rows > 0)
		}
		if position == "" {
			return nil
		}
		return tx.put(`INSERT INTO position (transport, value) VALUES (?, ?)
			ON CONFLICT (transport) DO UPDATE SET value = excluded.value`,
			transport, position)
	})
	if err != nil {
		return nil, err
	}
	return fresh, nil
}

// present keeps an empty body from becoming null, which means swept.
func present(body []byte) []byte {
	if body == nil {
		return []byte{}
	}
	return body
}

// Position is the transport's position as last received; empty before the first.
func (db *DB) Position(ctx context.Context, transport string) (position string, err error) {
	err = db.View(ctx, func(tx *Tx) error {
		_, err := tx.get(`SELECT value FROM position WHERE transport = ?`, []any{transport}, &position)
		return err
	})
	return position, err
}

// Waiting lists the transport's messages that are still to be taken, in order of arrival.
func (tx *Tx) Waiting(transport string) ([]Incoming, error) {
	return tx.incoming(`WHERE state = ? AND transport = ? AND body IS NOT NULL ORDER BY n`, stateNew, transport)
}

// Aside lists messages of all transports that failed too often, for a person to look at, in order of arrival.
func (tx *Tx) Aside() ([]Incoming, error) {
	return tx.incoming(`WHERE state = ? AND body IS NOT NULL ORDER BY n`, stateAside)
}

func (tx *Tx) incoming(which string, args ...any) ([]Incoming, error) {
	return list(tx, readIncoming, `SELECT id, room, body FROM inbox `+which, args...)
}

func readIncoming(row *sql.Rows) (m Incoming, err error) {
	err = row.Scan(&m.ID, &m.Room, &m.Body)
	return m, err
}

// Incoming tells how far a message has come: new, done, refused or aside.
func (tx *Tx) Incoming(id string) (state string, found bool, err error) {
	found, err = tx.get(`SELECT state FROM inbox WHERE id = ?`, []any{id}, &state)
	return state, found, err
}

// mostLooked is how many of the messages received last are looked through for one person's.
const mostLooked = 500

// SentForNothing counts what somebody sent to a room since a moment and that is finished, without any entry that it brought
// about.
func (tx *Tx) SentForNothing(room, from string, since time.Time) (n int, err error) {
	_, err = tx.get(`SELECT count(*) FROM (SELECT * FROM inbox ORDER BY n DESC LIMIT ?) AS last
		WHERE room = ? AND at >= ? AND state IN (?, ?) AND body IS NOT NULL AND CAST(body AS TEXT) ->> '$.from' = ?
			AND NOT EXISTS (SELECT 1 FROM journal WHERE cause = last.id)`,
		[]any{mostLooked, room, since.UnixMicro(), stateDone, StateRefused, from}, &n)
	return n, err
}

// Finish marks a message as taken, or as refused. One that isn't waiting is an error, so that none is taken twice.
func (tx *Tx) Finish(id string, refused bool) error {
	state := stateDone
	if refused {
		state = StateRefused
	}
	rows, err := tx.exec(`UPDATE inbox SET state = ? WHERE id = ? AND state = ?`, state, id, stateNew)
	if err != nil {
		return err
	}
	if rows == 0 {
		return tx.fail(fmt.Errorf("the message %s isn't waiting to be taken", id))
	}
	return nil
}

// Failed counts a try at a message that came to nothing. The fifth sets it aside.
func (db *DB) Failed(ctx context.Context, id string) (aside bool, err error) {
	err = db.Do(ctx, func(tx *Tx) error {
		err := tx.put(`UPDATE inbox SET tries = tries + 1, state = iif(tries + 1 >= ?, ?, state) WHERE id = ? AND state = ?`,
			mostTries, stateAside, id, stateNew)
		if err != nil {
			return err
		}
		state, _, err := tx.Incoming(id)
		aside = state == stateAside
		return err
	})
	return aside && err == nil, err
}
