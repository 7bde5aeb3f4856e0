//go:build goolm

package matrix

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/crypto"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/bot"
	"becket/store"
	"becket/store/device"
)

// outbox is what the worker remembers of rooms between one look at the outbox and the next.
type outbox struct {
	paused  time.Time           // until then the homeserver wants to be left alone
	blocked map[string]blockage // rooms that a reply couldn't be sent to
	roots   map[string]bool     // events, and whether a thread can hang from them
	offers  []device.Offer      // signs still to be put under questions
}

// blockage keeps a room's later replies behind the one that failed.
type blockage struct {
	until  time.Time
	sync   int    // the homeserver's answer that has to come first; 0: none
	upload string // the message whose file has to be on the homeserver first; empty: none
	tries  int
}

// batch is how many waiting replies are looked at in one go.
const batch = 1000

// deliver sends what waits, each room's in its order, and tells when to look again.
func (r *service) deliver(ctx context.Context) (again time.Duration, err error) {
	unsent, err := r.DB.Unsent(ctx, batch)
	if err != nil {
		return 0, err
	}
	held := map[string]bool{} // rooms with a reply ahead that wasn't sent
	for _, o := range unsent {
		if held[o.Room] || r.blocked(o.Room) {
			held[o.Room] = true
			continue
		}
		if time.Until(r.outbox.paused) > 0 {
			break
		}
		sent, err := r.deliverOne(ctx, o)
		if err != nil {
			return 0, err
		}
		if !sent {
			held[o.Room] = true
		}
		if ctx.Err() != nil {
			return 0, ctx.Err()
		}
	}
	if err := r.putSign(ctx); err != nil {
		return 0, err
	}
	return r.nextLook(len(unsent) == batch && len(held) == 0), nil
}

// sendTime is how long one reply may take to be sent.
const sendTime = 20 * time.Second

// deliverOne sends one reply and tells whether it is sent. When we are asked to end, it is finished first, so that no doubt
// is left behind whether it arrived.
func (r *service) deliverOne(ctx context.Context, o store.Outgoing) (sent bool, err error) {
	ctx, stop := context.WithTimeout(context.WithoutCancel(ctx), sendTime)
	defer stop()
	if o, err = r.Wording.Out(ctx, r.DB, o); err != nil {
		return false, err
	}
	txns, err := r.send(ctx, o)
	if err != nil {
		r.block(o, txns, err)
		return false, nil
	}
	delete(r.outbox.blocked, o.Room)
	return true, r.delivered(ctx, o, txns)
}

// delivered marks a reply as said, and only then forgets what was sealed for it.
func (r *service) delivered(ctx context.Context, o store.Outgoing, txns []string) error {
	r.away.over()
	if err := r.DB.Sent(ctx, o.N); err != nil {
		return err
	}
	for _, txn := range txns {
		if err := errors.Join(r.side.Unseal(ctx, txn), r.side.ForgetUploaded(ctx, txn)); err != nil {
			return err
		}
	}
	return nil
}

// block holds a room back after a failure; a limit holds them all back, unless it is one on files.
func (r *service) block(o store.Outgoing, txns []string, err error) {
	b := r.outbox.blocked[o.Room]
	b.upload = ""
	if errors.Is(err, errUploading) {
		b.upload, b.until, b.sync = txns[len(txns)-1], time.Time{}, 0
		r.outbox.blocked[o.Room] = b
		return
	}
	pause := wait(err, b.tries)
	var file uploadError
	ofFile := errors.As(err, &file)
	if _, limited := limitOf(err); limited && !ofFile {
		r.pauseAll(pause)
		return
	}
	switch {
	case isAway(err) && b.tries == 0:
		r.away.say(err)
	case b.tries == 0 && errors.Is(err, errOpened):
		r.Tell(fmt.Sprintf(tellNotPlain, o.Room))
	case b.tries == 0:
		r.Tell(fmt.Sprintf(tellNotSent, o.Room, err))
	}
	b.until, b.tries = time.Now().Add(pause), b.tries+1
	if isAway(err) && !ofFile {
		// It may have arrived all the same. The next sync tells.
		b.sync = r.syncs.ask()
	}
	r.outbox.blocked[o.Room] = b
}

