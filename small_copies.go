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

// makeSmall makes the small copies of photos that are missing, beside the conversation, until all are there or the returned function
// is called. It makes one at a time, and rests as long as that took: whoever writes meanwhile is answered as fast as always.
func makeSmall(ctx context.Context, db *store.DB, errs io.Writer) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	var one sync.WaitGroup
	one.Go(func() {
		missing, err := bot.SlowPhotos(ctx, db)
		if err != nil && ctx.Err() == nil {
			fmt.Fprintln(errs, "becket: small copies of photos are made when a report needs them:", err)
		}
		for _, p := range missing {
			began := time.Now()
			if err := bot.MakeSmall(db, p); err != nil && ctx.Err() == nil {
				fmt.Fprintln(errs, "becket: a photo has no small copy yet:", err)
			}
			select {
			case <-ctx.Done():
				return
			case <-time.After(time.Since(began)):
			}
		}
	})
	return func() {
		cancel()
		one.Wait()
	}
}
