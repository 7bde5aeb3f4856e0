package bot

import (
	"fmt"

	"becket/store"
)

// Move takes a team with its whole register into the room that replaces its own, and asks open questions again there. By is
// who replaced it, cause names how. It tells whether it did: not for a room without a team, nor into one that has its own.
func (b *Bot) Move(tx *store.Tx, from, to, by, cause string) (bool, error) {
	team, known, err := tx.Team(from)
	if err != nil || !known {
		return false, err
	}
	if _, taken, err := tx.Team(to); err != nil || taken {
		return false, err
	}
	t := &turn{bot: b, tx: tx, m: Message{ID: cause, Room: from, From: by}, team: team, zone: tx.Now().Location()}
	if team.Zone != "" {
		if t.zone, err = b.zones.zone(team.Zone); err != nil {
			return false, err
		}
	}
	if _, err := t.write(store.RoomMoved{To: to}); err != nil {
		return false, err
	}
	t.m.Room, t.team.Room = to, to
	if err := t.arrive(); err != nil {
		return false, fmt.Errorf("going on in %s: %w", to, err)
	}
	return true, t.deliver()
}

// arrive says what came along, and goes on with what is under way.
func (t *turn) arrive() error {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return err
	}
	held, err := t.tx.Held(t.m.Room)
	if err != nil {
		return err
	}
	open, err := t.tx.OpenInspections(t.m.Room)
	if err != nil {
		return err
	}
	t.say(roomMoved, t.team.Name, len(items), len(held), len(open))
	for _, row := range open {
		if row.State != store.Underway {
			continue
		}
		i, err := t.bot.load(t.tx, row)
		if err != nil {
			return err
		}
		t.m.From, t.thread = row.Inspector, row.Thread
		if err := t.ask(i, format(goesOnHere, row.Inspector, row.Mark)); err != nil {
			return err
		}
	}
	return nil
}

// findMoved looks, in a conversation that isn't known, for the speaker's inspection that was begun in a room which this one
// replaces. Its own conversation stayed there, so whichever one the speaker opens under the question serves here.
func (t *turn) findMoved() error {
	rows, err := t.tx.OpenInspections(t.m.Room)
	if err != nil {
		return err
	}
	var moved []store.Inspection
	for _, row := range rows {
		if row.Inspector != t.m.From || row.State != store.Underway {
			continue
		}
		began, _, err := t.tx.Entry(row.Seq)
		if err != nil {
			return err
		}
		if began.Room != t.m.Room {
			moved = append(moved, row)
		}
	}
	if len(moved) != 1 {
		return nil
	}
	t.dropMark(moved[0].Mark)
	if err := t.place(moved[0]); err != nil {
		return err
	}
	t.thread = t.m.Thread
	return nil
}

// follow has what was said in a room that has moved count where it is now.
func (t *turn) follow() error {
	now, err := t.tx.RoomNow(t.m.Room)
	if err != nil {
		return err
	}
	t.m.Room = now
	return nil
}

// isOurs tells whether an entry was written in the speaker's room, or in what that was before.
func (t *turn) isOurs(e store.Entry) (bool, error) {
	now, err := t.tx.RoomNow(e.Room)
	return now == t.m.Room, err
}
