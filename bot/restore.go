package bot

import (
	"context"
	"fmt"

	"becket/flows/due"
	"becket/store"
)

// restorer is whose word it is that a record goes on from a copy.
const restorer = "restore"

// Restore has the record go on from the copy that it is: everything in it must follow from it again, and each room is
// asked what happened since. It gives what was entered, and how many replies that were on their way are dropped.
func (b *Bot) Restore(ctx context.Context, db *store.DB) (r store.Restored, dropped int64, err error) {
	faults, err := b.Verify(ctx, db)
	if err != nil {
		return r, 0, err
	}
	if len(faults) > 0 {
		return r, 0, fmt.Errorf("the copy isn't as it was written: %s (in all %d such; \"becket verify\" names them). Nothing was restored", faults[0], len(faults))
	}
	err = db.Do(ctx, func(tx *store.Tx) error {
		if r, dropped, err = tx.GoOn(restorer, restorer); err != nil {
			return err
		}
		teams, err := tx.AllTeams()
		if err != nil {
			return err
		}
		for _, team := range teams {
			if err := b.askSince(tx, team); err != nil {
				return err
			}
		}
		return nil
	})
	return r, dropped, err
}

// askSince asks a room what happened since the copy was made.
func (b *Bot) askSince(tx *store.Tx, team store.Team) error {
	t := &turn{bot: b, tx: tx, m: Message{Room: team.Room, From: restorer}, team: team, zone: tx.Now().Location()}
	var err error
	if team.Zone != "" {
		if t.zone, err = b.zones.zone(team.Zone); err != nil {
			return err
		}
	}
	day, open, err := t.unaccounted()
	if err != nil || !open {
		return err
	}
	keepers, err := t.keepers()
	if err != nil {
		return err
	}
	entries, _, err := tx.Head()
	if err != nil {
		return err
	}
	key := fmt.Sprintf("restored/%s/%d", team.Room, entries)
	return t.sayByItself(Reply{Key: key, Room: team.Room, Text: format(copyAsk, day.Words(), keepers, day.Words())})
}

// unaccounted is, among all that is open, what happened since a copy was made.
func (s *survey) unaccounted() ([]matter, error) {
	day, open, err := s.t.unaccounted()
	if err != nil || !open {
		return nil, err
	}
	return []matter{{
		name: openCopyName, key: "record " + openCopyName + " " + day.String(), say: format(openCopyOf, day.Words()),
		who: whoMay(s.people, actAccount, "", s.today), do: format(openCopyDo, day.Words()),
	}}, nil
}

// unaccounted is the day of the copy that this room's record goes on from, while what happened since isn't said.
func (t *turn) unaccounted() (day due.Date, open bool, err error) {
	since, open, err := t.tx.Unaccounted(t.m.Room)
	return due.On(since.In(t.zone)), open, err
}

// sayUnaccounted is said wherever the record would be taken at its word; empty, once all is said.
func (t *turn) sayUnaccounted(sentence string) (string, error) {
	day, open, err := t.unaccounted()
	if err != nil || !open {
		return "", err
	}
	keepers, err := t.keepers()
	return format(sentence, day.Words(), keepers), err
}

func (t *turn) keepers() (string, error) {
	people, err := t.tx.People(t.m.Room)
	return list(keepersOf(people)), err
}
