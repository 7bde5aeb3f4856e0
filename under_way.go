package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"
)

// takesLong tells whether a command reads or writes a whole record, which takes a while in a large store. The evidence pack says itself
// how far it has come.
func takesLong(command string) bool {
	name, _, _ := strings.Cut(command, " ")
	return slices.Contains([]string{"import", "export", "verify", "backup", "restore"}, name)
}

// underWay says every so often that a command is still at work, until it is stopped.
func underWay(out io.Writer, every time.Duration) (stop func()) {
	began, done, ended := time.Now(), make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		tick := time.NewTicker(every)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-tick.C:
				fmt.Fprintf(out, "Still at work, %.0f seconds so far.\n", time.Since(began).Seconds())
			}
		}
	}()
	return func() {
		close(done)
		<-ended
	}
}

// inTurn lets several write whole lines, one at a time.
type inTurn struct {
	lock sync.Mutex
	out  io.Writer
}

func (w *inTurn) Write(p []byte) (int, error) {
	w.lock.Lock()
	defer w.lock.Unlock()
	return w.out.Write(p)
}
