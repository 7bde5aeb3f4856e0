//go:build goolm && homeserver

package matrix

import (
	"context"
	"crypto/rand"
	"errors"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/crypto"
	"maunium.net/go/mautrix/crypto/attachment"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

// person is somebody with an app of their own.
type person struct {
	t      testing.TB
	hs     *homeserver
	cli    *mautrix.Client
	mach   *crypto.OlmMachine
	states mautrix.StateStore
	mu     sync.Mutex
	said   []said1 // by others, in order
	read   int     // how many of these were looked at by next
	more   chan struct{}
	failed []string                // what couldn't be read
	signs  map[id.EventID][]string // what others put under a message, in order
	typing []id.UserID             // who was ever shown as typing
}

// said1 is one message as the app shows it.
type said1 struct {
	id        id.EventID
	room      id.RoomID
	from      id.UserID
	encrypted bool
	*event.MessageEventContent
}

// newPerson registers somebody and starts their app.
func newPerson(t testing.TB, hs *homeserver, name string) *person {
	t.Helper()
	user, password := hs.register(name)
	cli, err := mautrix.NewClient(hs.url(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	_, err = cli.Login(ctx, &mautrix.ReqLogin{
		Type: mautrix.AuthTypePassword, Identifier: mautrix.UserIdentifier{Type: mautrix.IdentifierTypeUser, User: user},
		Password: password, StoreCredentials: true,
	})
	if err != nil {
		t.Fatal(err)
	}
	states := mautrix.NewMemoryStateStore()
	cli.StateStore = states
	p := &person{t: t, hs: hs, cli: cli, states: states, more: make(chan struct{}, 1), signs: map[id.EventID][]string{}}
	p.mach = crypto.NewOlmMachine(cli, nil, crypto.NewMemoryStore(nil), states.(crypto.StateStore))
	if err := p.mach.Load(ctx); err != nil {
		t.Fatal(err)
	}
	if err := p.mach.ShareKeys(ctx, -1); err != nil {
		t.Fatal(err)
	}
	syncer := mautrix.NewDefaultSyncer()
	cli.Syncer = impatient{syncer}
	syncer.OnSync(p.mach.ProcessSyncResponse)
	syncer.OnEvent(cli.StateStoreSyncHandler)
	syncer.OnEventType(event.StateMember, p.mach.HandleMemberEvent)
	syncer.OnEventType(event.EventEncrypted, p.hearEncrypted)
	syncer.OnEventType(event.EventMessage, func(_ context.Context, evt *event.Event) { p.hear(evt, false) })
	syncer.OnEventType(event.EventReaction, p.sawReaction)
	syncer.OnEventType(event.EphemeralEventTyping, p.sawTyping)
	var running sync.WaitGroup
	running.Go(func() {
		for ctx.Err() == nil {
			_ = cli.SyncWithContext(ctx) // the homeserver may be away
			time.Sleep(50 * time.Millisecond)
		}
	})
	t.Cleanup(func() {
		stop()
		running.Wait()
		p.mu.Lock()
		defer p.mu.Unlock()
		for _, f := range p.failed {
			t.Errorf("%s couldn't read: %s", cli.UserID, f)
		}
	})
	return p
}

func (p *person) sawTyping(_ context.Context, evt *event.Event) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.typing = append(p.typing, evt.Content.AsTyping().UserIDs...)
}

// impatient asks again at once when the homeserver is away.
type impatient struct{ *mautrix.DefaultSyncer }

func (impatient) OnFailedSync(*mautrix.RespSync, error) (time.Duration, error) {
	return 50 * time.Millisecond, nil
}

func (p *person) hearEncrypted(ctx context.Context, evt *event.Event) {
	c := evt.Content.AsEncrypted()
	clear, err := p.mach.DecryptMegolmEvent(ctx, evt)
	if errors.Is(err, crypto.ErrNoSessionFound) {
		go func() {
			if p.mach.WaitForSession(ctx, evt.RoomID, c.SenderKey, c.SessionID, 5*time.Second) { //nolint:staticcheck // it finds the session by this
				clear, err = p.mach.DecryptMegolmEvent(ctx, evt)
			}
			p.heardEncrypted(ctx, evt, clear, err)
		}()
		return
	}
	p.heardEncrypted(ctx, evt, clear, err)
}

func (p *person) heardEncrypted(ctx context.Context, evt, clear *event.Event, err error) {
	if err == nil {
		p.hear(clear, true)
	} else if ctx.Err() == nil {
		p.mu.Lock()
		p.failed = append(p.failed, evt.ID.String()+" of "+evt.Sender.String()+": "+err.Error())
		p.mu.Unlock()
	}
}

func (p *person) hear(evt *event.Event, encrypted bool) {
	content, ok := evt.Content.Parsed.(*event.MessageEventContent)
	if !ok || evt.Sender == p.cli.UserID {
		return
	}
	p.mu.Lock()
	p.said = append(p.said, said1{evt.ID, evt.RoomID, evt.Sender, encrypted, content})
	p.mu.Unlock()
	select {
	case p.more <- struct{}{}:
	default:
	}
}

// patience is how long anybody waits for an answer in a test.
const patience = 20 * time.Second

// next waits for the next message of somebody else's.
func (p *person) next() said1 {
	p.t.Helper()
	end := time.After(patience)
	for {
		p.mu.Lock()
		if p.read < len(p.said) {
			s := p.said[p.read]
			p.read++
			p.mu.Unlock()
			return s
		}
		failed := p.failed
		p.mu.Unlock()
		select {
		case <-p.more:
		case <-end:
			p.t.Fatalf("%s heard nothing more; couldn't read %v; so far: %s\nthe homeserver says:\n%s",
				p.cli.UserID, failed, p.heardLast(), p.hs.lastWords())
		}
	}
}

func (p *person) heardLast() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	var all strings.Builder
	for _, s := range p.said[max(0, len(p.said)-3):] {
		all.WriteString("\n--- " + s.from.String() + ": " + s.Body)
	}
	return all.String()
}

// nothing waits a little and tests that nobody said anything.
func (p *person) nothing(d time.Duration) {
	p.t.Helper()
	time.Sleep(d)
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, s := range p.said[p.read:] {
		p.t.Errorf("%s said %q", s.from, s.Body)
	}
}

// hears waits for a message with a text in it.
func (p *person) hears(text string) said1 {
	p.t.Helper()
	s := p.next()
	if !strings.Contains(s.Body, text) {
		p.t.Fatalf("wanted %q, heard %q", text, s.Body)
	}
	return s
}

// room makes a room, encrypted or not, and invites others.
func (p *person) room(encrypted bool, others ...string) id.RoomID {
	p.t.Helper()
	req := &mautrix.ReqCreateRoom{Preset: "private_chat", Name: "The kite flyers"}
	for _, o := range others {
		req.Invite = append(req.Invite, id.UserID(o))
	}
	if encrypted {
		req.InitialState = []*event.Event{encryptionOn()}
	}
	made, err := p.cli.CreateRoom(context.Background(), req)
	if err != nil {
		p.t.Fatal(err)
	}
	p.eventually("the room is known to its maker", func() bool {
		on, _ := p.states.IsEncrypted(context.Background(), made.RoomID)
		return on == encrypted && p.states.IsInRoom(context.Background(), made.RoomID, p.cli.UserID)
	})
	return made.RoomID
}

func encryptionOn() *event.Event {
	return &event.Event{
		Type:    event.StateEncryption,
		Content: event.Content{Parsed: &event.EncryptionEventContent{Algorithm: id.AlgorithmMegolmV1}},
	}
}

func (p *person) join(room id.RoomID) {
	p.t.Helper()
	if _, err := p.cli.JoinRoomByID(context.Background(), room); err != nil {
		p.t.Fatal(err)
	}
	p.eventually("the room is joined", func() bool { return p.states.IsInRoom(context.Background(), room, p.cli.UserID) })
}

// sees waits until somebody is in a room, as the app knows it.
func (p *person) sees(room id.RoomID, who string) {
	p.t.Helper()
	p.eventually(who+" is in the room", func() bool { return p.states.IsInRoom(context.Background(), room, id.UserID(who)) })
}

func (p *person) eventually(what string, is func() bool) {
	p.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if is() {
			return
		}
	}
	p.t.Fatalf("it never came to this: %s", what)
}

