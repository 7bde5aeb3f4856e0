//go:build goolm && homeserver

package matrix

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/store"
)

func (p *person) sawReaction(_ context.Context, evt *event.Event) {
	content, ok := evt.Content.Parsed.(*event.ReactionEventContent)
	if !ok || evt.Sender == p.cli.UserID {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.signs[content.RelatesTo.EventID] = append(p.signs[content.RelatesTo.EventID], content.RelatesTo.Key)
}

func (p *person) signsUnder(question id.EventID) []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.signs[question])
}

// seesSigns waits for the signs under a question, and tests that they are these.
func (p *person) seesSigns(question id.EventID, want ...string) {
	p.t.Helper()
	p.eventually("these stand there: "+strings.Join(want, ", "), func() bool { return len(p.signsUnder(question)) >= len(want) })
	if got := p.signsUnder(question); !slices.Equal(got, want) {
		p.t.Errorf("signs are %q, wanted %q", got, want)
	}
}

// taps reacts to a message, as apps do: never encrypted.
func (p *person) taps(room id.RoomID, question id.EventID, sign string) id.EventID {
	p.t.Helper()
	resp, err := p.cli.SendReaction(context.Background(), room, question, sign)
	if err != nil {
		p.t.Fatal(err)
	}
	return resp.EventID
}

// answers counts the answers in the record.
func (b *becket) answers() (n int) {
	b.t.Helper()
	b.eachEntry(func(e store.Entry) {
		if e.Kind == (store.Answered{}).Kind() {
			n++
		}
	})
	return n
}

func TestTapAnswersTheQuestion(t *testing.T) {
	s, others := newScene(t, false, "ben")
	ben := others[0]
	s.ana.says(s.room, "", "inspect K-1")
	question := s.ana.hears("K-1, kite line")
	s.ana.seesSigns(question.id, "a", "b", "c", "d", "can't tell")
	// What Becket didn't put there, and somebody else's tap, answer nothing.
	s.ana.taps(s.room, question.id, "👍")
	s.ana.taps(s.room, question.id, "clear")
	s.ana.nothing(300 * time.Millisecond)
	ben.taps(s.room, question.id, "a")
	s.ana.hears("only their answers count")
	if n := s.b.answers(); n != 0 {
		t.Errorf("%d answers are in the record", n)
	}
	tap := s.ana.taps(s.room, question.id, "a\ufe0f") // as an app may write it
	next := s.ana.hears("The cleat")
	s.ana.seesSigns(next.id, "a", "clear", "can't tell")
	// Taken away, it changes nothing; again, on the question before, it answers nothing.
	if _, err := s.ana.cli.RedactEvent(t.Context(), s.room, tap); err != nil {
		t.Fatal(err)
	}
	s.ana.hears("The answer itself stays")
	s.ana.taps(s.room, question.id, "b")
	s.ana.hears("the tap did nothing")
	if n := s.b.answers(); n != 1 {
		t.Errorf("%d answers are in the record", n)
	}
	s.ana.taps(s.room, next.id, "clear")
	reading := s.ana.hears("Width of the line")
	s.ana.nothing(300 * time.Millisecond)
	if got := s.ana.signsUnder(reading.id); len(got) > 0 {
		t.Errorf("a reading has signs: %q", got)
	}
	s.b.verified()
}

func TestSignsInAnEncryptedRoom(t *testing.T) {
	for setting, want := range map[string]int{"": 0, "no": 0, "yes": 5} {
		t.Run("reactions: "+setting, func(t *testing.T) {
			s, _ := newScene(t, true)
			s.b.end()
			s.b.config.Reactions = setting
			s.b.start()
			s.ana.says(s.room, "", "inspect K-1")
			question := s.ana.hears("K-1")
			if want > 0 {
				s.ana.seesSigns(question.id, "a", "b", "c", "d", "can't tell")
				s.ana.taps(s.room, question.id, "a")
				s.ana.hears("The cleat")
				return
			}
			// Whoever runs the homeserver could make this up.
			s.ana.taps(s.room, question.id, "a")
			s.ana.nothing(500 * time.Millisecond)
			if got := s.ana.signsUnder(question.id); len(got) > 0 || s.b.answers() > 0 {
				t.Errorf("signs are %q; %d answers", got, s.b.answers())
			}
		})
	}
}

// TestTextComesBeforeSigns has the homeserver refuse or limit every reaction: nobody waits for it, and the words can be typed.
func TestTextComesBeforeSigns(t *testing.T) {
	for name, status := range map[string]int{"limited": http.StatusTooManyRequests, "forbidden": http.StatusForbidden, "failing": http.StatusInternalServerError} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, false)
			s.b.proxy.set(func(w http.ResponseWriter, r *http.Request) bool {
				one, is := sendingOf(r)
				if !is || one.kind != event.EventReaction.Type {
					return false
				}
				w.WriteHeader(status)
				_, _ = w.Write([]byte(`{"errcode":"M_LIMIT_EXCEEDED","error":"no","retry_after_ms":300}`))
				return true
			}, nil)
			s.ana.inspects(s.room, "K-1", nothingBetween)
			s.ana.nothing(200 * time.Millisecond)
		})
	}
}

// TestTapsAcrossARestart: a tap made while Becket is away is taken when it is back.
func TestTapsAcrossARestart(t *testing.T) {
	s, _ := newScene(t, false)
	s.ana.says(s.room, "", "inspect K-1")
	question := s.ana.hears("K-1")
	s.ana.seesSigns(question.id, "a", "b", "c", "d", "can't tell")
	s.b.end()
	s.ana.taps(s.room, question.id, "a")
	s.b.start()
	s.ana.hears("The cleat")
}

// TestTapIsNoMessageOfItsOwn: a reaction that is no annotation, or of no event, is nothing.
func TestTapIsNoMessageOfItsOwn(t *testing.T) {
	s, _ := newScene(t, false)
	s.ana.says(s.room, "", "inspect K-1")
	question := s.ana.hears("K-1")
	s.ana.seesSigns(question.id, "a", "b", "c", "d", "can't tell")
	for _, relation := range []map[string]any{
		nil, {}, {"rel_type": "m.reference", "event_id": question.id, "key": "a"}, {"rel_type": "m.annotation", "event_id": "$none", "key": "a"},
		{"rel_type": "m.annotation", "event_id": question.id}, {"rel_type": "m.annotation", "event_id": question.id, "key": strings.Repeat("a", 5000)},
	} {
		content := map[string]any{"m.relates_to": relation, "body": "a"}
		_, _ = s.ana.cli.SendMessageEvent(t.Context(), s.room, event.EventReaction, content, mautrix.ReqSendEvent{}) // some the homeserver refuses
	}
	s.ana.nothing(500 * time.Millisecond)
	if n := s.b.answers(); n != 0 {
		t.Errorf("%d answers are in the record", n)
	}
}
