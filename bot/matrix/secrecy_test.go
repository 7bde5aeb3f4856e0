//go:build goolm && homeserver

package matrix

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/crypto"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/bot"
	"becket/store"
	"becket/store/device"
)

// neverInTheOpen tests that nothing went unencrypted into a room.
func (b *becket) neverInTheOpen(room id.RoomID) {
	b.t.Helper()
	n := 0
	for _, one := range b.proxy.sends() {
		if one.room != room.String() {
			continue
		}
		n++
		if one.kind != event.EventEncrypted.Type {
			b.t.Errorf("sent in the open into an encrypted room: %+v", one)
		}
	}
	if n == 0 {
		b.t.Error("nothing was sent at all")
	}
}

// puts something in the outbox, as a reminder does.
func (b *becket) puts(r bot.Reply) {
	b.t.Helper()
	body, err := json.Marshal(r)
	if err != nil {
		b.t.Fatal(err)
	}
	if err := b.db.Do(b.t.Context(), func(tx *store.Tx) error { return tx.Say(r.Key, r.Cause, r.Room, body) }); err != nil {
		b.t.Fatal(err)
	}
}

// TestToldAlone tells one person something that isn't for the room.
func TestToldAlone(t *testing.T) {
	s, others := newScene(t, false, "ben")
	ana := s.ana.cli.UserID.String()
	s.b.puts(bot.Reply{Key: "$alone/1", Room: ana, To: ana, Text: "For you alone."})
	var alone id.RoomID
	s.ana.eventually("Ana is invited", func() bool {
		got, err := s.ana.cli.SyncRequest(t.Context(), 0, "", "", false, "")
		for room := range got.Rooms.Invite {
			alone = room
		}
		return err == nil && alone != ""
	})
	s.ana.join(alone)
	if got := s.ana.hears("For you alone."); got.room != alone || !got.encrypted {
		t.Errorf("it was said in %s, encrypted: %v", got.room, got.encrypted)
	}
	s.b.puts(bot.Reply{Key: "$alone/2", Room: ana, To: ana, Text: "And again."})
	if got := s.ana.hears("And again."); got.room != alone {
		t.Errorf("the second time it was said in %s", got.room)
	}
	s.ana.says(alone, "", "done")
	if got := s.ana.hears("Nothing waits for you alone"); got.room != alone || !got.encrypted {
		t.Errorf("what was said alone was answered in %s, encrypted: %v", got.room, got.encrypted)
	}
	others[0].nothing(200 * time.Millisecond)
}

// losesDevice removes the device's own file, as a lost disk would.
func (b *becket) losesDevice() {
	b.t.Helper()
	all, err := filepath.Glob(b.config.Database + "-matrix*")
	if err != nil || len(all) == 0 {
		b.t.Fatalf("there is nothing to lose: %v", err)
	}
	for _, f := range all {
		if err := os.Remove(f); err != nil {
			b.t.Fatal(err)
		}
	}
}

// recoveryKey is the one that the operator was shown.
func (b *becket) recoveryKey() string {
	b.t.Helper()
	said, found := b.toldWith("recovery key, shown this once")
	if !found {
		b.t.Fatalf("no recovery key was shown: %q", b.told)
	}
	_, key, _ := strings.Cut(said, ": ")
	key, _, _ = strings.Cut(key, "\n")
	return key
}

func (b *becket) becomesTold(t testing.TB, text string) {
	t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if _, found := b.toldWith(text); found {
			return
		}
	}
	t.Fatalf("the operator was never told %q, only %q", text, b.told)
}

func inviteOf(b *becket) *mautrix.ReqInviteUser {
	return &mautrix.ReqInviteUser{UserID: id.UserID(b.user)}
}

// client speaks to the homeserver with Becket's own login.
func (b *becket) client() *mautrix.Client {
	b.t.Helper()
	side, err := device.Open(context.Background(), deviceFile(b.config))
	if err != nil {
		b.t.Fatal(err)
	}
	defer side.Close()
	login, err := side.Login(context.Background())
	if err != nil {
		b.t.Fatal(err)
	}
	cli, err := mautrix.NewClient(b.hs.url(), id.UserID(b.user), login.Token)
	if err != nil {
		b.t.Fatal(err)
	}
	return cli
}

