//go:build goolm && homeserver

package matrix

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/store"
)

// replaces has a room replaced by the homeserver, as apps do, and joins the new one.
func (p *person) replaces(room id.RoomID) id.RoomID {
	p.t.Helper()
	var made struct {
		Room id.RoomID `json:"replacement_room"`
	}
	url := p.cli.BuildClientURL("v3", "rooms", room, "upgrade")
	if _, err := p.cli.MakeRequest(p.t.Context(), http.MethodPost, url, map[string]string{"new_version": "11"}, &made); err != nil {
		p.t.Fatal(err)
	}
	p.eventually("the new room is known to its maker", func() bool {
		on, _ := p.states.IsEncrypted(p.t.Context(), made.Room)
		return on && p.states.IsInRoom(p.t.Context(), made.Room, p.cli.UserID)
	})
	return made.Room
}

func (p *person) invites(room id.RoomID, who string) {
	p.t.Helper()
	if _, err := p.cli.InviteUser(p.t.Context(), room, &mautrix.ReqInviteUser{UserID: id.UserID(who)}); err != nil {
		p.t.Fatal(err)
	}
}

// teams are the rooms that Becket serves.
func (b *becket) teams() (rooms []string) {
	b.t.Helper()
	err := b.db.View(b.t.Context(), func(tx *store.Tx) error {
		all, err := tx.AllTeams()
		for _, t := range all {
			rooms = append(rooms, t.Room)
		}
		return err
	})
	if err != nil {
		b.t.Fatal(err)
	}
	return rooms
}

func TestReplacedRoomIsFollowed(t *testing.T) {
	for name, away := range map[string]bool{"at once": false, "while away": true} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, true)
			s.ana.says(s.room, "", "quarantine K-2 the reel is cracked")
			s.ana.hears("K-2")
			s.ana.says(s.room, "", "inspect K-1")
			s.ana.hears("K-1")
			if away {
				s.b.end()
			}
			next := s.ana.replaces(s.room)
			s.ana.invites(next, s.b.user)
			if away {
				s.b.start()
			}
			s.ana.sees(next, s.b.user)
			if said := s.ana.hears("holds 1, inspections under way 1"); said.room != next || !said.encrypted || said.RelatesTo != nil {
				t.Errorf("said in %s, encrypted %v, in answer to %v", said.room, said.encrypted, said.RelatesTo)
			}
			if said := s.ana.hears("How is the line at its worst spot"); said.room != next || said.MsgType != event.MsgText {
				t.Errorf("asked again in %s as %s", said.room, said.MsgType)
			}
			for _, step := range []struct{ text, then string }{
				{"a", "The cleat and its screws"}, {"clear", "Width of the line"}, {"4.9 5 4.9", "A photo"}, {"", "By the rules: FIT"}, {"sign fit", ": FIT."}, {"can i use K-2", "K-2 is in quarantine"},
			} {
				if step.text == "" {
					s.ana.shows(next, "", "cam.png")
				} else {
					s.ana.says(next, "", step.text)
				}
				if said := s.ana.hears(step.then); said.room != next {
					t.Errorf("%q in %s", said.Body, said.room)
				}
			}
			if got := s.b.teams(); len(got) != 1 || got[0] != next.String() {
				t.Errorf("it serves %v", got)
			}
			if _, told := s.b.toldWith("gone along"); !told {
				t.Error("the operator wasn't told")
			}
			s.b.end()
			s.b.start()
			s.ana.nothing(500 * time.Millisecond)
			s.b.verified()
		})
	}
}

