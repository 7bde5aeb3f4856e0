//go:build goolm

package matrix

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"maunium.net/go/mautrix/crypto"
	"maunium.net/go/mautrix/crypto/olm"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/bot"
	"becket/store"
)

// heard makes a message of something said in a room, if it is one and can be read.
func (r *service) heard(ctx context.Context, room id.RoomID, evt *event.Event) ([]store.Incoming, error) {
	evt.RoomID, evt.Type.Class = room, event.MessageEventType
	if evt.Sender == r.cli.UserID {
		if evt.Unsigned.TransactionID == "" {
			return nil, nil
		}
		return nil, r.side.Arrived(ctx, evt.Unsigned.TransactionID, evt.ID.String())
	}
	if err := evt.Content.ParseRaw(evt.Type); err != nil && !errors.Is(err, event.ErrContentAlreadyParsed) {
		return nil, nil //nolint:nilerr // nobody else could read it either
	}
	switch evt.Type {
	case event.EventReaction:
		return r.tapped(ctx, evt)
	case event.EventRedaction:
		return r.deleted(ctx, evt)
	case event.EventEncrypted:
		clear, err := r.decrypt(ctx, evt)
		if err != nil {
			return nil, r.unreadable(ctx, evt, err)
		}
		return r.understood(ctx, clear)
	}
	_, encrypted, err := r.side.Room(ctx, room.String())
	if err != nil {
		return nil, err
	}
	if _, is := messageOf(evt); is && encrypted {
		// Anybody who runs a homeserver could have written it.
		return nil, r.say(ctx, evt, "/open", fmt.Sprintf(sayOpen, clock(sentAt(evt))))
	}
	return r.understood(ctx, evt)
}

// errNotYours says that a message was encrypted with keys of somebody else than its sender.
var errNotYours = errors.New("encrypted by somebody else than its sender")

// decrypt reads an encrypted message and makes sure that it is its sender's.
func (r *service) decrypt(ctx context.Context, evt *event.Event) (*event.Event, error) {
	clear, err := r.mach.DecryptMegolmEvent(ctx, evt)
	if err != nil {
		return nil, err
	}
	switch clear.Mautrix.TrustState {
	case id.TrustStateDeviceKeyMismatch, id.TrustStateForwarded: // a key out of another's hand proves nothing
		return nil, errNotYours
	case id.TrustStateUnknownDevice:
		// The device may be so new that its keys weren't there yet.
		r.mach.FetchKeys(ctx, []id.UserID{evt.Sender}, true)
		if clear, err = r.mach.DecryptMegolmEvent(ctx, evt); err != nil {
			return nil, err
		}
		if clear.Mautrix.TrustState == id.TrustStateUnknownDevice {
			return nil, errNotYours
		}
	}
	return clear, nil
}

// understood makes an incoming message of an event that can be read, its photos fetched.
func (r *service) understood(ctx context.Context, evt *event.Event) ([]store.Incoming, error) {
	m, is := messageOf(evt)
	if !is {
		return nil, nil
	}
	if err := r.side.Overtake(ctx, m.Room, m.From); err != nil {
		return nil, err
	}
	content := said(evt)
	if to := content.RelatesTo.GetNonFallbackReplyTo(); to != "" && m.Thread == "" && m.Replaces == "" {
		m.Thread = r.threadOf(ctx, evt.RoomID, to)
	}
	if file, has := r.fetch(ctx, content); has {
		m.Files = []bot.File{file}
	}
	return r.incoming(ctx, m)
}

// incoming hands a message on to the inbox.
func (r *service) incoming(ctx context.Context, m bot.Message) ([]store.Incoming, error) {
	direct, err := r.side.Direct(ctx, m.From)
	if err != nil {
		return nil, err
	}
	if direct == m.Room { // said alone, as what is told somebody alone has the person for its room
		m.Room = m.From
	}
	body, err := json.Marshal(m)
	if err != nil {
		return nil, fmt.Errorf("keeping a message: %w", err)
	}
	return []store.Incoming{{ID: m.ID, Room: m.Room, Body: body}}, nil
}

// messageOf is what somebody says, without its photos; false for what isn't said to be answered: notices, which other
// bots send, and everything that is no message.
func messageOf(evt *event.Event) (bot.Message, bool) {
	if evt.Type != event.EventMessage {
		return bot.Message{}, false
	}
	content := said(evt)
	if content == nil {
		return bot.Message{}, false
	}
	m := bot.Message{
		ID: evt.ID.String(), Room: evt.RoomID.String(), From: evt.Sender.String(), At: sentAt(evt),
		Thread: content.RelatesTo.GetThreadParent().String(), Replaces: content.RelatesTo.GetReplaceID().String(),
	}
	switch content.MsgType {
	case event.MsgText:
		content.RemoveReplyFallback()
		m.Text = typed(content)
	case event.MsgImage, event.MsgFile, event.MsgVideo, event.MsgAudio:
		m.Text = content.GetCaption()
	default:
		return bot.Message{}, false
	}
	return m, true
}

// said is the content of a message; that of an edit is what it says now, in the place of the old.
func said(evt *event.Event) *event.MessageEventContent {
	content, ok := evt.Content.Parsed.(*event.MessageEventContent)
	if !ok || content.RelatesTo.GetReplaceID() == "" {
		return content
	}
	if content.NewContent == nil {
		return nil
	}
	now := *content.NewContent
	now.RelatesTo = content.RelatesTo
	return &now
}

func sentAt(evt *event.Event) time.Time { return time.UnixMilli(evt.Timestamp).UTC() }

// threadOf is the thread that an event stands in; empty for one outside threads, and where it can't be found out.
func (r *service) threadOf(ctx context.Context, room id.RoomID, of id.EventID) string {
	evt, err := r.cli.GetEvent(ctx, room, of)
	if err != nil {
		return ""
	}
	return relationOf(evt).GetThreadParent().String()
}

// relationOf is an event's relation to others; it stands in the clear even where the event is encrypted.
func relationOf(evt *event.Event) *event.RelatesTo {
	var content struct {
		Relation *event.RelatesTo `json:"m.relates_to"`
	}
	if json.Unmarshal(evt.Content.VeryRaw, &content) != nil {
		return nil
	}
	return content.Relation
}

// say tells somebody in a room that is served what became of their message. It is said once. It isn't marked as refused: it has
// to be noticed, as anything else that is asked of them.
func (r *service) say(ctx context.Context, evt *event.Event, why, text string) error {
	reply := bot.Reply{
		Key: evt.ID.String() + why, Cause: evt.ID.String(), Room: evt.RoomID.String(), Thread: relationOf(evt).GetThreadParent().String(),
		To: evt.Sender.String(), Text: text,
	}
	return r.DB.Do(ctx, func(tx *store.Tx) error {
		now, err := tx.RoomNow(reply.Room)
		if err != nil {
			return err
		}
		if _, known, err := tx.Team(now); err != nil || !known {
			return err
		}
		body, err := json.Marshal(reply)
		if err != nil {
			return fmt.Errorf("writing a reply: %w", err)
		}
		return tx.Say(reply.Key, reply.Cause, now, body)
	})
}

// lacksKey tells whether a message can't be read only for want of its key.
func lacksKey(err error) bool {
	return errors.Is(err, crypto.ErrNoSessionFound) || errors.Is(err, crypto.ErrGroupSessionWithheld) || errors.Is(err, olm.ErrUnknownMessageIndex)
}
