package bot

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"becket/prompts"
	"becket/store"
)

// TestStatusSaysWhatIsWrong: what waits, what was set aside, a room that anybody between can read, a device that isn't signed.
func TestStatusSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	c := talk(t)
	at := time.Date(2026, 11, 14, 9, 58, 0, 0, time.UTC)
	if err := c.db.SetCondition(c.Context(), c.room, store.Condition{Network: "homeserver", Heard: at, Unread: 3}); err != nil {
		t.Fatal(err)
	}
	for n, room := range []string{c.room, "!elsewhere", c.room} {
		m := Message{ID: "$aside" + string(rune('a'+n)), Room: room, From: "@dee", Text: "the words of " + room, At: at}
		body, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.db.Receive(c.Context(), "test", []store.Incoming{{ID: m.ID, Room: room, Body: body}}, ""); err != nil {
			t.Fatal(err)
		}
		for range 5 {
			if _, err := c.db.Failed(c.Context(), m.ID); err != nil {
				t.Fatal(err)
			}
		}
	}
	said := func() string {
		h := c.try(Message{From: "@ana", Text: "status"})
		return h.text()
	}
	if err := c.db.Do(c.Context(), func(tx *store.Tx) error { return tx.Say("w", "", "!elsewhere", []byte(`{"id":"w"}`)) }); err != nil {
		t.Fatal(err)
	}
	got := said()
	for _, want := range []string{
		"isn't encrypted: whoever runs the homeserver", "isn't signed", "last answered on 14 November 2026 09:58", "couldn't read: 3",
		"Waiting to be said: 0 here, 1 in all", "again and again: 2.", "@dee, 14 November 2026 09:58: \"the words of !yard\"",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("wanted %q in:\n%s", want, got)
		}
	}
	if strings.Contains(got, "!elsewhere") {
		t.Errorf("another room's words are said:\n%s", got)
	}
	if err := c.db.SetCondition(c.Context(), c.room, store.Condition{Network: "homeserver", Heard: at, Encrypted: true, Signed: true}); err != nil {
		t.Fatal(err)
	}
	if got := said(); strings.Contains(got, "language model") {
		t.Errorf("no model was ever asked, and it says:\n%s", got)
	}
	for n, choice := range []prompts.Choice{prompts.Accepted, prompts.Refused, prompts.Accepted, prompts.Accepted, prompts.Failed} {
		if err := c.db.Do(c.Context(), func(tx *store.Tx) error {
			return tx.KeepWording(store.WordingTry{Key: strings.Repeat("k", n+1), Choice: string(choice)})
		}); err != nil {
			t.Fatal(err)
		}
	}
	if got := said(); !strings.Contains(got, "Of 4 answers") || !strings.Contains(got, "3 were accepted") || !strings.Contains(got, "Without an answer: 1.") {
		t.Errorf("of five tries three were accepted, one refused and one got no answer, and it says:\n%s", got)
	}
	if got := said(); !strings.Contains(got, statusEncrypted) || !strings.Contains(got, statusSigned) {
		t.Errorf("all well, and it says:\n%s", got)
	}
}
