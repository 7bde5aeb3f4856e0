package store

import "database/sql"

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

// Picture is a photo that is kept: its hash, and its media type.
type Picture struct{ Hash, Type string }

// Pictures lists the photos of the record in every room, newest first, without those that were deleted.
func (tx *Tx) Pictures() ([]Picture, error) {
	return list(tx, func(row *sql.Rows) (p Picture, err error) { return p, row.Scan(&p.Hash, &p.Type) },
		`SELECT json_extract(CAST(body AS TEXT), '$.hash') AS hash, max(CAST(body AS TEXT) ->> 'type') FROM journal
		 WHERE kind = 'photo' AND hash > '' GROUP BY hash ORDER BY max(seq) DESC`)
}
