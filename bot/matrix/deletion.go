//go:build goolm

package matrix

import (
	"cmp"
	"context"

	"maunium.net/go/mautrix/event"

	"becket/bot"
	"becket/store"
)

// What has no text of its own gets an id by which nobody is pointed at it: no app could show it.
const (
	tapID      = "tap/"
	deletionID = "deletion/"
)

// deleted makes a message of a deletion: of something said, or of a tap. One that couldn't be read yet never will be.
// Deletions are never encrypted; what they can do to the record is little, and is said.
func (r *service) deleted(ctx context.Context, evt *event.Event) ([]store.Incoming, error) {
	id := evt.Redacts
	if content, ok := evt.Content.Parsed.(*event.RedactionEventContent); ok {
		id = cmp.Or(id, content.Redacts)
	}
	if id == "" {
		return nil, nil
	}
	if err := r.side.ForgetUnread(ctx, id.String()); err != nil {
		return nil, err
	}
	m := bot.Message{ID: deletionID + evt.ID.String(), Room: evt.RoomID.String(), From: evt.Sender.String(), At: sentAt(evt), Deletes: id.String()}
	err := r.DB.View(ctx, func(tx *store.Tx) error {
		_, tap, err := tx.Incoming(tapID + m.Deletes)
		if tap {
			m.Deletes = tapID + m.Deletes
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return r.incoming(ctx, m)
}
