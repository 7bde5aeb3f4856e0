//go:build goolm && homeserver

package matrix

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/store"
)

// scene is a room with Ana in it, who keeps the register, and Becket.
type scene struct {
	hs   *homeserver
	b    *becket
	ana  *person
	room id.RoomID
}

// newScene sets it up. Others are invited and come in as well; the first of them is listed as Ben.
func newScene(t testing.TB, encrypted bool, others ...string) (scene, []*person) {
	t.Helper()
	hs := startHomeserver(t)
	s := scene{hs: hs, ana: newPerson(t, hs, "ana")}
	s.b = newBecket(t, hs).allow(s.ana).start()
	people := []*person{s.ana}
	var ids []string
	for _, name := range others {
		p := newPerson(t, hs, name)
		people, ids = append(people, p), append(ids, p.cli.UserID.String())
	}
	s.room = s.ana.room(encrypted, ids...)
	for _, p := range people[1:] {
		p.join(s.room)
	}
	s.b.team(s.room.String(), people...)
	if _, err := s.ana.cli.InviteUser(t.Context(), s.room, &mautrix.ReqInviteUser{UserID: id.UserID(s.b.user)}); err != nil {
		t.Fatal(err)
	}
	for _, p := range people {
		p.sees(s.room, s.b.user)
	}
	return s, people[1:]
}

// inspects leads one inspection to its end, in its thread, and gives what was heard. Between steps pause is called.
func (p *person) inspects(room id.RoomID, mark string, pause func(step int)) (heard []said1) {
	p.t.Helper()
	root := p.says(room, "", "inspect "+mark)
	first := p.hears("look, on its own because it matters most")
	heard = append(heard, first)
	for n, answer := range []struct{ text, then string }{
		{"a", "The cleat and its screws"},
		{"clear", "Width of the line"},
		{"4.9 5 4.9", "A photo of the spot"},
		{"", "By the rules: FIT"},
		{"sign fit", ": FIT."},
	} {
		pause(n)
		if answer.text == "" {
			p.shows(room, root, "cam.png")
		} else {
			p.says(room, root, answer.text)
		}
		heard = append(heard, p.hears(answer.then))
	}
	for _, s := range heard {
		if s.RelatesTo.GetThreadParent() != root {
			p.t.Errorf("%q stands in the thread %q, not in %q", s.Body, s.RelatesTo.GetThreadParent(), root)
		}
		if s.MsgType != event.MsgText {
			p.t.Errorf("%q is %s", s.Body, s.MsgType)
		}
	}
	return heard
}

func nothingBetween(int) {}

func TestWholeInspection(t *testing.T) {
	for name, encrypted := range map[string]bool{"plain": false, "encrypted": true} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, encrypted)
			for _, said := range s.ana.inspects(s.room, "K-1", nothingBetween) {
				if said.encrypted != encrypted {
					t.Errorf("encrypted is %v: %q", said.encrypted, said.Body)
				}
			}
			if encrypted && slices.ContainsFunc(s.b.proxy.sends(), func(s sending) bool { return s.kind != event.EventEncrypted.Type }) {
				t.Errorf("sent in the open: %v", s.b.proxy.sends())
			}
			s.b.photoKept("cam.png")
			s.ana.nothing(300 * time.Millisecond)
			s.b.verified()
		})
	}
}

// photoKept tests that the record has the photo, byte for byte as it was sent.
func (b *becket) photoKept(name string) {
	b.t.Helper()
	want, err := os.ReadFile("../../testdata/photos/" + name)
	if err != nil {
		b.t.Fatal(err)
	}
	entries, err := os.ReadDir(b.config.Database + "-photos")
	if err != nil || len(entries) != 1 {
		b.t.Fatalf("%d photos are kept, wanted one: %v", len(entries), err)
	}
	got, err := os.ReadFile(b.config.Database + "-photos/" + entries[0].Name())
	if err != nil || string(got) != string(want) {
		b.t.Errorf("the photo kept isn't the one sent: %v", err)
	}
}

func TestTwoPeopleAtOnce(t *testing.T) {
	s, others := newScene(t, true, "ben")
	ben := others[0]
	mine := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	ben.hears("inspect K-1")
	ben.hears("K-1, kite line")
	his := ben.says(s.room, "", "inspect K-2")
	s.ana.hears("inspect K-2")
	s.ana.hears("K-2, kite line")
	ben.hears("K-2, kite line")
	// Ben's word in Ana's thread answers nothing of hers; in no thread it answers his own.
	ben.says(s.room, mine, "d")
	s.ana.hears("d")
	s.ana.hears("K-1 is")
	ben.hears("K-1 is")
	ben.says(s.room, "", "a")
	s.ana.hears("a")
	if got := s.ana.hears("The cleat"); got.RelatesTo.GetThreadParent() != his {
		t.Errorf("Ben's answer outside a thread went to %q", got.RelatesTo.GetThreadParent())
	}
	ben.hears("The cleat")
	// So does Ana's.
	s.ana.says(s.room, "", "a")
	if got := s.ana.hears("The cleat"); got.RelatesTo.GetThreadParent() != mine {
		t.Errorf("Ana's answer outside a thread went to %q", got.RelatesTo.GetThreadParent())
	}
	s.b.verified()
}

