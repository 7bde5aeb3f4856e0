package store

// Dialogue is what a person has half typed into a form in a thread. It isn't part of the record.
func (tx *Tx) Dialogue(room, person, thread string) (kind string, body []byte, found bool, err error) {
	found, err = tx.get(`SELECT kind, body FROM dialogue WHERE room = ? AND person = ? AND thread = ?`,
		[]any{room, person, thread}, &kind, &body)
	return kind, body, found, err
}

// OnlyDialogue is what a person has half typed in a room, where it is one thing only, and in which thread.
func (tx *Tx) OnlyDialogue(room, person string) (thread, kind string, body []byte, found bool, err error) {
	found, err = tx.get(`SELECT max(thread), max(kind), max(body) FROM dialogue WHERE room = ? AND person = ? HAVING count(*) = 1`,
		[]any{room, person}, &thread, &kind, &body)
	return thread, kind, body, found, err
}

// SetDialogue keeps a half-typed form in place of any before it.
func (tx *Tx) SetDialogue(room, person, thread, kind string, body []byte) error {
	return tx.put(`INSERT INTO dialogue (room, person, thread, kind, body) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (room, person, thread) DO UPDATE SET kind = excluded.kind, body = excluded.body`,
		room, person, thread, kind, present(body))
}

// EndDialogue forgets a half-typed form, if there is one.
func (tx *Tx) EndDialogue(room, person, thread string) error {
	return tx.put(`DELETE FROM dialogue WHERE room = ? AND person = ? AND thread = ?`, room, person, thread)
}
