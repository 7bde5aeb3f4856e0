package store

import (
	"encoding/json"
	"slices"

	"becket/flows/due"
)

// Person is somebody whom the keeper has listed.
type Person struct {
	ID        string       `json:"id"`
	Name      string       `json:"name,omitempty"`
	Roles     []string     `json:"roles,omitempty"`
	Competent []Competence `json:"competent,omitempty"`
}

// Competence says for which family of devices somebody may sign, and until when (that day included).
type Competence struct {
	Flow  string   `json:"flow"`
	Until due.Date `json:"until"`
}

// Keeper is the role of who keeps the register. Everybody listed is a member, said or not.
const (
	Keeper = "keeper"
	Member = "member"
)

// Called is how the person is spoken of.
func (p Person) Called() string {
	if p.Name != "" {
		return p.Name
	}
	return p.ID
}

// IsKeeper tells whether the person keeps the register.
func (p Person) IsKeeper() bool { return slices.Contains(p.Roles, Keeper) }

// CompetentFor tells whether the person may sign for a family on a day.
func (p Person) CompetentFor(flow string, day due.Date) bool {
	return slices.ContainsFunc(p.Competent, func(c Competence) bool {
		return c.Flow == flow && !day.After(c.Until)
	})
}

// PersonListed lists a person, or lists them anew with other roles.
type PersonListed struct{ Person }

func (PersonListed) Kind() string      { return "person" }
func (p PersonListed) Subject() string { return "person:" + p.ID }

func (p PersonListed) apply(tx *Tx, e Entry) error {
	body, err := json.Marshal(p.Person)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO person(room, id, body) VALUES(?, ?, ?)
		ON CONFLICT(room, id) DO UPDATE SET body = excluded.body`, e.Room, p.ID, string(body))
}

// Person finds somebody in a room's list; false for who isn't listed.
func (tx *Tx) Person(room, id string) (Person, bool, error) {
	return one[Person](tx, `SELECT body FROM person WHERE room = ? AND id = ?`, room, id)
}

// People lists a room's people by id.
func (tx *Tx) People(room string) ([]Person, error) {
	return all[Person](tx, `SELECT body FROM person WHERE room = ? ORDER BY id`, room)
}
