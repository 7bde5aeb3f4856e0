//go:build goolm && homeserver

package matrix

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/bot"
	"becket/store"
)

// attack is something hostile, and all that it does.
type attack struct {
	name string
	do   func(t *testing.T, h *hostility)
	// says is what Becket answers to Ana's room, in order; nothing where it is empty.
	says []string
	// adds are the kinds of entries that it adds to the record.
	adds []string
}

// hostility is a room where Ana inspects K-1, Ben is listed, and Eve was invited by somebody and isn't.
type hostility struct {
	scene
	ben, eve *person
	root     id.EventID // of Ana's inspection
	question id.EventID
	answer   id.EventID // Ana's first
}

// raw sends whatever content it is given.
func (p *person) raw(room id.RoomID, kind string, content any) (id.EventID, error) {
	resp, err := p.cli.SendMessageEvent(context.Background(), room, event.Type{Type: kind, Class: event.MessageEventType}, content, mautrix.ReqSendEvent{DontEncrypt: true})
	if err != nil {
		return "", err
	}
	return resp.EventID, nil
}

func text(body string, more map[string]any) map[string]any {
	content := map[string]any{"msgtype": "m.text", "body": body}
	for k, v := range more {
		content[k] = v
	}
	return content
}

func relates(kind string, to id.EventID) map[string]any {
	return map[string]any{"m.relates_to": map[string]any{"rel_type": kind, "event_id": to}}
}

