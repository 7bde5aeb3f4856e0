//go:build goolm && homeserver

package matrix

import (
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/event/cmdschema"
)

func TestStatus(t *testing.T) {
	for name, encrypted := range map[string]bool{"plain": false, "encrypted": true} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, encrypted)
			s.ana.says(s.room, "", "due")
			s.ana.hears("K-1")
			s.ana.says(s.room, "", "status")
			said := s.ana.next().Body
			want := []string{"My device is signed", "The homeserver last answered on " + time.Now().UTC().Format("2 January 2006"), "Waiting to be said: 0 here, 0 in all.", "couldn't read: 0", "Set aside because they failed again and again: 0."}
			if encrypted {
				want = append(want, "This room is encrypted.")
			} else {
				want = append(want, "This room isn't encrypted: whoever runs the homeserver can read along.")
			}
			for _, w := range want {
				if !strings.Contains(said, w) {
					t.Errorf("wanted %q in:\n%s", w, said)
				}
			}
		})
	}
}

// commandsIn are the descriptions of commands that a room's apps find.
func (p *person) commandsIn(s scene) map[string]*cmdschema.EventContent {
	p.t.Helper()
	state, err := p.cli.State(p.t.Context(), s.room)
	if err != nil {
		p.t.Fatal(err)
	}
	all := map[string]*cmdschema.EventContent{}
	for key, evt := range state[event.StateMSC4391BotCommand] {
		c, ok := evt.Content.Parsed.(*cmdschema.EventContent)
		if !ok || c.Validate() != nil || c.StateKey(evt.Sender) != key {
			p.t.Errorf("%s isn't a description as MSC4391 has it: %s", key, evt.Content.VeryRaw)
			continue
		}
		all[c.Command] = c
	}
	return all
}

func TestAppsAreToldWhatCanBeTyped(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.eventually("the operator is told that the room doesn't let us", func() bool { _, told := s.b.toldWith("aren't told what can be typed"); return told })
	if all := s.ana.commandsIn(s); len(all) != 0 {
		t.Errorf("%d are there", len(all))
	}
	s.b.end()
	// Now it may.
	var levels event.PowerLevelsEventContent
	if err := s.ana.cli.StateEvent(t.Context(), s.room, event.StatePowerLevels, "", &levels); err != nil {
		t.Fatal(err)
	}
	levels.SetEventLevel(event.StateMSC4391BotCommand, 0)
	if _, err := s.ana.cli.SendStateEvent(t.Context(), s.room, event.StatePowerLevels, "", &levels); err != nil {
		t.Fatal(err)
	}
	s.b.start()
	want := described()
	s.ana.eventually("all commands are there", func() bool { return len(s.ana.commandsIn(s)) == len(want) })
	inspect := s.ana.commandsIn(s)["inspect"]
	if inspect.Description.Text[0].Body != "a thorough inspection, step by step" {
		t.Errorf("it says of inspect: %+v", inspect.Description)
	}
	// And what an app makes of one is understood.
	content, err := inspect.ParseInput("", []string{"/"}, "/inspect K-1")
	if err != nil || content == nil {
		t.Fatalf("an app makes %v of it: %v", content, err)
	}
	s.ana.sends(s.room, content)
	s.ana.hears("K-1, kite line")
	s.b.mu.Lock()
	defer s.b.mu.Unlock()
	if n := strings.Count(strings.Join(s.b.told, "\n"), "what can be typed"); n != 1 {
		t.Errorf("the operator was told %d times: %q", n, s.b.told)
	}
}
