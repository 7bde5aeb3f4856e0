//go:build goolm && homeserver

package matrix

import (
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

func TestBecketEndedBetweenAnswers(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.inspects(s.room, "K-1", func(step int) {
		if step%2 == 1 {
			s.b.end()
			s.b.start()
		}
	})
	s.ana.nothing(300 * time.Millisecond)
	s.b.verified()
}

func TestAnsweredWhileBecketIsAway(t *testing.T) {
	s, _ := newScene(t, true)
	root := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	s.b.end()
	s.ana.says(s.room, root, "a")
	s.ana.says(s.room, root, "clear")
	s.b.start()
	s.ana.hears("The cleat")
	s.ana.hears("Width of the line")
	s.ana.nothing(300 * time.Millisecond)
}

func TestHomeserverRestarted(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.inspects(s.room, "K-1", func(step int) {
		if step == 2 {
			s.hs.stop()
			time.Sleep(700 * time.Millisecond) // longer than the first try again
			s.hs.start()
		}
	})
	s.ana.nothing(300 * time.Millisecond)
	if _, told := s.b.toldWith("can't be reached"); !told {
		t.Errorf("the operator wasn't told: %q", s.b.told)
	}
	if _, told := s.b.toldWith("reached again"); !told {
		t.Errorf("the operator wasn't told that it is back: %q", s.b.told)
	}
	s.b.verified()
}

// TestSaidOnceThoughTheAnswerIsLost loses the homeserver's answer to every send: Becket can't know whether it arrived,
// until it comes back with a sync; and where it doesn't, it is sent again under the same name.
func TestSaidOnceThoughTheAnswerIsLost(t *testing.T) {
	for name, c := range map[string]struct {
		hide  string
		times int
	}{
		"it comes back": {"", 1}, "it never comes back": {`"transaction_id"`, 2},
	} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, true)
			var lost sync.Map
			s.b.proxy.hide(c.hide)
			s.b.proxy.set(nil, func(r *http.Request) bool {
				one, is := sendingOf(r)
				_, again := lost.LoadOrStore(one.txn, true)
				return is && !again
			})
			s.ana.inspects(s.room, "K-1", nothingBetween)
			s.ana.nothing(2 * time.Second)
			times := map[string]int{}
			for _, one := range s.b.proxy.sends() {
				times[one.txn]++
			}
			for txn, n := range times {
				if n != c.times {
					t.Errorf("%s was sent %d times, wanted %d", txn, n, c.times)
				}
			}
			if len(times) != 6 {
				t.Errorf("%d messages were sent, wanted one for each answer", len(times))
			}
		})
	}
}

// TestSaidOnceThoughBecketEndsInDoubt ends Becket after a message has arrived whose answer was lost.
func TestSaidOnceThoughBecketEndsInDoubt(t *testing.T) {
	s, _ := newScene(t, true)
	s.b.proxy.set(nil, func(r *http.Request) bool { _, is := sendingOf(r); return is })
	s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	s.b.end()
	before := len(s.b.proxy.sends())
	s.b.proxy.set(nil, nil)
	s.b.start()
	s.ana.nothing(time.Second)
	if again := s.b.proxy.sends()[before:]; len(again) > 0 {
		t.Errorf("sent again, though it came back with the sync: %v", again)
	}
	s.ana.says(s.room, "", "a")
	s.ana.hears("The cleat")
}

func TestLimitIsObeyed(t *testing.T) {
	for name, answer := range map[string]func(w http.ResponseWriter){
		"in the body": func(w http.ResponseWriter) {
			w.WriteHeader(http.StatusTooManyRequests)
			_, _ = w.Write([]byte(`{"errcode":"M_LIMIT_EXCEEDED","error":"slow","retry_after_ms":1500}`))
		},
		"in the header": func(w http.ResponseWriter) {
			w.Header().Set("Retry-After", "2")
			w.WriteHeader(http.StatusTooManyRequests)
			_, _ = w.Write([]byte(`{"errcode":"M_LIMIT_EXCEEDED","error":"slow","retry_after_ms":-5}`))
		},
	} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, false)
			var limited, then time.Time
			s.b.proxy.set(func(w http.ResponseWriter, r *http.Request) bool {
				if _, is := sendingOf(r); !is {
					return false
				}
				if limited.IsZero() {
					limited = time.Now()
					answer(w)
					return true
				}
				if then.IsZero() {
					then = time.Now()
				}
				return false
			}, nil)
			s.ana.says(s.room, "", "inspect K-1")
			s.ana.says(s.room, "", "a")
			s.ana.hears("K-1")
			s.ana.hears("The cleat")
			if waited := then.Sub(limited); waited < 1500*time.Millisecond || waited > 4*time.Second {
				t.Errorf("it waited %v", waited)
			}
			s.ana.nothing(300 * time.Millisecond)
		})
	}
}

