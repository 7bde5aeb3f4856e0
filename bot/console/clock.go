package console

import (
	"sync"
	"time"
)

// Clock is the time that the conversation goes by: the machine's, or one that stands still until it is put
// forward.
type Clock struct {
	mu    sync.Mutex
	fixed time.Time
	real  func() time.Time
}

// NewClock makes a clock that stands at fixed; a zero fixed lets it run as real does.
func NewClock(fixed time.Time, real func() time.Time) *Clock { return &Clock{fixed: fixed, real: real} }

// Now is the time.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.fixed.IsZero() {
		return c.real()
	}
	return c.fixed
}

// Forward puts the clock to a later time, where it stands. It tells whether it did: never back.
func (c *Clock) Forward(to time.Time) bool {
	if to.Before(c.Now()) {
		return false
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.fixed = to
	return true
}
