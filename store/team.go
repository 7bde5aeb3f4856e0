package store

import "database/sql"

// Team is the people of a room and the register that they share.
type Team struct {
	Room string
	Name string
	Zone string // IANA name; empty: UTC
}

// TeamNamed makes a room known, or gives its team another name or zone.
type TeamNamed struct {
	Name string `json:"name"`
	Zone string `json:"zone,omitempty"`
	// Origin says where the team came from: a first message, a team file, or the invented demo.
	Origin string `json:"origin"`
}

func (TeamNamed) Kind() string    { return "team" }
func (TeamNamed) Subject() string { return "team" }

func (t TeamNamed) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO team(room, name, zone) VALUES(?, ?, ?)
		ON CONFLICT(room) DO UPDATE SET name = excluded.name, zone = excluded.zone`, e.Room, t.Name, t.Zone)
}

// Team finds the team of a room; false for a room that Becket doesn't serve.
func (tx *Tx) Team(room string) (Team, bool, error) {
	t := Team{Room: room}
	found, err := tx.get(`SELECT name, zone FROM team WHERE room = ?`, []any{room}, &t.Name, &t.Zone)
	return t, found, err
}

// Teams counts the rooms that Becket serves.
func (tx *Tx) Teams() (n int, err error) {
	_, err = tx.get(`SELECT count(*) FROM team`, nil, &n)
	return n, err
}

// AllTeams lists the rooms that Becket serves.
func (tx *Tx) AllTeams() ([]Team, error) {
	return list(tx, func(row *sql.Rows) (Team, error) {
		var t Team
		err := row.Scan(&t.Room, &t.Name, &t.Zone)
		return t, err
	}, `SELECT room, name, zone FROM team ORDER BY room`)
}
