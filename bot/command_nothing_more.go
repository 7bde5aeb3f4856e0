package bot

import (
	"becket/flows/due"
	"becket/store"
)

// nothingMore closes the question what happened since a copy was made. The day is typed, so that it is the copy's, read
// and meant.
func (t *turn) nothingMore(args string) error {
	day, open, err := t.unaccounted()
	if err != nil {
		return err
	}
	if !open {
		t.refuse(copyNothing)
		return nil
	}
	if typed, err := due.ParseSpoken(args); err != nil || typed != day {
		t.refuse(copyWhen, day.Words())
		return nil
	}
	since, _, err := t.tx.Unaccounted(t.m.Room)
	if err != nil {
		return err
	}
	if _, err := t.write(store.Accounted{Since: since}); err != nil {
		return err
	}
	t.say(copyClosed, day.Words(), t.m.From)
	return nil
}
