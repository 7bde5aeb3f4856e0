package bot

import (
	"fmt"

	"becket/store"
)

// Found makes a room known under a name, and the person who asked Becket into it its keeper. A room that is known
// already, from a team file say, stays as it is. Cause names the invitation.
func (b *Bot) Found(tx *store.Tx, room, person, name, cause string) error {
	t := &turn{bot: b, tx: tx, m: Message{ID: cause, Room: room, From: person}}
	_, known, err := tx.Team(room)
	if err != nil || known {
		return err
	}
	if _, err := t.write(store.TeamNamed{Name: name, Origin: "invitation"}); err != nil {
		return err
	}
	if _, err := t.write(store.PersonListed{Person: store.Person{ID: person, Roles: []string{store.Keeper}}}); err != nil {
		return fmt.Errorf("listing the keeper of %s: %w", room, err)
	}
	t.say(firstKeeper, person)
	return t.deliver()
}
