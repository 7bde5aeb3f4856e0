package main

import (
	"context"
	"fmt"
	"io"
	"sync"
	"time"

	"becket/bot"
	"becket/store"
)

// lookAgain is when photos are looked for again that came since and were too large to be opened while their sender waited.
const lookAgain = 2 * time.Minute

// makeSmall makes the small copies of photos that are missing, beside the conversation, until the returned function is called. It
// makes one at a time, and rests as long as that took: whoever writes meanwhile is answered as fast as always.
func makeSmall(ctx context.Context, db *store.DB, errs io.Writer) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	var one sync.WaitGroup
	one.Go(func() {
		tried := map[string]bool{} // one that can't be opened today can't be in two minutes
		for wait := time.Duration(0); rest(ctx, wait); wait = lookAgain {
			missing, err := bot.SlowPhotos(ctx, db)
			if err != nil && ctx.Err() == nil {
				fmt.Fprintln(errs, "becket: small copies of photos are made when a report needs them:", err)
			}
			for _, p := range missing {
				if tried[p.Hash] {
					continue
				}
				tried[p.Hash] = true
				began := time.Now()
				if err := bot.MakeSmall(db, p); err != nil && ctx.Err() == nil {
					fmt.Fprintln(errs, "becket: a photo has no small copy yet:", err)
				}
				if !rest(ctx, time.Since(began)) {
					return
				}
			}
		}
	})
	return func() {
		cancel()
		one.Wait()
	}
}

// rest waits; false: it is to stop.
func rest(ctx context.Context, wait time.Duration) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(wait):
		return true
	}
}
