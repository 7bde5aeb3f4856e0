//go:build goolm

package matrix

import (
	"context"
	"sync"
	"time"

	"maunium.net/go/mautrix/id"
)

// wondering is how long people wait before they wonder whether anybody is at work.
const wondering = 2 * time.Second

// typingFor is how long a room's apps show that we are at work, unless it is said again.
const typingFor = 10 * time.Second

// typing shows in a room that we are at work on what was said there, once that takes longer than people wait without wondering, until it is
// stopped. Whether it is seen is no matter: no answer waits for it.
func (r *service) typing(ctx context.Context, room string) (stop func()) {
	ctx, end := context.WithCancel(ctx)
	var shown sync.WaitGroup
	shown.Go(func() {
		next := time.NewTimer(wondering)
		defer next.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-next.C:
				_, _ = r.cli.UserTyping(ctx, id.RoomID(room), true, typingFor)
				next.Reset(typingFor / 2)
			}
		}
	})
	return func() {
		end()
		shown.Wait()
	}
}