// attacks are done one after the other in one room.
func attacks() []attack {
	must := func(t *testing.T, _ id.EventID, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	sends := func(by func(h *hostility) *person, content func(h *hostility) map[string]any) func(*testing.T, *hostility) {
		return func(t *testing.T, h *hostility) {
			t.Helper()
			got, err := by(h).raw(h.room, "m.room.message", content(h))
			must(t, got, err)
		}
	}
	ana, ben, eve := func(h *hostility) *person { return h.ana }, func(h *hostility) *person { return h.ben }, func(h *hostility) *person { return h.eve }
	return []attack{
		{name: "an outsider answers", says: []string{"only their answers count"},
			do: sends(eve, func(h *hostility) map[string]any { return text("d", relates("m.thread", h.root)) })},
		{name: "an outsider inspects", says: []string{"isn't in this team's list"},
			do: sends(eve, func(*hostility) map[string]any { return text("inspect K-2", nil) })},
		{name: "an outsider reports", says: []string{"this hold is provisional"}, adds: []string{"hold"},
			do: sends(eve, func(*hostility) map[string]any { return text("quarantine K-2 it is frayed", nil) })},
		{name: "an outsider signs", says: []string{"isn't in this team's list"},
			do: sends(eve, func(h *hostility) map[string]any { return text("sign fit", relates("m.thread", h.root)) })},
		{name: "an outsider releases", says: []string{"isn't in this team's list"},
			do: sends(eve, func(*hostility) map[string]any { return text("release K-2 cleaned and locks every time", nil) })},
		{name: "somebody else's thread", says: []string{"only their answers count"},
			do: sends(ben, func(h *hostility) map[string]any { return text("d", relates("m.thread", h.root)) })},
		{name: "somebody else's question", says: []string{"only their answers count"},
			do: func(_ *testing.T, h *hostility) { h.ben.taps(h.room, h.question, "clear") }},
		{name: "an edit of another's answer", says: []string{"no answer that can still be changed"},
			do: sends(ben, func(h *hostility) map[string]any {
				more := relates("m.replace", h.answer)
				more["m.new_content"] = text("d", nil)
				return text("* d", more)
			})},
		{name: "an edit that says nothing new",
			do: sends(ana, func(h *hostility) map[string]any { return text("* d", relates("m.replace", h.answer)) })},
		{name: "an edit of Becket's question", says: []string{"no answer that can still be changed"},
			do: sends(ana, func(h *hostility) map[string]any {
				more := relates("m.replace", h.question)
				more["m.new_content"] = text("clear", nil)
				return text("* clear", more)
			})},
		{name: "a sign of her own under the question", do: func(_ *testing.T, h *hostility) {
			for _, sign := range []string{"👍", "✅", "ok", "b", "Clear", "clear ", "clear\u200b"} {
				h.ana.taps(h.room, h.question, sign)
			}
		}},
		{name: "a tap under another's message", do: func(_ *testing.T, h *hostility) { h.ana.taps(h.room, h.answer, "a") }},
		{name: "what is no text", do: func(t *testing.T, h *hostility) {
			t.Helper()
			for _, content := range []map[string]any{
				{"msgtype": "m.notice", "body": "clear"}, {"msgtype": "m.emote", "body": "clear"}, {"msgtype": "m.text", "body": 5},
				{"body": "clear"}, {"msgtype": "org.example.new", "body": "clear"}, {"msgtype": "m.text", "body": []string{"clear"}},
				{"msgtype": "m.location", "body": "clear", "geo_uri": "geo:0,0"}, {"msgtype": "m.text", "m.relates_to": 7, "body": 7},
			} {
				_, _ = h.ana.raw(h.room, "m.room.message", content) // some the homeserver refuses
			}
			_, _ = h.ana.raw(h.room, "org.matrix.msc3381.poll.response", text("clear", nil))
			_, _ = h.ana.raw(h.room, "m.sticker", text("clear", nil))
		}},
		{name: "a text without words", says: []string{"That says nothing about it"},
			do: sends(ana, func(h *hostility) map[string]any {
				return map[string]any{"msgtype": "m.text", "m.relates_to": relates("m.thread", h.root)["m.relates_to"]}
			})},
		{name: "words that only look like clear", says: []string{"is none of the letters", "is none of the letters", "doesn't say what you saw"},
			do: func(t *testing.T, h *hostility) {
				t.Helper()
				for _, body := range []string{"c\u043bear", "clear\u202egnihton", "👍\ufe0f"} {
					got, err := h.ana.raw(h.room, "m.room.message", text(body, relates("m.thread", h.root)))
					must(t, got, err)
				}
			}},
		{name: "a giant message", says: []string{"more than the 4000 I can take"},
			do: sends(ana, func(h *hostility) map[string]any {
				return text(strings.Repeat("clear ", 9000), relates("m.thread", h.root))
			})},
		{name: "a message larger than there can be", do: func(t *testing.T, h *hostility) {
			t.Helper()
			if _, err := h.ana.raw(h.room, "m.room.message", text(strings.Repeat("x", 70_000), nil)); err == nil {
				t.Error("the homeserver took it")
			}
		}},
		{name: "HTML and a call to everybody", says: []string{"Noted."}, adds: []string{"note"},
			do: sends(ana, func(h *hostility) map[string]any {
				more := relates("m.thread", h.root)
				more["format"], more["formatted_body"] = "org.matrix.custom.html", "note clear"
				return text("note <img src=x onerror=alert(1)> @room "+h.ben.cli.UserID.String()+" </strong>", more)
			})},
		{name: "HTML in what isn't understood", says: []string{"<b>K-1</b> @room"},
			do: sends(ben, func(*hostility) map[string]any { return text("<b>K-1</b> @room", nil) })},
		{name: "HTML in a report", says: []string{"K-2 is in quarantine", "; <em>@room</em> & \"so\""}, adds: []string{"hold"},
			do: func(t *testing.T, h *hostility) {
				t.Helper()
				for _, body := range []string{`quarantine K-2 <em>@room</em> & "so"`, "can I use K-2"} {
					got, err := h.ben.raw(h.room, "m.room.message", text(body, nil))
					must(t, got, err)
				}
			}},
		{name: "a program that calls itself a photo", says: []string{"is no photo that I know"}, do: func(t *testing.T, h *hostility) {
			t.Helper()
			up, err := h.ana.cli.UploadBytes(t.Context(), []byte("MZ\x90\x00 this program can't be run in DOS mode"), "image/png")
			if err != nil {
				t.Fatal(err)
			}
			got, err := h.ana.raw(h.room, "m.room.message", map[string]any{
				"msgtype": "m.image", "body": "../../../etc/cron.d/photo.png", "url": up.ContentURI.String(), "m.relates_to": relates("m.thread", h.root)["m.relates_to"],
			})
			must(t, got, err)
		}},
		{name: "a photo from nowhere", says: []string{"couldn't be fetched"}, do: sends(ana, func(h *hostility) map[string]any {
			return map[string]any{"msgtype": "m.image", "body": "x.png", "url": "http://127.0.0.1:1/x.png", "m.relates_to": relates("m.thread", h.root)["m.relates_to"]}
		})},
		{name: "Becket's own voice", do: func(t *testing.T, h *hostility) {
			t.Helper()
			_, err := h.b.client().SendMessageEvent(t.Context(), h.room, event.EventMessage, text("quarantine K-1 it creeps", nil), mautrix.ReqSendEvent{DontEncrypt: true})
			if err != nil {
				t.Fatal(err)
			}
			h.ana.hears("quarantine K-1 it creeps") // its own words, and no answer to them
		}},
		{name: "a name that is a command", do: func(t *testing.T, h *hostility) {
			t.Helper()
			if err := h.ben.cli.SetDisplayName(t.Context(), "quarantine K-1 it creeps"); err != nil {
				t.Fatal(err)
			}
		}},
		{name: "a deletion of another's words", says: []string{"Only its sender can"}, do: func(_ *testing.T, h *hostility) { h.ana.deletes(h.room, h.evesReport()) }},
	}
}

// evesReport is the message with which Eve held K-2.
func (h *hostility) evesReport() (found id.EventID) {
	h.b.eachEntry(func(e store.Entry) {
		if e.By == h.eve.cli.UserID.String() && e.Kind == "hold" {
			found = id.EventID(e.Cause)
		}
	})
	return found
}

// entries are the kinds of all entries, in order.
func (b *becket) entries() (kinds []string) {
	b.t.Helper()
	b.eachEntry(func(e store.Entry) { kinds = append(kinds, e.Kind) })
	return kinds
}

// TestHostility does everything that somebody hostile in the room could, and finds that each does what the table says and
// nothing more.
func TestHostility(t *testing.T) {
	s, others := newScene(t, false, "ben")
	h := &hostility{scene: s, ben: others[0], eve: newPerson(t, s.hs, "eve")}
	if _, err := s.ana.cli.InviteUser(t.Context(), s.room, &mautrix.ReqInviteUser{UserID: h.eve.cli.UserID}); err != nil {
		t.Fatal(err)
	}
	h.eve.join(s.room)
	h.root = s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	h.answer = s.ana.says(s.room, h.root, "a")
	h.question = s.ana.hears("The cleat").id
	s.ana.seesSigns(h.question, "a", "clear", "can't tell")
	for _, a := range attacks() {
		t.Run(a.name, func(t *testing.T) {
			before := s.b.entries()
			a.do(t, h)
			heard := h.saidByBecket(t, len(a.says))
			for n, want := range a.says {
				if n >= len(heard) || !strings.Contains(heard[n].Body, want) {
					t.Errorf("answer %d should say %q; said was %q", n+1, want, bodies(heard))
				}
			}
			if len(heard) > len(a.says) {
				t.Errorf("it said more than it should: %q", bodies(heard))
			}
			if added := s.b.entries()[len(before):]; strings.Join(added, ", ") != strings.Join(a.adds, ", ") {
				t.Errorf("added were %q, wanted %q", added, a.adds)
			}
		})
	}
	// Her words come back in a question that is formatted.
	second := s.ana.says(s.room, "", "inspect K-2")
	s.ana.says(s.room, second, "a")
	if heard := h.saidByBecket(t, 2); len(heard) != 2 || !strings.Contains(heard[1].Body, "<em>@room") || heard[1].FormattedBody == "" {
		t.Errorf("said was %q", bodies(heard))
	}
	h.nothingRings(t)
	s.b.verified()
	// Ana goes on as if nothing had been.
	s.ana.says(s.room, h.root, "clear")
	if heard := h.saidByBecket(t, 1); len(heard) != 1 || !strings.Contains(heard[0].Body, "Width of the line") {
		t.Errorf("said was %q", bodies(heard))
	}
}

// saidByBecket waits for so many messages of Becket's in Ana's room, and a little longer for one too many.
func (h *hostility) saidByBecket(t *testing.T, want int) (heard []said1) {
	t.Helper()
	wait := 400 * time.Millisecond
	for end := time.Now().Add(wait); ; time.Sleep(5 * time.Millisecond) {
		h.ana.mu.Lock()
		for ; h.ana.read < len(h.ana.said); h.ana.read++ {
			if s := h.ana.said[h.ana.read]; s.from == id.UserID(h.b.user) && s.room == h.room {
				heard = append(heard, s)
			}
		}
		h.ana.mu.Unlock()
		if len(heard) < want && time.Now().Before(end.Add(patience)) {
			continue
		}
		if time.Now().After(end) {
			return heard
		}
	}
}

func bodies(heard []said1) (all []string) {
	for _, s := range heard {
		all = append(all, s.Body)
	}
	return all
}

// nothingRings tests all that Becket ever said: no HTML but its own, and nobody is called by it.
func (h *hostility) nothingRings(t *testing.T) {
	t.Helper()
	h.ana.mu.Lock()
	defer h.ana.mu.Unlock()
	for _, s := range h.ana.said {
		if s.from != id.UserID(h.b.user) || s.Mentions == nil && s.MsgType == event.MsgText && s.Body == "quarantine K-1 it creeps" {
			continue
		}
		if s.Mentions == nil || s.Mentions.Room || len(s.Mentions.UserIDs) > 0 {
			t.Errorf("it calls somebody: %q, %+v", s.Body, s.Mentions)
		}
		if !onlyEmphasis(s.MessageEventContent) {
			t.Errorf("formatted is %q, the body %q", s.FormattedBody, s.Body)
		}
	}
}

// TestEventsThatComeAgain has the homeserver tell everything a second time.
func TestEventsThatComeAgain(t *testing.T) {
	s, _ := newScene(t, true)
	position := func() (p string) {
		p, err := s.b.db.Position(t.Context(), transport)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	start := position()
	root := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	note := s.ana.says(s.room, root, "note Wilhelmina flew it last")
	s.ana.hears("Noted.")
	s.ana.deletes(s.room, note)
	s.ana.hears("gone here too")
	s.ana.says(s.room, root, "a")
	s.ana.hears("The cleat")
	before := s.b.entries()
	if _, err := s.b.db.Receive(t.Context(), transport, nil, start); err != nil {
		t.Fatal(err)
	}
	s.b.end()
	s.b.start()
	s.ana.nothing(time.Second)
	if after := s.b.entries(); len(after) != len(before) || s.b.recorded("Wilhelmina") {
		t.Errorf("the record is %v, was %v", after, before)
	}
	s.b.verified()
}

// TestFlood has a program talk without end: it is told once, and then nobody has to read more of it.
func TestFlood(t *testing.T) {
	s, others := newScene(t, false, "ben")
	s.b.end()
	s.b.bot = bot.New(bot.Options{Flows: s.b.flows(), HushAfter: 20})
	s.b.start()
	for n := range 60 {
		others[0].says(s.room, "", fmt.Sprint("beep ", n))
	}
	h := &hostility{scene: s}
	heard := h.saidByBecket(t, 21)
	if len(heard) != 21 || !strings.Contains(heard[20].Body, "stop answering") {
		t.Errorf("%d answers, the last: %q", len(heard), bodies(heard[max(0, len(heard)-2):]))
	}
	others[0].says(s.room, "", "quarantine K-1 it creeps")
	if heard := h.saidByBecket(t, 1); len(heard) != 1 || !strings.Contains(heard[0].Body, "K-1 is in quarantine") {
		t.Errorf("a report wasn't answered: %q", bodies(heard))
	}
}
