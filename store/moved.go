package store

import (
	"database/sql"
	"strings"
)

// RoomMoved says that a team's room was replaced by another. From here on the register, its holds and inspections, and
// replies that wait belong to the new room. Entries keep the room in which they were written.
type RoomMoved struct {
	To string `json:"to"`
}

func (RoomMoved) Kind() string    { return "room moved" }
func (RoomMoved) Subject() string { return "team" }

func (m RoomMoved) apply(tx *Tx, e Entry) error {
	tables, err := tx.keyedByRoom()
	if err != nil {
		return err
	}
	for _, table := range tables {
		if err := tx.put(`UPDATE "`+table+`" SET room = ? WHERE room = ?`, m.To, e.Room); err != nil {
			return err
		}
	}
	return tx.put(`INSERT INTO moved(was, room) VALUES(?, ?) ON CONFLICT(was) DO UPDATE SET room = excluded.room`, e.Room, m.To)
}

// keyedByRoom names every table in which something belongs to a room. The journal keeps what was written, and messages
// that came in are told by RoomNow where they belong.
func (tx *Tx) keyedByRoom() ([]string, error) {
	return list(tx, func(row *sql.Rows) (string, error) {
		var name string
		err := row.Scan(&name)
		return strings.ReplaceAll(name, `"`, `""`), err
	}, `SELECT m.name FROM sqlite_schema m, pragma_table_info(m.name) c
		WHERE m.type = 'table' AND c.name = 'room' AND m.name NOT IN ('journal', 'inbox') ORDER BY m.name`)
}

// RoomNow is the room that a room has become; itself, where it was never replaced.
func (tx *Tx) RoomNow(room string) (string, error) {
	now := room
	_, err := tx.get(`SELECT room FROM moved WHERE was = ?`, []any{room}, &now)
	return now, err
}
