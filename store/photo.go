package store

// PhotoDoubted says that somebody was asked whether a picture is of the item in hand, and why: it was sent before, or
// taken before the inspection began. Each picture is asked about once.
type PhotoDoubted struct {
	Inspection string `json:"inspection"`
	Photo      int64  `json:"photo"` // its entry
	Why        string `json:"why"`
}

func (PhotoDoubted) Kind() string             { return "photo doubted" }
func (p PhotoDoubted) Subject() string        { return InspectionSubject(p.Inspection) }
func (p PhotoDoubted) apply(*Tx, Entry) error { return nil }

// PhotoVouched is the answer. A picture that isn't of the item stays in the record, and counts as none.
type PhotoVouched struct {
	Inspection string `json:"inspection"`
	Photo      int64  `json:"photo"`
	Is         bool   `json:"is"`
}

func (PhotoVouched) Kind() string             { return "photo vouched" }
func (p PhotoVouched) Subject() string        { return InspectionSubject(p.Inspection) }
func (p PhotoVouched) apply(*Tx, Entry) error { return nil }

// PhotosLike lists the entries of a picture that came before an entry, oldest first, in every room: the same bytes under
// whatever name.
func (tx *Tx) PhotosLike(hash string, before int64) ([]Entry, error) {
	return tx.entries(`WHERE kind = 'photo' AND json_extract(CAST(body AS TEXT), '$.hash') = ? AND seq < ? ORDER BY seq`, hash, before)
}