// TestGapIsFilled has more said while Becket is away than the homeserver tells in one answer.
func TestGapIsFilled(t *testing.T) {
	s, _ := newScene(t, false)
	s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	s.b.end()
	s.ana.says(s.room, "", "a")
	for range 260 {
		s.ana.sends(s.room, &event.MessageEventContent{MsgType: event.MsgEmote, Body: "chats"})
	}
	s.ana.says(s.room, "", "clear")
	s.b.start()
	s.ana.hears("The cleat")
	s.ana.hears("Width of the line")
	s.ana.nothing(300 * time.Millisecond)
}

func TestThreadWithinAThread(t *testing.T) {
	s, _ := newScene(t, true)
	first := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	// A thread can't hang from what stands in a thread: its answers follow it in the open room.
	second := s.ana.says(s.room, first, "inspect K-2")
	got := s.ana.hears("K-2")
	if got.RelatesTo.GetThreadParent() != "" || got.RelatesTo.GetReplyTo() != second {
		t.Errorf("the answer hangs from %+v", got.RelatesTo)
	}
}

func TestInvitations(t *testing.T) {
	hs := startHomeserver(t)
	ana, eve := newPerson(t, hs, "ana"), newPerson(t, hs, "eve")
	b := newBecket(t, hs).allow(ana).start()
	bad := eve.room(false, b.user)
	good := ana.room(true, b.user)
	ana.sees(good, b.user)
	ana.hears("keeps the register")
	b.becomesTold(t, "isn't allowed")
	if eve.states.IsInRoom(t.Context(), bad, id.UserID(b.user)) {
		t.Error("it joined where it wasn't allowed to")
	}
	ana.says(good, "", "due")
	ana.hears("Nothing is due")
	eve.nothing(100 * time.Millisecond)
	if in, err := b.client().JoinedRooms(t.Context()); err != nil || !slices.Equal(in.JoinedRooms, []id.RoomID{good}) {
		t.Errorf("it is in %v, wanted %v: %v", in, good, err)
	}
}

// TestAllowedServer lets a whole server in.
func TestAllowedServer(t *testing.T) {
	hs := startHomeserver(t)
	ana := newPerson(t, hs, "ana")
	b := newBecket(t, hs)
	b.config.Allow.Servers = []string{"localhost"}
	b.start()
	ana.sees(ana.room(false, b.user), b.user)
	ana.hears("keeps the register")
}

// TestSaidBeforeBecketCame reads nothing that was said before it was in the room.
func TestSaidBeforeBecketCame(t *testing.T) {
	hs := startHomeserver(t)
	ana := newPerson(t, hs, "ana")
	b := newBecket(t, hs).allow(ana).start()
	room := ana.room(false)
	b.team(room.String(), ana)
	ana.says(room, "", "due")
	ana.says(room, "", "inspect K-1")
	if _, err := ana.cli.InviteUser(t.Context(), room, inviteOf(b)); err != nil {
		t.Fatal(err)
	}
	ana.sees(room, b.user)
	ana.nothing(500 * time.Millisecond)
	ana.says(room, "", "due")
	ana.hears("Due within 30 days")
}

// TestUnknownRoom gets nothing: Becket is in it, and no team is.
func TestUnknownRoom(t *testing.T) {
	s, _ := newScene(t, false)
	eve := newPerson(t, s.hs, "eve")
	// Becket's account was put there by its operator, say.
	room := eve.room(false)
	if _, err := eve.cli.InviteUser(t.Context(), room, inviteOf(s.b)); err != nil {
		t.Fatal(err)
	}
	s.b.becomesTold(t, "isn't allowed")
	eve.says(room, "", "quarantine K-1 it creeps")
	eve.nothing(500 * time.Millisecond)
	for _, one := range s.b.proxy.sends() {
		if strings.Contains(one.room, room.String()) {
			t.Errorf("something was sent there: %v", one)
		}
	}
}
