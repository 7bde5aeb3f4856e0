//go:build goolm && homeserver

package matrix

import (
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"maunium.net/go/mautrix/id"
)

// TestWhatTakesLongIsShownAsTyping: while somebody's message is worked on for longer than they would wait without wondering, their app shows
// that Becket is typing; what is answered at once shows nothing.
func TestWhatTakesLongIsShownAsTyping(t *testing.T) {
	s, _ := newScene(t, true)
	s.b.end()
	var slow atomic.Bool
	s.b.clock = func() time.Time {
		if slow.Load() {
			time.Sleep(wondering + time.Second)
		}
		return time.Now()
	}
	s.b.start()
	seen := func() bool {
		s.ana.mu.Lock()
		defer s.ana.mu.Unlock()
		return slices.Contains(s.ana.typing, id.UserID(s.b.user))
	}
	s.ana.says(s.room, "", "due")
	s.ana.hears("K-1")
	if seen() {
		t.Error("it is seen typing what is answered at once")
	}
	slow.Store(true)
	s.ana.says(s.room, "", "due")
	s.ana.eventually("Becket is seen typing", seen)
	slow.Store(false)
	s.ana.hears("K-1")
}
