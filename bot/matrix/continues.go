//go:build goolm

package matrix

import (
	"context"
	"encoding/hex"
	"fmt"

	"becket/store"
)

// continues refuses a copy, and a record that isn't the one last spoken from here, or grown out of it: somebody has put
// an older one in its place, and nobody would be asked what happened since.
func (r *service) continues(ctx context.Context) error {
	seq, hash, err := r.side.Record(ctx)
	if err != nil {
		return err
	}
	file := r.Config.Database
	return r.DB.View(ctx, func(tx *store.Tx) error {
		made, is, err := tx.CopyMade()
		switch {
		case err != nil:
			return err
		case is:
			return fmt.Errorf(tellIsCopy, file, clock(made))
		case seq == 0:
			return nil
		}
		e, found, err := tx.Entry(seq)
		if err == nil && (!found || hex.EncodeToString(e.Hash[:]) != hash) {
			return fmt.Errorf(tellOlder, file, seq, deviceFile(r.Config))
		}
		return err
	})
}

// remember notes how far the record has come that is spoken from here.
func (r *service) remember(ctx context.Context) error {
	var end int64
	var hash string
	err := r.DB.View(ctx, func(tx *store.Tx) error {
		seq, last, err := tx.Head()
		end, hash = seq, hex.EncodeToString(last[:])
		return err
	})
	if err != nil || end == r.noted {
		return err
	}
	if err := r.side.KeepRecord(ctx, end, hash); err != nil {
		return err
	}
	r.noted = end
	return nil
}
