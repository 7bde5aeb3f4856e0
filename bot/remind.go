package bot

import (
	"becket/flows/due"
	"becket/store"
)

// Remind says what the clock has brought about since it was last called: in each room, what fell due. A transport calls it
// once it can speak, and then every half minute. What was told is remembered with the telling, so that a restart
// neither repeats nor loses anything.
func (b *Bot) Remind(tx *store.Tx) error {
	return b.eachTeam(tx, (*turn).remind)
}

func (t *turn) remind() error {
	before, err := t.toldUpTo()
	if err != nil {
		return err
	}
	if err := t.passed(before); err != nil {
		return err
	}
	if today := t.day(); today.After(before) {
		return t.tx.Tell(t.m.Room, today)
	}
	return nil
}

// toldUpTo is the last day of which the room knows what fell due; the day on which it became known, before the first time.
func (t *turn) toldUpTo() (due.Date, error) {
	day, found, err := t.tx.ToldUpTo(t.m.Room)
	if err != nil || found {
		return day, err
	}
	entries, err := t.tx.Entries(store.TeamNamed{}.Subject())
	for _, e := range entries {
		if e.Room == t.m.Room {
			return due.On(e.At.In(t.zone)), err
		}
	}
	return t.day(), err
}
