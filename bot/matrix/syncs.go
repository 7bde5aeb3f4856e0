//go:build goolm

package matrix

import (
	"context"
	"errors"
	"sync"
)

// errHurry ends the wait for something to happen: somebody has to know what has happened already.
var errHurry = errors.New("the homeserver is to be asked at once")

// syncs counts the homeserver's answers, so that the worker can wait for one that was asked for after a certain moment:
// it tells whether a message in doubt arrived.
type syncs struct {
	mu           sync.Mutex
	begun, ended int
	hurry        bool
	stop         context.CancelCauseFunc // of the one under way
}

func newSyncs() *syncs { return &syncs{stop: func(error) {}} }

// begin counts a question to the homeserver. It tells whether the answer is wanted at once; if it comes to be wanted
// later, the context ends with errHurry.
func (s *syncs) begin(ctx context.Context) (context.Context, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stop(nil)
	s.begun++
	quick := s.hurry || s.ended == 0
	s.hurry = false
	ctx, s.stop = context.WithCancelCause(ctx)
	return ctx, quick
}

// end counts the answer to what was last begun, once all of it is received.
func (s *syncs) end() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.ended = s.begun
}

// ask wants a question to be begun at once, and gives its number.
func (s *syncs) ask() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.hurry = true
	s.stop(errHurry)
	return s.begun + 1
}

// answered tells whether a question of this number, or a later one, was answered.
func (s *syncs) answered(number int) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ended >= number
}
