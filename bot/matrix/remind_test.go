//go:build goolm && homeserver

package matrix

import (
	"testing"
	"time"
)

func TestWhatFellDueWhileAway(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.inspects(s.room, "K-1", nothingBetween)
	s.b.end()
	s.b.clock = func() time.Time { return time.Now().AddDate(2, 0, 0) }
	s.b.start()
	if said := s.ana.hears("K-1"); !said.encrypted || said.RelatesTo != nil {
		t.Errorf("said of itself: encrypted %v, in answer to %v", said.encrypted, said.RelatesTo)
	}
	s.b.end()
	s.b.start()
	s.ana.nothing(500 * time.Millisecond)
	s.b.verified()
}