func TestLoginEndedByTheHomeserver(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.says(s.room, "", "due")
	s.ana.hears("Due within")
	if _, err := s.b.client().Logout(t.Context()); err != nil {
		t.Fatal(err)
	}
	want := func(err error) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), "Move "+deviceFile(s.b.config)+" aside") {
			t.Errorf("it ended with: %v", err)
		}
	}
	for range 2 { // while it runs, and when it is started again
		select {
		case err := <-s.b.ended:
			want(err)
			s.b.ended <- nil
		case <-time.After(2 * longPoll):
			t.Fatal("it goes on without a login")
		}
		s.b.end()
		s.b.start()
	}
	<-s.b.ended
	s.b.ended <- nil
}

// trustsBecket tests that an app sees every device of Becket's that speaks as signed by Becket's own account.
func (p *person) trustsBecket(b *becket) {
	p.t.Helper()
	keys, err := p.cli.QueryKeys(context.Background(), &mautrix.ReqQueryKeys{DeviceKeys: mautrix.DeviceKeysRequest{id.UserID(b.user): {}}})
	if err != nil {
		p.t.Fatal(err)
	}
	devices, err := p.mach.FetchKeys(context.Background(), []id.UserID{id.UserID(b.user)}, true)
	if err != nil {
		p.t.Fatal(err)
	}
	signed := 0
	for _, d := range devices[id.UserID(b.user)] {
		trust, err := p.mach.ResolveTrustContext(context.Background(), d)
		if err != nil {
			p.t.Fatal(err)
		}
		if trust >= id.TrustStateCrossSignedTOFU {
			signed++
		}
	}
	if want := len(keys.DeviceKeys[id.UserID(b.user)]); signed != want || signed == 0 {
		p.t.Errorf("%d of Becket's %d devices are signed", signed, want)
	}
}

func TestDeviceIsSigned(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.says(s.room, "", "due")
	s.ana.hears("Due within")
	s.ana.trustsBecket(s.b)
	shown := 0
	s.b.end()
	s.b.start()
	s.ana.says(s.room, "", "due")
	s.ana.hears("Due within")
	for _, said := range s.b.told {
		if strings.Contains(said, "recovery key, shown") {
			shown++
		}
	}
	if shown != 1 {
		t.Errorf("the recovery key was shown %d times", shown)
	}
}

// TestDeviceLost goes on with a new device, which the recovery key signs, and never in the open.
func TestDeviceLost(t *testing.T) {
	s, _ := newScene(t, true)
	root := s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	s.b.end()
	s.b.losesDevice()
	s.b.config.recoveryKey = s.b.recoveryKey()
	s.b.start()
	s.ana.knowsDevices(s.b, 2, s.room) // before she writes
	s.ana.says(s.room, root, "a")
	s.ana.hears("The cleat")
	s.ana.trustsBecket(s.b)
	s.b.neverInTheOpen(s.room)
	s.b.verified()
}

// TestDeviceLostWithRepliesWaiting has a reply wait in the outbox while everything that tells of encryption is lost.
func TestDeviceLostWithRepliesWaiting(t *testing.T) {
	s, _ := newScene(t, true)
	s.hs.stop()
	s.b.puts(bot.Reply{Key: "$waiting/1", Room: s.room.String(), Text: "Kept for later."})
	s.b.end()
	s.b.losesDevice()
	s.hs.start()
	s.b.start()
	if got := s.ana.hears("Kept for later."); !got.encrypted {
		t.Error("it came in the open")
	}
	s.b.neverInTheOpen(s.room)
	if _, told := s.b.toldWith("isn't signed"); !told {
		t.Errorf("the operator wasn't told that the new device is unsigned: %q", s.b.told)
	}
}

// TestServerForgetsEncryption says that an encrypted room is open: nothing is sent there.
func TestServerForgetsEncryption(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.says(s.room, "", "due")
	s.ana.hears("Due within")
	s.b.end()
	// The library's own tables are lost; what Becket remembers isn't, and the homeserver lies about the rest.
	side, err := device.Open(t.Context(), deviceFile(s.b.config))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := side.Keys().Exec(t.Context(), `UPDATE mx_room_state SET encryption = NULL`); err != nil {
		t.Fatal(err)
	}
	if err := side.Close(); err != nil {
		t.Fatal(err)
	}
	before := len(s.b.proxy.sends())
	s.b.proxy.hide("m.room.encryption")
	s.b.start()
	s.ana.says(s.room, "", "due")
	s.b.becomesTold(t, "Nothing is sent there in the open")
	if sent := s.b.proxy.sends()[before:]; len(sent) > 0 {
		t.Errorf("sent: %v", sent)
	}
	s.b.proxy.hide("")
	s.ana.hears("Due within") // once the homeserver says the truth again
	s.b.neverInTheOpen(s.room)
}

