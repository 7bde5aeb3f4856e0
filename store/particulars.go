package store

import "encoding/json"

// Particulars are names and addresses that a report has to have and nothing else needs.
type Particulars struct {
	Name    string `json:"name,omitempty"` // of the employer, or of the person
	Address string `json:"address,omitempty"`
	// Premises is where a team examines.
	Premises string `json:"premises,omitempty"`
	// Qualifications are a person's, with their position.
	Qualifications string `json:"qualifications,omitempty"`
	// SelfEmployed tells that a person has no employer; else both of these are the employer's.
	SelfEmployed    bool   `json:"self_employed,omitempty"`
	Employer        string `json:"employer,omitempty"`
	EmployerAddress string `json:"employer_address,omitempty"`
}

// OfTeam is whose particulars a team's own are.
const OfTeam = "team"

// ParticularsTold gives the particulars of a team, or of a person by id. They outlive the person's place on the list,
// since what they signed does.
type ParticularsTold struct {
	Of string `json:"of"`
	Particulars
}

func (ParticularsTold) Kind() string { return "particulars" }
func (p ParticularsTold) Subject() string {
	if p.Of == OfTeam {
		return OfTeam
	}
	return "person:" + p.Of
}

func (p ParticularsTold) apply(tx *Tx, e Entry) error {
	body, err := json.Marshal(p.Particulars)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO particulars(room, of, body) VALUES(?, ?, ?)
		ON CONFLICT(room, of) DO UPDATE SET body = excluded.body`, e.Room, p.Of, string(body))
}

// Particulars finds those of OfTeam, or of a person; empty where nobody has given them.
func (tx *Tx) Particulars(room, of string) (Particulars, error) {
	p, _, err := one[Particulars](tx, `SELECT body FROM particulars WHERE room = ? AND of = ?`, room, of)
	return p, err
}
