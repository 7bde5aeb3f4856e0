//go:build goolm

package matrix

import (
	"context"
	"errors"
	"fmt"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/store"
	"becket/store/device"
)

// errOpened says that a room that was encrypted is said to be open.
var errOpened = errors.New("it was encrypted, and now it is said not to be")

// changed notes what a room has become: who is in it, and whether it is encrypted.
func (r *service) changed(ctx context.Context, room id.RoomID, evt *event.Event) error {
	evt.RoomID, evt.Type.Class = room, event.StateEventType
	if err := evt.Content.ParseRaw(evt.Type); err != nil && !errors.Is(err, event.ErrContentAlreadyParsed) {
		return nil //nolint:nilerr // what nobody can read changes nothing
	}
	if evt.Type == event.StateEncryption {
		if err := r.side.MarkEncrypted(ctx, room.String()); err != nil {
			return err
		}
	}
	mautrix.UpdateStateStore(ctx, r.states, evt)
	switch evt.Type {
	case event.StateTombstone:
		return r.side.Replaced(ctx, device.Replacement{Room: room.String(), By: evt.Content.AsTombstone().ReplacementRoom.String()})
	case event.StateMember:
		r.mach.HandleMemberEvent(ctx, evt)
	case event.StateHistoryVisibility:
		// Who may read what came before goes with the key, so the next message gets a new one.
		if err := r.mach.CryptoStore.RemoveOutboundGroupSession(ctx, room); err != nil {
			return fmt.Errorf("changing the key of %s: %w", room, err)
		}
	}
	return nil
}

// encrypted tells whether a room is encrypted. Of a room that isn't known to this device it asks the homeserver; where
// that fails, or speaks against what is remembered, the error keeps everything from being sent.
func (r *service) encrypted(ctx context.Context, room id.RoomID) (bool, error) {
	known, remembered, err := r.side.Room(ctx, room.String())
	if err != nil {
		return false, err
	}
	now, err := r.states.IsEncrypted(ctx, room)
	if err != nil {
		return false, fmt.Errorf("reading the device's own file: %w", err)
	}
	if known && now == remembered {
		return now, nil
	}
	if _, err := r.cli.State(ctx, room); err != nil {
		return false, fmt.Errorf("asking whether %s is encrypted: %w", room, err)
	}
	if now, err = r.states.IsEncrypted(ctx, room); err != nil {
		return false, fmt.Errorf("reading the device's own file: %w", err)
	}
	switch {
	case remembered && !now:
		return true, errOpened
	case now:
		if err := r.side.MarkEncrypted(ctx, room.String()); err != nil {
			return true, err
		}
	}
	return now, r.side.KnowRoom(ctx, room.String())
}

// keepInvitations keeps who asked us where, until it is settled: the homeserver tells it once.
func (r *service) keepInvitations(ctx context.Context, resp *mautrix.RespSync) error {
	for room, in := range resp.Rooms.Invite {
		for _, evt := range in.BestState() {
			if evt.Type.Type == event.StateMember.Type && evt.GetStateKey() == r.cli.UserID.String() {
				if err := r.side.Invited(ctx, device.Invitation{Room: room.String(), By: evt.Sender.String()}); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// settleInvitations joins where somebody who may has asked us, and declines everything else. It tells whether any is left
// because the homeserver was in the way.
func (r *service) settleInvitations(ctx context.Context) (left bool, err error) {
	all, err := r.side.Invitations(ctx)
	if err != nil {
		return false, err
	}
	for _, in := range all {
		said, err := r.settle(ctx, in)
		var problem store.Problem
		switch {
		case errors.As(err, &problem):
			return false, err
		case isAway(err):
			left = true
			continue
		case err != nil:
			said = fmt.Sprintf(tellNotJoined, in.By, in.Room, err)
		}
		r.Tell(said)
		if err := r.side.Settled(ctx, in.Room); err != nil {
			return false, err
		}
	}
	return left, nil
}

// settle accepts or declines one invitation, and gives what the operator is told.
func (r *service) settle(ctx context.Context, in device.Invitation) (said string, err error) {
	awaited, err := r.awaited(ctx, in.Room)
	switch {
	case err != nil:
		return "", err
	case awaited: // the room that it replaces vouches for it
		_, err := r.cli.JoinRoomByID(ctx, id.RoomID(in.Room))
		return fmt.Sprintf(tellJoined, in.By, in.Room), err
	case r.Config.allows(id.UserID(in.By)):
		return r.join(ctx, in)
	}
	_, err = r.cli.LeaveRoom(ctx, id.RoomID(in.Room))
	return fmt.Sprintf(tellDeclined, in.By, in.Room), err
}

// join enters a room; whoever invited us into a new one keeps its register.
func (r *service) join(ctx context.Context, in device.Invitation) (said string, err error) {
	if _, err := r.cli.JoinRoomByID(ctx, id.RoomID(in.Room)); err != nil {
		return "", err
	}
	old, is, err := r.replaces(ctx, id.RoomID(in.Room))
	if err != nil || is {
		return fmt.Sprintf(tellWaits, in.By, in.Room, old), err
	}
	return fmt.Sprintf(tellJoined, in.By, in.Room), r.found(ctx, in)
}

// found makes a room known, with whoever invited us as its keeper.
func (r *service) found(ctx context.Context, in device.Invitation) error {
	var called event.RoomNameEventContent
	if err := r.cli.StateEvent(ctx, id.RoomID(in.Room), event.StateRoomName, "", &called); err != nil && !errors.Is(err, mautrix.MNotFound) {
		return err
	}
	if called.Name == "" {
		called.Name = "our store"
	}
	return r.DB.Do(ctx, func(tx *store.Tx) error {
		return r.Bot.Found(tx, in.Room, in.By, called.Name, "invitation/"+in.Room)
	})
}
