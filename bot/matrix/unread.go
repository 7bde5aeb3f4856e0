//go:build goolm

package matrix

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"maunium.net/go/mautrix/crypto"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/store"
	"becket/store/device"
)

const (
	// keyGrace is how long a key may take before its message counts as unreadable; most come just after it.
	keyGrace = 2 * time.Second
	// keyHope is how long a message is kept for a key that may still come.
	keyHope = 7 * 24 * time.Hour
)

// unreadable deals with a message that can't be read.
func (r *service) unreadable(ctx context.Context, evt *event.Event, why error) error {
	switch {
	case len(evt.Content.AsEncrypted().MegolmCiphertext) == 0, errors.Is(why, crypto.ErrDuplicateMessageIndex):
		return nil // deleted, or an old one under a new name
	case errors.Is(why, errNotYours):
		return r.say(ctx, evt, "/not-yours", fmt.Sprintf(sayNotYours, clock(sentAt(evt))))
	}
	body, err := json.Marshal(evt)
	if err != nil {
		return fmt.Errorf("keeping a message that can't be read yet: %w", err)
	}
	return r.side.KeepUnread(ctx, device.Unread{
		Event: evt.ID.String(), Room: evt.RoomID.String(), Sender: evt.Sender.String(), At: time.Now(), Body: body,
	})
}

// late is what could be read at last.
type late struct {
	messages []store.Incoming
	read     []string // the events that need no more keeping
}

// readLate reads what waited for its key. Whoever has said something else since is told, and the old message isn't
// taken: it would answer another question than the one it was meant for.
func (r *service) readLate(ctx context.Context) (l late, err error) {
	waiting, err := r.side.Unread(ctx)
	if err != nil {
		return l, err
	}
	for _, u := range waiting {
		evt, err := parse(u)
		if err != nil {
			return l, err
		}
		clear, err := r.decrypt(ctx, evt)
		switch {
		case lacksKey(err) && time.Since(u.At) < keyHope:
			continue
		case err == nil && !u.Overtaken:
			in, err := r.understood(ctx, clear)
			if err != nil {
				return l, err
			}
			l.messages = append(l.messages, in...)
		case err == nil:
			if m, is := messageOf(clear); is {
				if err := r.say(ctx, evt, "/late", fmt.Sprintf(sayReadLate, clock(sentAt(evt)), clip(m.Text))); err != nil {
					return l, err
				}
			}
		case errors.Is(err, errNotYours):
			if err := r.unreadable(ctx, evt, err); err != nil {
				return l, err
			}
		case !u.Told && time.Since(u.At) < keyHope:
			continue // it is told first
		}
		l.read = append(l.read, u.Event)
	}
	return l, nil
}

func parse(u device.Unread) (*event.Event, error) {
	var evt event.Event
	if err := json.Unmarshal(u.Body, &evt); err != nil {
		return nil, fmt.Errorf("reading a message that was kept: %w", err)
	}
	evt.RoomID, evt.Type.Class = id.RoomID(u.Room), event.MessageEventType
	if err := evt.Content.ParseRaw(evt.Type); err != nil {
		return nil, fmt.Errorf("reading a message that was kept: %w", err)
	}
	return &evt, nil
}

// tellUnread says which messages still can't be read, and asks their senders' devices for the keys. It tells whether any
// wait untold.
func (r *service) tellUnread(ctx context.Context) (waiting bool, err error) {
	all, err := r.side.Unread(ctx)
	if err != nil {
		return false, err
	}
	for _, u := range all {
		if u.Told {
			continue
		}
		if time.Since(u.At) < keyGrace {
			waiting = true
			continue
		}
		evt, err := parse(u)
		if err != nil {
			return false, err
		}
		r.askForKey(ctx, evt)
		if err := r.say(ctx, evt, "/unread", fmt.Sprintf(sayUnread, clock(sentAt(evt)))); err != nil {
			return false, err
		}
		if err := r.side.TellUnread(ctx, u.Event); err != nil {
			return false, err
		}
	}
	return waiting, nil
}

// askForKey asks the sender's devices for the key of a message. A request that is lost costs nothing: its sender has
// been told.
func (r *service) askForKey(ctx context.Context, evt *event.Event) {
	c := evt.Content.AsEncrypted()
	_ = r.mach.SendRoomKeyRequest(ctx, evt.RoomID, c.SenderKey, c.SessionID, "", map[id.UserID][]id.DeviceID{evt.Sender: {"*"}}) //nolint:staticcheck // older apps look for the sender's key
}

// clip shortens a person's text for quoting.
func clip(text string) string {
	const most = 80
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}
