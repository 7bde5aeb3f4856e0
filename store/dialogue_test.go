package store

import "testing"

func TestDialogue(t *testing.T) {
	db := openTemp(t)
	read := func(room, person, thread string) (all string) {
		t.Helper()
		view(t, db, func(tx *Tx) error {
			kind, body, found, err := tx.Dialogue(room, person, thread)
			if found {
				all = kind + " " + string(body)
			}
			return err
		})
		return all
	}
	expect := func(want string, place ...string) {
		t.Helper()
		if got := read(place[0], place[1], place[2]); got != want {
			t.Errorf("at %v stands %q, want %q", place, got, want)
		}
	}
	do(t, db, func(tx *Tx) error {
		for _, d := range [][5]string{
			{"!yard", "@ana", "", "take in", "half"},
			{"!yard", "@ana", "$1", "sheet", "other thread"},
			{"!yard", "@ben", "", "sheet", "other person"},
			{"!mill", "@ana", "", "sheet", "other room"},
			{"!yard", "@ana", "", "take in", "more"},
		} {
			if err := tx.SetDialogue(d[0], d[1], d[2], d[3], []byte(d[4])); err != nil {
				return err
			}
		}
		return nil
	})
	expect("take in more", "!yard", "@ana", "")
	do(t, db, func(tx *Tx) error { return tx.EndDialogue("!yard", "@ana", "") })
	expect("", "!yard", "@ana", "")
	expect("sheet other thread", "!yard", "@ana", "$1")
	expect("sheet other person", "!yard", "@ben", "")
	expect("sheet other room", "!mill", "@ana", "")
	do(t, db, func(tx *Tx) error { return tx.EndDialogue("!yard", "@nobody", "") })
}
