//go:build goolm

package matrix

import (
	"context"
	"time"

	"becket/store"
)

// network is what lies between people and Becket, as they are told of it.
const network = "homeserver"

// conditions keep for each team how its room is, so that the keeper who asks is told. What hasn't changed is said anew once a
// minute, for the time of the homeserver's last answer.
func (r *service) conditions(ctx context.Context) error {
	var teams []store.Team
	err := r.DB.View(ctx, func(tx *store.Tx) (err error) {
		teams, err = tx.AllTeams()
		return err
	})
	if err != nil {
		return err
	}
	unread, err := r.side.Unread(ctx)
	if err != nil {
		return err
	}
	count := map[string]int{}
	for _, u := range unread {
		count[u.Room]++
	}
	for _, team := range teams {
		_, encrypted, err := r.side.Room(ctx, team.Room)
		if err != nil {
			return err
		}
		now := store.Condition{Network: network, Heard: time.Now().Truncate(time.Minute), Encrypted: encrypted, Signed: r.signed, Unread: count[team.Room]}
		if r.said[team.Room] == now {
			continue
		}
		if err := r.DB.SetCondition(ctx, team.Room, now); err != nil {
			return err
		}
		r.said[team.Room] = now
	}
	return nil
}
