package bot

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"becket/flows/due"
	"becket/store"
)

// Passed says, in each room, what fell due between before and now. Each day is told once.
func (b *Bot) Passed(tx *store.Tx, before time.Time) error {
	return b.eachTeam(tx, func(t *turn) error { return t.passed(due.On(before.In(t.zone))) })
}

// eachTeam does something for each team that nobody asked for: nobody's turn, in the team's own zone.
func (b *Bot) eachTeam(tx *store.Tx, do func(*turn) error) error {
	teams, err := tx.AllTeams()
	if err != nil {
		return err
	}
	for _, team := range teams {
		t := &turn{bot: b, tx: tx, m: Message{Room: team.Room}, team: team, zone: tx.Now().Location()}
		if team.Zone != "" {
			if t.zone, err = b.zones.zone(team.Zone); err != nil {
				return err
			}
		}
		if err := do(t); err != nil {
			return err
		}
	}
	return nil
}

func (t *turn) passed(before due.Date) error {
	today := t.day()
	if !today.After(before) {
		return nil
	}
	marks, err := t.tx.DueBy(t.m.Room, today)
	if err != nil {
		return err
	}
	var fell []string
	for _, mark := range slices.Sorted(slices.Values(marks)) {
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil || !found {
			return err
		}
		s, err := t.statusOf(item)
		if err != nil {
			return err
		}
		if s.retired != nil || len(s.holds) > 0 || s.due.IsZero() {
			continue
		}
		if due.Overdue(today, s.due) && !due.Overdue(before, s.due) {
			fell = append(fell, format(dueOver, item.Mark, strings.Join(s.notForUse(today), "; ")))
		}
	}
	if len(fell) == 0 {
		return nil
	}
	key := fmt.Sprintf("due/%s/%s", t.m.Room, today)
	body, err := json.Marshal(Reply{Key: key, Room: t.m.Room, Text: section(format(fellDue, today.Words()), fell)})
	if err != nil {
		return err
	}
	return t.tx.Say(key, "", t.m.Room, body)
}

// SetAside tells the sender of a message that failed again and again that it couldn't be taken.
func SetAside(tx *store.Tx, in store.Incoming) error {
	var m Message
	if err := json.Unmarshal(in.Body, &m); err != nil {
		m = Message{ID: in.ID, Room: in.Room}
	}
	r := Reply{Key: in.ID + "/aside", Cause: in.ID, Room: m.Room, Thread: m.Thread, To: m.From, Text: setAside, Refused: true}
	body, err := json.Marshal(r)
	if err != nil {
		return err
	}
	return tx.Say(r.Key, r.Cause, r.Room, body)
}
