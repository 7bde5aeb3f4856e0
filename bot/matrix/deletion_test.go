//go:build goolm && homeserver

package matrix

import (
	"context"
	"os"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix/id"

	"becket/store"
)

// deletes redacts a message, as apps do: never encrypted.
func (p *person) deletes(room id.RoomID, message id.EventID) {
	p.t.Helper()
	if _, err := p.cli.RedactEvent(context.Background(), room, message); err != nil {
		p.t.Fatal(err)
	}
}

// recorded tells whether words stand anywhere in the record.
func (b *becket) recorded(words string) (found bool) {
	b.t.Helper()
	b.eachEntry(func(e store.Entry) { found = found || strings.Contains(string(e.Body), words) })
	return found
}

// photos counts the files of photos.
func (b *becket) photos() int {
	entries, _ := os.ReadDir(b.config.Database + "-photos")
	return len(entries)
}

func TestDeletedMessage(t *testing.T) {
	for name, encrypted := range map[string]bool{"plain": false, "encrypted": true} {
		t.Run(name, func(t *testing.T) {
			s, others := newScene(t, encrypted, "ben")
			root := s.ana.says(s.room, "", "inspect K-1")
			s.ana.hears("K-1")
			note := s.ana.says(s.room, root, "note Wilhelmina flew it last")
			s.ana.hears("Noted.")
			photo := s.ana.shows(s.room, root, "cam.png")
			s.ana.hears("Photo kept.")
			answer := s.ana.says(s.room, root, "d")
			s.ana.hears("held from now")
			if !s.b.recorded("Wilhelmina") || s.b.photos() != 1 {
				t.Fatal("there is nothing to delete")
			}
			for message, want := range map[id.EventID]string{note: "gone here too", photo: "gone here too", answer: "K-1 stays out of use"} {
				s.ana.deletes(s.room, message)
				if got := s.ana.hears(want); got.RelatesTo.GetThreadParent() != root {
					t.Errorf("%q stands in %q", got.Body, got.RelatesTo.GetThreadParent())
				}
			}
			if s.b.recorded("Wilhelmina") {
				t.Error("the words are still in the record")
			}
			s.ana.eventually("the photo is gone", func() bool { return s.b.photos() == 0 })
			// What people say among themselves, and what Becket said, can be deleted by whoever may.
			chat := others[0].says(s.room, "", "lovely morning")
			s.ana.hears("lovely")
			s.ana.hears("I don't know what to do")
			others[0].deletes(s.room, chat)
			s.ana.nothing(400 * time.Millisecond)
			s.b.verified()
		})
	}
}

// TestDeletedBySomebodyElse: who has the power to delete another's message in the room has none over the record.
func TestDeletedBySomebodyElse(t *testing.T) {
	s, others := newScene(t, false, "ben")
	report := others[0].says(s.room, "", "quarantine K-1 it creeps")
	s.ana.hears("quarantine K-1")
	s.ana.hears("K-1 is in quarantine")
	s.ana.deletes(s.room, report) // Ana made the room
	s.ana.hears("Only its sender can")
	if !s.b.recorded("it creeps") {
		t.Error("it is gone from the record")
	}
	s.b.verified()
}

// TestDeletedWhileBecketIsAway: what is deleted before Becket sees it was never said; what it had seen is blanked when it is
// back.
func TestDeletedWhileBecketIsAway(t *testing.T) {
	s, _ := newScene(t, true)
	root := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	note := s.ana.says(s.room, root, "note Wilhelmina flew it last")
	s.ana.hears("Noted.")
	s.b.end()
	s.ana.deletes(s.room, note)
	unseen := s.ana.says(s.room, root, "a")
	s.ana.deletes(s.room, unseen)
	s.b.start()
	s.ana.hears("gone here too")
	s.ana.nothing(300 * time.Millisecond)
	if s.b.recorded("Wilhelmina") || s.b.answers() != 0 {
		t.Errorf("%d answers are in the record", s.b.answers())
	}
	s.b.verified()
}

// TestDeletedBeforeItCouldBeRead: its key comes after all, and the message isn't taken.
func TestDeletedBeforeItCouldBeRead(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	give := s.ana.withoutKey(s, "a")
	s.ana.hears("I can't read a message of yours")
	if err := s.ana.mach.CryptoStore.RemoveOutboundGroupSession(t.Context(), s.room); err != nil {
		t.Fatal(err)
	}
	resp, err := s.ana.cli.Messages(t.Context(), s.room, "", "", 'b', nil, 10)
	if err != nil {
		t.Fatal(err)
	}
	for _, evt := range resp.Chunk {
		if evt.Sender == s.ana.cli.UserID && evt.Type.Type == "m.room.encrypted" {
			s.ana.deletes(s.room, evt.ID)
			break
		}
	}
	time.Sleep(500 * time.Millisecond) // Becket has heard of it
	give()
	s.ana.nothing(time.Second)
	if n := s.b.answers(); n != 0 {
		t.Errorf("%d answers are in the record", n)
	}
}