func TestInvitationBeforeTheOldRoomEnds(t *testing.T) {
	s, _ := newScene(t, true)
	made, err := s.ana.cli.CreateRoom(t.Context(), &mautrix.ReqCreateRoom{
		Preset: "private_chat", Invite: []id.UserID{id.UserID(s.b.user)}, InitialState: []*event.Event{encryptionOn()},
		CreationContent: map[string]any{"predecessor": map[string]any{"room_id": s.room, "event_id": "$none"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	s.ana.sees(made.RoomID, s.b.user)
	s.ana.nothing(500 * time.Millisecond) // no register of its own
	if got := s.b.teams(); len(got) != 1 || got[0] != s.room.String() {
		t.Fatalf("it serves %v", got)
	}
	if _, err := s.ana.cli.SendStateEvent(t.Context(), s.room, event.StateTombstone, "", map[string]any{"replacement_room": made.RoomID, "body": "moved"}); err != nil {
		t.Fatal(err)
	}
	if said := s.ana.hears("goes on in this room now"); said.room != made.RoomID {
		t.Errorf("said in %s", said.room)
	}
}

// TestReplacedByWhoMayNot: in a room that lets anybody say it, somebody without power says that it is replaced by his own.
func TestReplacedByWhoMayNot(t *testing.T) {
	s, others := newScene(t, true, "ben")
	ben := others[0]
	var levels event.PowerLevelsEventContent
	if err := s.ana.cli.StateEvent(t.Context(), s.room, event.StatePowerLevels, "", &levels); err != nil {
		t.Fatal(err)
	}
	levels.SetEventLevel(event.StateTombstone, 0)
	if _, err := s.ana.cli.SendStateEvent(t.Context(), s.room, event.StatePowerLevels, "", &levels); err != nil {
		t.Fatal(err)
	}
	trap, err := ben.cli.CreateRoom(t.Context(), &mautrix.ReqCreateRoom{
		Preset: "public_chat", InitialState: []*event.Event{encryptionOn()},
		CreationContent: map[string]any{"predecessor": map[string]any{"room_id": s.room, "event_id": "$none"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ben.cli.SendStateEvent(t.Context(), s.room, event.StateTombstone, "", map[string]any{"replacement_room": trap.RoomID, "body": "moved"}); err != nil {
		t.Fatal(err)
	}
	ben.invites(trap.RoomID, s.b.user)
	s.ana.eventually("the operator is told", func() bool { _, told := s.b.toldWith("hasn't the power"); return told })
	s.ana.eventually("the invitation is declined", func() bool { _, told := s.b.toldWith("isn't allowed to"); return told })
	s.ana.says(s.room, "", "due")
	s.ana.hears("K-1")
	if got := s.b.teams(); len(got) != 1 || got[0] != s.room.String() {
		t.Errorf("it serves %v", got)
	}
	if ben.states.IsInRoom(t.Context(), trap.RoomID, id.UserID(s.b.user)) {
		t.Error("it went there")
	}
	s.b.verified()
}

func TestReplacedByARoomThatDoesntSaySo(t *testing.T) {
	s, _ := newScene(t, true)
	other := s.ana.room(true)
	if _, err := s.ana.cli.SendStateEvent(t.Context(), s.room, event.StateTombstone, "", map[string]any{"replacement_room": other, "body": "moved"}); err != nil {
		t.Fatal(err)
	}
	s.ana.eventually("the operator is told that it isn't invited", func() bool { _, told := s.b.toldWith("can't go on there yet"); return told })
	s.ana.invites(other, s.b.user)
	s.ana.eventually("the operator is told why not", func() bool { _, told := s.b.toldWith("doesn't say of itself"); return told })
	if got := s.b.teams(); len(got) != 1 || got[0] != s.room.String() {
		t.Errorf("it serves %v", got)
	}
}

func TestReplacedByAnOpenRoom(t *testing.T) {
	s, _ := newScene(t, true)
	made, err := s.ana.cli.CreateRoom(t.Context(), &mautrix.ReqCreateRoom{
		Preset: "private_chat", Invite: []id.UserID{id.UserID(s.b.user)},
		CreationContent: map[string]any{"predecessor": map[string]any{"room_id": s.room, "event_id": "$none"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	s.ana.sees(made.RoomID, s.b.user)
	if _, err := s.ana.cli.SendStateEvent(t.Context(), s.room, event.StateTombstone, "", map[string]any{"replacement_room": made.RoomID, "body": "moved"}); err != nil {
		t.Fatal(err)
	}
	s.ana.eventually("the operator is told", func() bool { _, told := s.b.toldWith("turn encryption on"); return told })
	if got := s.b.teams(); len(got) != 1 || !strings.Contains(got[0], s.room.String()) {
		t.Errorf("it serves %v", got)
	}
}
