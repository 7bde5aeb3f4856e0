//go:build goolm && homeserver

package matrix

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix/id"

	"becket/store"
)

// TestGoingOnFromACopy loses the record while the team goes on, puts the copy in its place by hand, which is refused, and
// then restores it: a new device, signed with the recovery key, asks first what happened since.
func TestGoingOnFromACopy(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.says(s.room, "", "quarantine K-1 frayed")
	s.ana.hears("K-1 is in quarantine from now")
	copied := s.b.config.Database + ".copy"
	beside, err := store.OpenToRead(t.Context(), s.b.config.Database, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	if err := beside.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	if err := beside.Close(); err != nil {
		t.Fatal(err)
	}
	s.ana.says(s.room, "", "quarantine K-2 dropped")
	s.ana.hears("K-2 is in quarantine from now")
	s.b.end()

	text, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(s.b.config.Database, text, 0o600); err != nil {
		t.Fatal(err)
	}
	s.b.doesNotStart("is a copy, made on")
	other, err := sql.Open("sqlite", s.b.config.Database)
	if err != nil {
		t.Fatal(err)
	}
	_, err = other.Exec(`DELETE FROM copied`) // as a plain copy of the file would be
	if err := errors.Join(err, other.Close()); err != nil {
		t.Fatal(err)
	}
	s.b.doesNotStart("isn't the record that was last spoken from here")

	s.b.config.recoveryKey = s.b.recoveryKey()
	s.b.config.Database += ".new"
	err = store.Restore(t.Context(), copied, s.b.config.Database, time.Now, func(db *store.DB) error {
		_, _, err := s.b.bot.Restore(t.Context(), db)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	s.b.start()
	day := time.Now().UTC().Format("2 January 2006")
	asked := s.ana.next()
	if !asked.encrypted || !strings.Contains(asked.Body, "is as it was on "+day+". What happened since?") {
		t.Errorf("encrypted %v: %q", asked.encrypted, asked.Body)
	}
	s.ana.knowsDevices(s.b, 2, s.room)
	s.ana.says(s.room, "", "can I use K-2")
	s.ana.hears("isn't all said")
	s.ana.says(s.room, "", "quarantine K-2 dropped")
	s.ana.hears("K-2 is in quarantine from now")
	s.ana.says(s.room, "", "nothing more since "+day)
	s.ana.hears("The record counts again")
	s.b.end()
	s.b.start() // the record that it remembers is the one that is there
	s.ana.says(s.room, "", "can I use K-2")
	s.ana.hears("No. K-2 is in quarantine: dropped")
	s.b.verified()
}

// doesNotStart tests that it refuses to speak from the record that is there.
func (b *becket) doesNotStart(because string) {
	b.t.Helper()
	db, err := store.Open(b.t.Context(), b.config.Database, time.Now)
	if err != nil {
		b.t.Fatal(err)
	}
	defer db.Close()
	ctx, cancel := context.WithTimeout(b.t.Context(), patience)
	defer cancel()
	err = Service{Config: b.config, Bot: b.bot, DB: db, Tell: b.tell}.Run(ctx)
	if err == nil || !strings.Contains(err.Error(), because) {
		b.t.Errorf("it says %v", err)
	}
}

// knowsDevices waits until a person's app knows that many devices of Becket's, and shares a new key with all.
func (p *person) knowsDevices(b *becket, devices int, room id.RoomID) {
	p.t.Helper()
	p.eventually("the new device is known", func() bool {
		time.Sleep(100 * time.Millisecond) // asking too often locks the homeserver's database
		known, _ := p.mach.FetchKeys(context.Background(), []id.UserID{id.UserID(b.user)}, true)
		return len(known[id.UserID(b.user)]) == devices
	})
	if err := p.mach.CryptoStore.RemoveOutboundGroupSession(context.Background(), room); err != nil {
		p.t.Fatal(err)
	}
}
