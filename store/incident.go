package store

import (
	"encoding/json"
	"slices"

	"becket/flows/due"
)

// Happened is what happened in an incident.
type Happened string

// Unsaid until somebody says it.
const (
	Unsaid    Happened = ""
	FallStop  Happened = "fall"
	Dropped   Happened = "drop"
	ShockLoad Happened = "shock"
)

// Incident is a fall that was stopped, a drop or a shock load, with the whole system and the people in it.
type Incident struct {
	What   Happened `json:"what,omitempty"`
	Day    due.Date `json:"day,omitzero"`
	Text   string   `json:"text"` // as it was said
	People []string `json:"people,omitempty"`
	Items  []string `json:"items,omitempty"`
}

// IncidentLogged is the first line about an incident.
type IncidentLogged struct{ Incident }

func (IncidentLogged) Kind() string    { return "incident" }
func (IncidentLogged) Subject() string { return "incident" }

func (i IncidentLogged) apply(tx *Tx, e Entry) error {
	body, err := json.Marshal(i.Incident)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO incident(n, room, body) VALUES(?, ?, ?)`, e.Seq, e.Room, string(body))
}

// IncidentAdded says more about one. People and items only grow.
type IncidentAdded struct {
	Incident int64    `json:"incident"` // the first line's entry
	What     Happened `json:"what,omitempty"`
	Day      due.Date `json:"day,omitzero"`
	People   []string `json:"people,omitempty"`
	Items    []string `json:"items,omitempty"`
}

func (IncidentAdded) Kind() string    { return "incident added" }
func (IncidentAdded) Subject() string { return "incident" }

func (i IncidentAdded) apply(tx *Tx, e Entry) error {
	was, found, err := tx.Incident(i.Incident)
	if err != nil || !found {
		return err
	}
	if i.What != Unsaid {
		was.What = i.What
	}
	if !i.Day.IsZero() {
		was.Day = i.Day
	}
	was.People, was.Items = grown(was.People, i.People), grown(was.Items, i.Items)
	body, err := json.Marshal(was)
	if err != nil {
		return err
	}
	return tx.put(`UPDATE incident SET body = ? WHERE n = ? AND room = ?`, string(body), i.Incident, e.Room)
}

func grown(was, more []string) []string {
	for _, m := range more {
		if !slices.Contains(was, m) {
			was = append(was, m)
		}
	}
	return was
}

// Incident finds one by the number of its first entry.
func (tx *Tx) Incident(n int64) (Incident, bool, error) {
	return one[Incident](tx, `SELECT body FROM incident WHERE n = ?`, n)
}