// pauseAll leaves the homeserver alone. Signs would only make it worse; their words are in the text.
func (r *service) pauseAll(pause time.Duration) {
	r.outbox.paused = time.Now().Add(pause)
	r.outbox.offers = nil
}

// blocked tells whether nothing may be sent to a room yet.
func (r *service) blocked(room string) bool {
	b, is := r.outbox.blocked[room]
	return is && (time.Until(b.until) > 0 || !r.syncs.answered(b.sync) || r.uploads.busy(b.upload))
}

// nextLook is when there may be something to send again.
func (r *service) nextLook(more bool) time.Duration {
	if more || len(r.outbox.offers) > 0 {
		return 0
	}
	next := idle
	if d := time.Until(r.outbox.paused); d > 0 {
		next = min(next, d)
	}
	for _, b := range r.outbox.blocked {
		if r.syncs.answered(b.sync) && !r.uploads.busy(b.upload) { // or else what it waits for wakes us
			next = min(next, max(time.Until(b.until), 0))
		}
	}
	return max(next, time.Millisecond)
}

// send says one reply, in as many messages as it takes, and gives the names under which they went; after an error the last of
// them is the one that failed.
func (r *service) send(ctx context.Context, o store.Outgoing) (txns []string, err error) {
	var reply bot.Reply
	if err := json.Unmarshal(o.Body, &reply); err != nil {
		return nil, fmt.Errorf("reading a reply: %w", err)
	}
	key := reply.Key
	if moved := reply.Room != reply.To && reply.Room != o.Room; moved {
		// What it answers stands in the old room, and what was sealed for that can't be read in this one.
		reply.Cause, reply.Room, key = "", o.Room, key+"/"+o.Room
	}
	room, err := r.place(ctx, reply)
	if err != nil {
		return nil, err
	}
	encrypted, err := r.encrypted(ctx, room)
	if err != nil {
		return nil, err
	}
	threaded, err := r.canHang(ctx, room, id.EventID(reply.Thread))
	if err != nil {
		return nil, err
	}
	question, all := "", r.messages(ctx, key, reply, encrypted, threaded)
	for n, one := range all {
		txn := txnOf(key, n)
		txns = append(txns, txn)
		sent, err := r.sendOne(ctx, room, encrypted, txn, one)
		if err != nil {
			return txns, err
		}
		if n == len(all)-len(reply.Files)-1 { // the last of its text
			question = sent
		}
		if len(reply.Files) > 0 {
			// While a file is on its way, what came before it isn't sent again and again.
			if err := r.side.Arrived(ctx, txn, sent); err != nil {
				return txns, err
			}
		}
	}
	r.offer(room, encrypted, question, reply)
	return txns, nil
}

// message makes what one message says, when it comes to be sent.
type message func() (*event.MessageEventContent, error)

// messages are what a reply is sent as, under names made of the key: its text, and then its files.
func (r *service) messages(ctx context.Context, key string, reply bot.Reply, encrypted, threaded bool) (all []message) {
	for _, text := range contentsOf(reply, threaded) {
		all = append(all, func() (*event.MessageEventContent, error) { return text, nil })
	}
	for _, f := range reply.Files {
		txn := txnOf(key, len(all))
		all = append(all, func() (*event.MessageEventContent, error) {
			c, err := r.attached(ctx, txn, f, encrypted)
			if err == nil {
				c.Mentions, c.RelatesTo = &event.Mentions{}, relation(reply, threaded)
			}
			return c, err
		})
	}
	return all
}

// sendOne sends one message: what was sealed for it before, or a seal made now. Nothing goes in the open into an
// encrypted room, whatever was sealed while it was still open. It gives the homeserver's name for the message.
func (r *service) sendOne(ctx context.Context, room id.RoomID, encrypted bool, txn string, says message) (string, error) {
	s, found, err := r.side.Sealed(ctx, txn)
	if err != nil || s.Event != "" {
		return s.Event, err
	}
	if found && encrypted && s.Type != event.EventEncrypted.Type {
		if err := r.side.Unseal(ctx, txn); err != nil {
			return "", err
		}
		found = false
	}
	if !found {
		content, err := says()
		if err != nil {
			return "", err
		}
		if s, err = r.seal(ctx, room, encrypted, txn, content); err != nil {
			return "", err
		}
	}
	kind := event.Type{Type: s.Type, Class: event.MessageEventType}
	resp, err := r.cli.SendMessageEvent(ctx, room, kind, json.RawMessage(s.Content), mautrix.ReqSendEvent{TransactionID: txn, DontEncrypt: true})
	if err != nil {
		return "", err
	}
	return resp.EventID.String(), nil
}

