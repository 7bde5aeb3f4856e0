package bot

import (
	"context"
	"errors"
	"io"

	"becket/bot/photo/small"
	"becket/store"
)

// SlowPhotos lists the photos whose opening takes a while and of which a small copy is missing, as of all after a backup is restored,
// newest first. Who makes them beside the conversation spares somebody the waiting for a report.
func SlowPhotos(ctx context.Context, db *store.DB) (slow []store.Picture, err error) {
	var all []store.Picture
	err = db.View(ctx, func(tx *store.Tx) error {
		all, err = tx.Pictures()
		return err
	})
	for _, p := range all {
		if small.Opens(p.Type) && db.LacksSmall(p.Hash, small.AsItIs) {
			slow = append(slow, p)
		}
	}
	return slow, err
}

// MakeSmall makes the small copy of a photo, outside every transaction. One that can't be opened has none: the report says so.
func MakeSmall(db *store.DB, p store.Picture) error {
	r, err := db.Blob(p.Hash)
	if err != nil {
		return err
	}
	original, err := io.ReadAll(r)
	if err = errors.Join(err, r.Close()); err != nil {
		return err
	}
	copied, made, err := small.Of(p.Type, original)
	if err != nil || !made {
		return nil
	}
	return db.KeepSmallLater(p.Hash, copied)
}