// says sends a text, in a thread if one is named.
func (p *person) says(room id.RoomID, thread id.EventID, text string) id.EventID {
	p.t.Helper()
	return p.sends(room, inThread(thread, &event.MessageEventContent{MsgType: event.MsgText, Body: text}))
}

func inThread(thread id.EventID, c *event.MessageEventContent) *event.MessageEventContent {
	if thread != "" {
		c.RelatesTo = (&event.RelatesTo{}).SetThread(thread, thread)
	}
	return c
}

// sends sends a message, encrypted where the room is.
func (p *person) sends(room id.RoomID, content *event.MessageEventContent) id.EventID {
	p.t.Helper()
	ctx := context.Background()
	kind, wire := event.EventMessage, any(content)
	if on, _ := p.states.IsEncrypted(ctx, room); on {
		kind, wire = event.EventEncrypted, p.encrypts(room, content)
	}
	txn := rand.Text()
	for tries := 0; ; tries++ { // a homeserver that is busy says 500 now and then
		resp, err := p.cli.SendMessageEvent(ctx, room, kind, wire, mautrix.ReqSendEvent{TransactionID: txn, DontEncrypt: true})
		if err == nil {
			return resp.EventID
		}
		if tries == 20 {
			p.t.Fatalf("sending %q: %v; the homeserver says:\n%s", content.Body, err, p.hs.lastWords())
		}
		time.Sleep(100 * time.Millisecond)
	}
}

