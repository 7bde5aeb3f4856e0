package store

// Priced says what a new item of a model costs, in hundredths of what the team pays in.
type Priced struct {
	Maker      string `json:"maker"`
	Model      string `json:"model"`
	Hundredths int64  `json:"hundredths"`
}

func (Priced) Kind() string      { return "price" }
func (p Priced) Subject() string { return "sheet:" + p.Maker + " " + p.Model }

func (p Priced) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO price(room, maker, model, hundredths) VALUES(?, ?, ?, ?)
		ON CONFLICT(room, maker, model) DO UPDATE SET hundredths = excluded.hundredths`, e.Room, p.Maker, p.Model, p.Hundredths)
}

// Price is what a new item of a model costs, in hundredths; false where nobody said.
func (tx *Tx) Price(room, maker, model string) (hundredths int64, said bool, err error) {
	said, err = tx.get(`SELECT hundredths FROM price WHERE room = ? AND maker = ? AND model = ?`, []any{room, maker, model}, &hundredths)
	return hundredths, said, err
}