// TestRoomBecomesEncrypted turns encryption on in the middle, with replies sealed in the open still waiting.
func TestRoomBecomesEncrypted(t *testing.T) {
	s, _ := newScene(t, false)
	s.ana.says(s.room, "", "due")
	s.ana.hears("Due within")
	on := encryptionOn()
	if _, err := s.ana.cli.SendStateEvent(t.Context(), s.room, event.StateEncryption, "", on.Content.Parsed); err != nil {
		t.Fatal(err)
	}
	s.ana.eventually("the room is encrypted", func() bool { is, _ := s.ana.states.IsEncrypted(t.Context(), s.room); return is })
	s.ana.says(s.room, "", "due")
	if got := s.ana.hears("Due within"); !got.encrypted {
		t.Error("it answered in the open")
	}
	// What comes in the open from now on isn't taken.
	_, err := s.ana.cli.SendMessageEvent(t.Context(), s.room, event.EventMessage,
		&event.MessageEventContent{MsgType: event.MsgText, Body: "quarantine K-1 it creeps"}, mautrix.ReqSendEvent{DontEncrypt: true})
	if err != nil {
		t.Fatal(err)
	}
	s.ana.hears("wasn't encrypted")
}

// withoutKey encrypts for nobody but the sender; give sends Becket the key it has asked for.
func (p *person) withoutKey(s scene, text string) (give func()) {
	p.t.Helper()
	ctx := context.Background()
	asked := make(chan event.RoomKeyRequestEventContent, 1)
	p.mach.AllowKeyShare = func(_ context.Context, d *id.Device, info event.RequestedKeyInfo) *crypto.KeyShareRejection {
		if d.UserID == id.UserID(s.b.user) {
			asked <- event.RoomKeyRequestEventContent{
				Action: event.KeyRequestActionRequest, Body: info, RequestID: "later", RequestingDeviceID: d.DeviceID,
			}
		}
		return &crypto.KeyShareRejectNoResponse
	}
	if err := p.mach.CryptoStore.RemoveOutboundGroupSession(ctx, s.room); err != nil {
		p.t.Fatal(err)
	}
	if err := p.mach.ShareGroupSession(ctx, s.room, []id.UserID{p.cli.UserID}); err != nil {
		p.t.Fatal(err)
	}
	p.says(s.room, "", text)
	return func() {
		p.t.Helper()
		select {
		case request := <-asked:
			p.mach.AllowKeyShare = func(context.Context, *id.Device, event.RequestedKeyInfo) *crypto.KeyShareRejection { return nil }
			p.mach.HandleRoomKeyRequest(ctx, id.UserID(s.b.user), &request)
		case <-time.After(patience):
			p.t.Fatal("the key was never asked for")
		}
	}
}

func TestUnreadableMessage(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	began := time.Now()
	give := s.ana.withoutKey(s, "a")
	if got := s.ana.hears("I can't read a message of yours"); got.MsgType != event.MsgText {
		t.Errorf("nobody is told that it has come: it is %s", got.MsgType)
	}
	if took := time.Since(began); took > keyGrace+3*time.Second {
		t.Errorf("it was said after %v", took)
	}
	s.ana.nothing(1500 * time.Millisecond) // said once
	give()
	s.ana.hears("The cleat")
	s.b.verified()
}

// TestUnreadableMessageOvertaken has Ana answer anew before the key of her first answer comes: it would answer the
// next question.
func TestUnreadableMessageOvertaken(t *testing.T) {
	s, _ := newScene(t, true)
	s.ana.says(s.room, "", "inspect K-1")
	s.ana.hears("K-1")
	give := s.ana.withoutKey(s, "a")
	s.ana.hears("I can't read a message of yours")
	if err := s.ana.mach.CryptoStore.RemoveOutboundGroupSession(t.Context(), s.room); err != nil {
		t.Fatal(err)
	}
	s.ana.says(s.room, "", "a")
	s.ana.hears("The cleat")
	give()
	s.ana.hears("I didn't take it")
	s.ana.nothing(500 * time.Millisecond)
	s.b.verified()
}