// seal makes what goes over the wire, and keeps it. A key that moved on and what it locked are kept together or not at all.
func (r *service) seal(ctx context.Context, room id.RoomID, encrypted bool, txn string, content *event.MessageEventContent) (device.Sealed, error) {
	if !encrypted {
		return r.keepSealed(ctx, txn, event.EventMessage, content)
	}
	s, err := r.sealEncrypted(ctx, room, txn, content)
	if !crypto.IsShareError(err) {
		return s, err
	}
	people, err := r.states.GetRoomJoinedOrInvitedMembers(ctx, room)
	if err != nil {
		return s, fmt.Errorf("looking up who is in %s: %w", room, err)
	}
	if err := r.mach.ShareGroupSession(ctx, room, people); err != nil {
		return s, fmt.Errorf("sharing a key in %s: %w", room, err)
	}
	return r.sealEncrypted(ctx, room, txn, content)
}

func (r *service) sealEncrypted(ctx context.Context, room id.RoomID, txn string, content *event.MessageEventContent) (s device.Sealed, err error) {
	err = r.side.Keys().DoTxn(ctx, nil, func(ctx context.Context) error {
		secret, err := r.mach.EncryptMegolmEvent(ctx, room, event.EventMessage, content)
		if err != nil {
			return err
		}
		s, err = r.keepSealed(ctx, txn, event.EventEncrypted, secret)
		return err
	})
	return s, err
}

func (r *service) keepSealed(ctx context.Context, txn string, kind event.Type, wire any) (device.Sealed, error) {
	body, err := json.Marshal(wire)
	if err != nil {
		return device.Sealed{}, fmt.Errorf("writing a reply: %w", err)
	}
	s := device.Sealed{Txn: txn, Type: kind.Type, Content: body}
	return s, r.side.Seal(ctx, s)
}

// place is the room that a reply goes to. What is for one person alone goes to a room with that person, which is made
// when it is first needed.
func (r *service) place(ctx context.Context, reply bot.Reply) (id.RoomID, error) {
	if reply.Room != reply.To {
		return id.RoomID(reply.Room), nil
	}
	kept, err := r.side.Direct(ctx, reply.To)
	if err != nil || kept != "" {
		return id.RoomID(kept), err
	}
	made, err := r.cli.CreateRoom(ctx, &mautrix.ReqCreateRoom{
		Preset: "trusted_private_chat", IsDirect: true, Invite: []id.UserID{id.UserID(reply.To)},
		InitialState: []*event.Event{{
			Type:    event.StateEncryption,
			Content: event.Content{Parsed: &event.EncryptionEventContent{Algorithm: id.AlgorithmMegolmV1}},
		}},
	})
	if err != nil {
		return "", fmt.Errorf("making a room for %s alone: %w", reply.To, err)
	}
	return made.RoomID, r.side.SetDirect(ctx, reply.To, made.RoomID.String())
}

// canHang tells whether a thread can hang from an event. Homeservers refuse one that hangs from what stands in a thread
// itself, or isn't there; then answers follow each other without one.
func (r *service) canHang(ctx context.Context, room id.RoomID, root id.EventID) (bool, error) {
	if root == "" {
		return false, nil
	}
	place := room.String() + root.String()
	if can, known := r.outbox.roots[place]; known {
		return can, nil
	}
	evt, err := r.cli.GetEvent(ctx, room, root)
	gone := errors.Is(err, mautrix.MNotFound) || errors.Is(err, mautrix.MForbidden) || errors.Is(err, mautrix.MInvalidParam)
	if err != nil && !gone {
		return false, err
	}
	can := !gone && !slices.Contains([]event.RelationType{event.RelThread, event.RelReplace, event.RelAnnotation, event.RelReference}, relationTypeOf(evt))
	r.outbox.roots[place] = can
	return can, nil
}

func relationTypeOf(evt *event.Event) event.RelationType {
	if rel := relationOf(evt); rel != nil {
		return rel.Type
	}
	return ""
}
