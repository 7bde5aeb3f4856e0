//go:build goolm

package matrix

import (
	"context"
	"errors"
	"fmt"
	"time"

	"becket/bot"
	"becket/store"
)

// idle is how often the outbox is looked at when nothing wakes us: other commands may have put something there.
const idle = 5 * time.Second

// work takes what was received, in order, and delivers what is answered, until ctx ends. It starts after the first answer
// of the homeserver, which may bring back what was sent before a restart.
func (r *service) work(ctx context.Context) error {
	for !r.syncs.answered(1) {
		select {
		case <-r.woken:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	if err := r.checkRooms(ctx); err != nil {
		return err
	}
	reminded := time.Time{}
	for {
		// First, or what is said already in a room that replaces another would come to nobody.
		if err := r.followAll(ctx); err != nil {
			return err
		}
		if err := r.takeWaiting(ctx); err != nil {
			return err
		}
		if time.Since(reminded) >= r.Every {
			if err := r.DB.Do(ctx, r.Bot.Remind); err != nil {
				return err
			}
			reminded = time.Now()
		}
		again, err := r.deliver(ctx)
		if err != nil {
			return err
		}
		if err := r.remember(ctx); err != nil {
			return err
		}
		signal(r.rested)
		t := time.NewTimer(again)
		select {
		case <-r.woken:
		case <-t.C:
		case <-ctx.Done():
		}
		t.Stop()
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
}

func (r *service) takeWaiting(ctx context.Context) error {
	var waiting []store.Incoming
	err := r.DB.View(ctx, func(tx *store.Tx) (err error) {
		waiting, err = tx.Waiting(transport)
		return err
	})
	if err != nil {
		return err
	}
	for _, in := range waiting {
		if err := r.take(ctx, in); err != nil {
			return err
		}
	}
	return nil
}

// take has one message taken. A failure of the store ends the program; a message that fails by itself is tried again,
// and then set aside.
func (r *service) take(ctx context.Context, in store.Incoming) error {
	defer r.typing(ctx, in.Room)()
	for {
		err := r.DB.Do(ctx, func(tx *store.Tx) error { return r.Bot.TakeStored(tx, in) })
		var problem store.Problem
		if err == nil || errors.As(err, &problem) || ctx.Err() != nil {
			return err
		}
		aside, countErr := r.DB.Failed(ctx, in.ID)
		if countErr != nil {
			return countErr
		}
		if aside {
			r.Tell(fmt.Sprintf(tellAside, in.ID, err))
			return r.DB.Do(ctx, func(tx *store.Tx) error { return bot.SetAside(tx, in) })
		}
	}
}
