//go:build goolm

package matrix

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/store"
)

// filter asks for what happens in rooms, and for nothing else.
const filter = `{"presence":{"not_types":["*"]},"account_data":{"not_types":["*"]},` +
	`"room":{"ephemeral":{"not_types":["*"]},"account_data":{"not_types":["*"]},"timeline":{"limit":100}}}`

// How long the homeserver holds its answer while nothing happens.
const (
	longPoll  = 30 * time.Second
	shortPoll = time.Second // while something is to be looked at again
)

// listen receives what happens until ctx ends: one answer of the homeserver after the other, each received whole or not
// at all.
func (r *service) listen(ctx context.Context) error {
	since, err := r.DB.Position(ctx, transport)
	if err != nil {
		return err
	}
	poll := time.Duration(0)
	for {
		var resp *mautrix.RespSync
		err := r.insist(ctx, func() (err error) {
			ctx, quick := r.syncs.begin(ctx)
			if quick {
				poll = 0
			}
			resp, err = r.cli.FullSyncRequest(ctx, mautrix.ReqSync{Timeout: int(poll.Milliseconds()), Since: since, FilterID: filter})
			return errors.Join(err, context.Cause(ctx))
		})
		if errors.Is(err, errHurry) {
			continue
		}
		if errors.Is(err, mautrix.MUnknownToken) {
			return fmt.Errorf(tellLoggedOut, r.cli.DeviceID, deviceFile(r.Config))
		}
		if err != nil {
			return err
		}
		// Keys come first, so that what they unlock can be read. Having them twice does no harm; losing one does.
		r.mach.ProcessSyncResponse(ctx, resp, since)
		waiting := false
		err = r.insist(ctx, func() (err error) {
			waiting, err = r.receive(ctx, resp, since)
			return err
		})
		if err != nil {
			return err
		}
		since, poll = resp.NextBatch, longPoll
		if waiting {
			poll = shortPoll
		}
		r.syncs.end()
		r.letAnswer(ctx)
	}
}

// answering is how long the homeserver isn't asked for more while what came is being answered. It would put its next answer to us,
// which holds nothing but what we say ourselves, before the one to the person who waits.
const answering = 100 * time.Millisecond

// letAnswer wakes the worker, and waits till it has gone through what there is.
func (r *service) letAnswer(ctx context.Context) {
	select {
	case <-r.rested:
	default:
	}
	r.wake()
	t := time.NewTimer(answering)
	defer t.Stop()
	select {
	case <-r.rested:
	case <-t.C:
	case <-ctx.Done():
	}
}

// receive takes in one answer of the homeserver: what became of rooms, what was said, and the new position. It tells
// whether anything is to be looked at again soon.
func (r *service) receive(ctx context.Context, resp *mautrix.RespSync, since string) (waiting bool, err error) {
	late, err := r.readLate(ctx)
	if err != nil {
		return false, err
	}
	in := late.messages
	for _, room := range slices.Sorted(maps.Keys(resp.Rooms.Join)) {
		said, err := r.receiveRoom(ctx, room, resp.Rooms.Join[room], since)
		if err != nil {
			return false, err
		}
		in = append(in, said...)
	}
	if err := r.keepInvitations(ctx, resp); err != nil {
		return false, err
	}
	// From an older position the homeserver tells the same again, but not what was kept elsewhere and is forgotten there next.
	receive := r.DB.ReceiveRepeatable
	if len(late.read) > 0 {
		receive = r.DB.Receive
	}
	if _, err := receive(ctx, transport, in, resp.NextBatch); err != nil {
		return false, err
	}
	r.wake() // whoever said something waits for an answer; the rest of this doesn't concern them
	// Nothing is half-way in now, so a photo that is to go can't be one that just came.
	if err := r.DB.RemoveUnwanted(ctx); err != nil {
		return false, err
	}
	for _, event := range late.read {
		if err := r.side.ForgetUnread(ctx, event); err != nil {
			return false, err
		}
	}
	left, err := r.settleInvitations(ctx)
	if err != nil {
		return false, err
	}
	untold, err := r.tellUnread(ctx)
	if err != nil {
		return false, err
	}
	return left || untold, r.conditions(ctx)
}

// receiveRoom takes in what happened in one room, in its order.
func (r *service) receiveRoom(ctx context.Context, room id.RoomID, in *mautrix.SyncJoinedRoom, since string) (said []store.Incoming, err error) {
	for _, evt := range in.State.Events {
		if err := r.changed(ctx, room, evt); err != nil {
			return nil, err
		}
	}
	timeline := in.Timeline.Events
	if in.Timeline.Limited && since != "" && r.joinedAt(timeline) < 0 {
		missed, err := r.missed(ctx, room, in.Timeline.PrevBatch, since)
		if err != nil {
			return nil, err
		}
		timeline = slices.Concat(missed, timeline)
	}
	// What was said before we came isn't for us; the first answer of all holds nothing else.
	joined := r.joinedAt(timeline)
	for n, evt := range timeline {
		if evt.StateKey != nil {
			if err := r.changed(ctx, room, evt); err != nil {
				return nil, err
			}
			continue
		}
		if n < joined || since == "" {
			continue
		}
		one, err := r.heard(ctx, room, evt)
		if err != nil {
			return nil, err
		}
		said = append(said, one...)
	}
	return said, nil
}

// joinedAt is where in a timeline we came into the room; -1: before it. A change of our display name is told in the
// same way, and isn't meant.
func (r *service) joinedAt(timeline []*event.Event) int {
	for n, evt := range slices.Backward(timeline) {
		if evt.Type.Type != event.StateMember.Type || evt.GetStateKey() != r.cli.UserID.String() {
			continue
		}
		before := ""
		if evt.Unsigned.PrevContent != nil {
			before, _ = evt.Unsigned.PrevContent.Raw["membership"].(string)
		}
		if now, _ := evt.Content.Raw["membership"].(string); now == string(event.MembershipJoin) && before != string(event.MembershipJoin) {
			return n
		}
	}
	return -1
}

// missed fetches what the homeserver left out between since and prevBatch, oldest first.
func (r *service) missed(ctx context.Context, room id.RoomID, prevBatch, since string) ([]*event.Event, error) {
	const page = 100
	var all []*event.Event // newest first
	for from := prevBatch; from != ""; {
		got, err := r.cli.Messages(ctx, room, from, since, mautrix.DirectionBackward, nil, page)
		if err != nil {
			return nil, fmt.Errorf("fetching what was said in %s meanwhile: %w", room, err)
		}
		all = append(all, got.Chunk...)
		reached, err := r.receivedAny(ctx, got.Chunk)
		if err != nil {
			return nil, err
		}
		if reached || len(got.Chunk) == 0 || got.End == from || r.joinedAt(got.Chunk) >= 0 {
			break
		}
		from = got.End
	}
	slices.Reverse(all)
	return all, nil
}

// receivedAny tells whether one of these was received before: then there is no gap behind it.
func (r *service) receivedAny(ctx context.Context, events []*event.Event) (any bool, err error) {
	err = r.DB.View(ctx, func(tx *store.Tx) error {
		for _, evt := range events {
			_, found, err := tx.Incoming(evt.ID.String())
			if err != nil {
				return err
			}
			any = any || found
		}
		return nil
	})
	return any, err
}