func TestReplyToAQuestionAnswersIt(t *testing.T) {
	s, _ := newScene(t, true)
	mine := s.ana.says(s.room, "", "inspect K-1")
	question := s.ana.hears("K-1")
	s.ana.says(s.room, "", "inspect K-2")
	s.ana.hears("K-2")
	// With two open, only the reply tells which is meant.
	s.ana.sends(s.room, &event.MessageEventContent{
		MsgType: event.MsgText, Body: "> <@becket> K-1\n\na", Format: event.FormatHTML,
		FormattedBody: "<mx-reply><blockquote>K-1</blockquote></mx-reply>a",
		RelatesTo:     (&event.RelatesTo{}).SetReplyTo(question.id),
	})
	if got := s.ana.hears("Clear."); got.RelatesTo.GetThreadParent() != mine || !strings.Contains(got.Body, "The cleat") {
		t.Errorf("the reply answered %q in %q", got.Body, got.RelatesTo.GetThreadParent())
	}
}

func TestEditIsANewAnswer(t *testing.T) {
	s, others := newScene(t, true, "ben")
	root := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	answer := s.ana.says(s.room, root, "a")
	s.ana.hears("Clear.")
	// Somebody else's edit of it changes nothing.
	others[0].edits(s.room, answer, "d")
	s.ana.hears("* d")
	if said := s.ana.next(); strings.Contains(said.Body, "cut") {
		t.Errorf("a forged edit was taken: %q", said.Body)
	}
	s.ana.edits(s.room, answer, "b")
	s.ana.hears("frayed")
	answers := 0
	s.b.eachEntry(func(e store.Entry) {
		if e.Kind == (store.Answered{}).Kind() {
			answers++
		}
	})
	if answers != 2 {
		t.Errorf("%d answers are in the record; the first and the edited one are wanted", answers)
	}
	s.b.verified()
}

// eachEntry goes through the record.
func (b *becket) eachEntry(fn func(store.Entry)) {
	b.t.Helper()
	err := b.db.View(context.Background(), func(tx *store.Tx) error {
		last, _, err := tx.Head()
		for seq := int64(1); seq <= last && err == nil; seq++ {
			var e store.Entry
			if e, _, err = tx.Entry(seq); err == nil {
				fn(e)
			}
		}
		return err
	})
	if err != nil {
		b.t.Fatal(err)
	}
}

func TestWhatIsNotSaidToBecket(t *testing.T) {
	s, _ := newScene(t, false)
	s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	s.ana.sends(s.room, &event.MessageEventContent{MsgType: event.MsgNotice, Body: "d"})
	s.ana.sends(s.room, &event.MessageEventContent{MsgType: event.MsgEmote, Body: "d"})
	if err := s.ana.cli.SetDisplayName(t.Context(), "d"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.ana.cli.SendMessageEvent(t.Context(), s.room, event.Type{Type: "m.sticker", Class: event.MessageEventType}, map[string]any{"body": "d"}); err != nil {
		t.Fatal(err)
	}
	s.ana.nothing(500 * time.Millisecond)
	s.ana.says(s.room, "", "a")
	s.ana.hears("Clear.")
}

func TestPhotosThatArentKept(t *testing.T) {
	s, _ := newScene(t, false)
	root := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	for _, answer := range []string{"a", "clear", "4.9 5 4.9"} {
		s.ana.says(s.room, root, answer)
		s.ana.next()
	}
	s.ana.shows(s.room, root, "damaged.png")
	s.ana.hears("is damaged")
	s.ana.sends(s.room, inThread(root, &event.MessageEventContent{MsgType: event.MsgImage, Body: "gone.png", URL: "mxc://localhost/gone"}))
	s.ana.hears("gone.png couldn't be fetched")
	s.ana.sends(s.room, inThread(root, &event.MessageEventContent{
		MsgType: event.MsgImage, Body: "huge.png", URL: "mxc://localhost/huge", Info: &event.FileInfo{Size: 60 << 20},
	}))
	s.ana.hears("huge.png has 60 MB")
	s.ana.sends(s.room, inThread(root, &event.MessageEventContent{MsgType: event.MsgAudio, Body: "talk.ogg", URL: "mxc://localhost/talk"}))
	s.ana.hears("talk.ogg is no photo")
	s.ana.shows(s.room, root, "rope.png")
	s.ana.hears("By the rules")
}
