package store

import (
	"database/sql"
	"time"
)

// The rules by which something is told.
const (
	RuleDue    = "due"    // what fell due, day by day
	RuleDigest = "digest" // everything that is open
	RulePerson = "person" // what one person is asked about until it is done
	// RuleEdition: scripts are in a newer edition. It comes with them, not by the calendar.
	RuleEdition = "edition"
	// RuleForetold: readings that were there before anything was foretold of them were looked through. It comes once.
	RuleForetold = "foretold"
)

// Reminder is something that Becket tells by itself, and when it is looked at next.
type Reminder struct {
	Room, Rule string
	Person     string // who is asked alone; empty: the room is told
	Matter     string // what about; empty for what comes by the calendar
	Since      time.Time
}

// Recur starts what comes by the calendar in a room, in place of what came by the same rule before. What came up to now
// isn't told by it.
func (tx *Tx) Recur(room, rule string, now time.Time) error {
	return tx.put(`INSERT INTO reminder(room, rule, person, matter, since, next) VALUES(?, ?, '', '', ?, ?)
		ON CONFLICT DO UPDATE SET since = excluded.since, next = excluded.next`, room, rule, now.UnixMicro(), now.UnixMicro())
}

// StopRecurring ends what comes by the calendar.
func (tx *Tx) StopRecurring(room, rule string) error {
	return tx.put(`DELETE FROM reminder WHERE room = ? AND rule = ?`, room, rule)
}

// Without lists the teams in which nothing comes by a rule, and since when their rooms are known.
func (tx *Tx) Without(rule string) ([]Reminder, error) {
	teams, err := list(tx, func(row *sql.Rows) (r Reminder, err error) { return r, row.Scan(&r.Room) },
		`SELECT room FROM team WHERE NOT EXISTS (SELECT 1 FROM reminder WHERE reminder.room = team.room AND rule = ?) ORDER BY room`, rule)
	if err != nil || len(teams) == 0 {
		return nil, err
	}
	for n := range teams {
		teams[n].Rule, teams[n].Since = rule, tx.now
		named, err := tx.EntriesIn(teams[n].Room, TeamNamed{}.Subject())
		if err != nil {
			return nil, err
		}
		if len(named) > 0 && named[0].At.Before(tx.now) {
			teams[n].Since = named[0].At
		}
	}
	return teams, nil
}

// Ask starts asking one person about a matter; one that they were asked about already stays as it is.
func (tx *Tx) Ask(room, person, matter string) error {
	now := tx.now.UnixMicro()
	return tx.put(`INSERT INTO reminder(room, rule, person, matter, since, next) VALUES(?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
		room, RulePerson, person, matter, now, now)
}

// AskAgain has a person asked about a matter at a later time.
func (tx *Tx) AskAgain(room, person, matter string, next time.Time) error {
	return tx.put(`UPDATE reminder SET next = ? WHERE room = ? AND rule = ? AND person = ? AND matter = ?`,
		next.UnixMicro(), room, RulePerson, person, matter)
}

// Asked lists what a person was asked about and has not done, by what it is.
func (tx *Tx) Asked(room, person string) ([]Reminder, error) {
	return tx.reminders(`WHERE room = ? AND rule = ? AND person = ? ORDER BY matter`, room, RulePerson, person)
}

// Forget ends a reminder.
func (tx *Tx) Forget(r Reminder) error {
	return tx.put(`DELETE FROM reminder WHERE room = ? AND rule = ? AND person = ? AND matter = ?`, r.Room, r.Rule, r.Person, r.Matter)
}

// NextReminder is the reminder that has been due longest, if one is.
func (tx *Tx) NextReminder() (Reminder, bool, error) {
	due, err := tx.reminders(`WHERE next <= ? ORDER BY next, room, person LIMIT 1`, tx.now.UnixMicro())
	if err != nil || len(due) == 0 {
		return Reminder{}, false, err
	}
	return due[0], true, nil
}

// DueWith lists all that is due now and goes into one message with a reminder: the room's, what fell due before the
// digest, or one person's.
func (tx *Tx) DueWith(r Reminder) ([]Reminder, error) {
	return tx.reminders(`WHERE room = ? AND person = ? AND next <= ? ORDER BY rule DESC, matter`, r.Room, r.Person, tx.now.UnixMicro())
}

// Claim says that all a reminder stood for up to now is told, and when it is looked at next.
func (tx *Tx) Claim(r Reminder, next time.Time) error {
	return tx.put(`UPDATE reminder SET since = ?, next = ? WHERE room = ? AND rule = ? AND person = ? AND matter = ?`,
		tx.now.UnixMicro(), next.UnixMicro(), r.Room, r.Rule, r.Person, r.Matter)
}

// HoldBack leaves a reminder for later, with all it stands for.
func (tx *Tx) HoldBack(r Reminder, until time.Time) error {
	return tx.put(`UPDATE reminder SET next = ? WHERE room = ? AND rule = ? AND person = ? AND matter = ?`,
		until.UnixMicro(), r.Room, r.Rule, r.Person, r.Matter)
}

func (tx *Tx) reminders(where string, args ...any) ([]Reminder, error) {
	return list(tx, func(row *sql.Rows) (Reminder, error) {
		var r Reminder
		var since int64
		err := row.Scan(&r.Room, &r.Rule, &r.Person, &r.Matter, &since)
		r.Since = time.UnixMicro(since).UTC()
		return r, err
	}, `SELECT room, rule, person, matter, since FROM reminder `+where, args...)
}

// Told tells whether a rule's time on a local day was told before.
func (tx *Tx) Told(room, rule, day string) (told bool, err error) {
	var said string
	return tx.get(`SELECT said FROM occurrence WHERE room = ? AND rule = ? AND day = ?`, []any{room, rule, day}, &said)
}

// Occurred writes down that a rule's time came on a local day, and under which message it was told; empty: nothing was
// to be said. A day that was told before is an error.
func (tx *Tx) Occurred(room, rule, day string, at time.Time, said string) error {
	return tx.put(`INSERT INTO occurrence(room, rule, day, at, said) VALUES(?, ?, ?, ?, ?)`, room, rule, day, at.UnixMicro(), said)
}

// Rewind takes back what was claimed by a clock that ran ahead by more than a span and has been put right since: what
// it stood for comes yet.
func (tx *Tx) Rewind(span time.Duration) error {
	now := tx.now.UnixMicro()
	ahead, err := tx.exec(`UPDATE reminder SET since = ?, next = ? WHERE since > ?`, now, now, tx.now.Add(span).UnixMicro())
	if err != nil || ahead == 0 {
		return err
	}
	return tx.put(`DELETE FROM occurrence WHERE at > ?`, now)
}
