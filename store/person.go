package store

import (
	"database/sql"
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
	// OneByOne: asked one thing at a time, also where they may sign.
	OneByOne bool `json:"one_by_one,omitempty"`
	// Words is in which length they want to be asked: short, usual or explained; empty: by what they may sign.
	Words string `json:"words,omitempty"`
	// Language is the code of the one they are answered in; empty: English.
	Language string `json:"language,omitempty"`
}

// Competence says for which family of devices somebody may sign, and until when (that day included).
type Competence struct {
	Flow  string   `json:"flow"`
	Until due.Date `json:"until"`
	// Evidence is on what it rests: a course, a paper; Agreed who besides the person stands for it, empty: nobody, it
	// rests on the person's own word.
	Evidence string `json:"evidence,omitempty"`
	Agreed   string `json:"agreed,omitempty"`
	OwnWord  bool   `json:"own_word,omitempty"`
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

// PersonRemoved takes somebody off the list. What they did stays in the record.
type PersonRemoved struct {
	ID  string `json:"id"`
	Why string `json:"why,omitempty"`
}

func (PersonRemoved) Kind() string      { return "person removed" }
func (p PersonRemoved) Subject() string { return "person:" + p.ID }

func (p PersonRemoved) apply(tx *Tx, e Entry) error {
	return tx.put(`DELETE FROM person WHERE room = ? AND id = ?`, e.Room, p.ID)
}

// CompetenceClaimed is somebody's own word that they are competent. It changes nothing until somebody else agrees.
type CompetenceClaimed struct {
	ID     string       `json:"id"`
	Claims []Competence `json:"claims"`
}

func (CompetenceClaimed) Kind() string             { return "competence claimed" }
func (c CompetenceClaimed) Subject() string        { return "person:" + c.ID }
func (c CompetenceClaimed) apply(*Tx, Entry) error { return nil }

// WordsChosen is in which length somebody wants to be asked from now on.
type WordsChosen struct {
	ID    string `json:"id"`
	Words string `json:"words"`
}

func (WordsChosen) Kind() string      { return "words chosen" }
func (w WordsChosen) Subject() string { return "person:" + w.ID }

func (w WordsChosen) apply(tx *Tx, e Entry) error {
	p, listed, err := tx.Person(e.Room, w.ID)
	if err != nil || !listed {
		return err
	}
	p.Words = w.Words
	return PersonListed{p}.apply(tx, e)
}

// LanguageChosen is in which language somebody wants to be answered from now on, by its code, like de.
type LanguageChosen struct {
	ID       string `json:"id"`
	Language string `json:"language"`
}

func (LanguageChosen) Kind() string      { return "language chosen" }
func (l LanguageChosen) Subject() string { return "person:" + l.ID }

func (l LanguageChosen) apply(tx *Tx, e Entry) error {
	p, listed, err := tx.Person(e.Room, l.ID)
	if err != nil || !listed {
		return err
	}
	p.Language = l.Language
	return PersonListed{p}.apply(tx, e)
}

// ClaimOf is what somebody last claimed to be competent for and nobody has agreed to yet; none where their listing
// has changed since.
func (tx *Tx) ClaimOf(room, id string) ([]Competence, error) {
	entries, err := tx.EntriesIn(room, "person:"+id)
	if err != nil {
		return nil, err
	}
	var open []Competence
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return nil, err
		}
		switch ev := ev.(type) {
		case *CompetenceClaimed:
			open = ev.Claims
		case *WordsChosen, *LanguageChosen: // says nothing of what they may do
		default:
			open = nil
		}
	}
	return open, nil
}

// Person finds somebody in a room's list; false for who isn't listed.
func (tx *Tx) Person(room, id string) (Person, bool, error) {
	return one[Person](tx, `SELECT body FROM person WHERE room = ? AND id = ?`, room, id)
}

// People lists a room's people by id.
func (tx *Tx) People(room string) ([]Person, error) {
	return all[Person](tx, `SELECT body FROM person WHERE room = ? ORDER BY id`, room)
}

// Languages lists the codes of the languages that people have chosen, in every room.
func (tx *Tx) Languages() ([]string, error) {
	return list(tx, func(row *sql.Rows) (code string, err error) { return code, row.Scan(&code) },
		`SELECT DISTINCT body ->> 'language' FROM person WHERE body ->> 'language' > '' ORDER BY 1`)
}

// RoomsOf lists the rooms in whose teams somebody is listed.
func (tx *Tx) RoomsOf(id string) ([]string, error) {
	return list(tx, func(row *sql.Rows) (room string, err error) { return room, row.Scan(&room) }, `SELECT room FROM person WHERE id = ? ORDER BY room`, id)
}
