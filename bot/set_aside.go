package bot

import (
	"encoding/json"

	"becket/store"
)

// SetAside tells the sender of a message that failed again and again that it couldn't be taken.
func SetAside(tx *store.Tx, in store.Incoming) error {
	var m Message
	if err := json.Unmarshal(in.Body, &m); err != nil {
		m = Message{ID: in.ID, Room: in.Room}
	}
	var err error
	if m.Room, err = tx.RoomNow(m.Room); err != nil {
		return err
	}
	r := Reply{Key: in.ID + "/aside", Cause: in.ID, Room: m.Room, Thread: m.Thread, To: m.From, Text: setAside, Refused: true}
	body, err := json.Marshal(r)
	if err != nil {
		return err
	}
	return tx.Say(r.Key, r.Cause, r.Room, body)
}