func (p *person) encrypts(room id.RoomID, content *event.MessageEventContent) *event.EncryptedEventContent {
	p.t.Helper()
	ctx := context.Background()
	secret, err := p.mach.EncryptMegolmEvent(ctx, room, event.EventMessage, content)
	if crypto.IsShareError(err) {
		people, peopleErr := p.states.GetRoomJoinedOrInvitedMembers(ctx, room)
		if peopleErr != nil {
			p.t.Fatal(peopleErr)
		}
		if err := p.mach.ShareGroupSession(ctx, room, people); err != nil {
			p.t.Fatal(err)
		}
		secret, err = p.mach.EncryptMegolmEvent(ctx, room, event.EventMessage, content)
	}
	if err != nil {
		p.t.Fatal(err)
	}
	return secret
}

// shows sends a picture of the photographs made for tests.
func (p *person) shows(room id.RoomID, thread id.EventID, name string) id.EventID {
	p.t.Helper()
	data, err := os.ReadFile("../../testdata/photos/" + name)
	if err != nil {
		p.t.Fatal(err)
	}
	c := &event.MessageEventContent{MsgType: event.MsgImage, Body: name, Info: &event.FileInfo{MimeType: "image/png", Size: len(data)}}
	return p.gives(room, thread, c, data)
}

// gives sends a file as apps do: the bytes first, locked where the room is, and then the message that says where they are.
func (p *person) gives(room id.RoomID, thread id.EventID, c *event.MessageEventContent, data []byte) id.EventID {
	p.t.Helper()
	data = slices.Clone(data)
	on, _ := p.states.IsEncrypted(context.Background(), room)
	var locked *attachment.EncryptedFile
	if on {
		locked = attachment.NewEncryptedFile()
		locked.EncryptInPlace(data)
	}
	up, err := p.cli.UploadBytes(context.Background(), data, "application/octet-stream")
	if err != nil {
		p.t.Fatal(err)
	}
	if on {
		c.File = &event.EncryptedFileInfo{EncryptedFile: *locked, URL: up.ContentURI.CUString()}
	} else {
		c.URL = up.ContentURI.CUString()
	}
	return p.sends(room, inThread(thread, c))
}

// edits replaces what was said before, as apps do.
func (p *person) edits(room id.RoomID, before id.EventID, text string) id.EventID {
	p.t.Helper()
	return p.sends(room, &event.MessageEventContent{
		MsgType: event.MsgText, Body: "* " + text,
		NewContent: &event.MessageEventContent{MsgType: event.MsgText, Body: text},
		RelatesTo:  &event.RelatesTo{Type: event.RelReplace, EventID: before},
	})
}
