//go:build goolm

package matrix

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/store"
	"becket/store/device"
)

// moves is what the worker remembers of rooms that are said to be replaced.
type moves struct {
	next   map[string]time.Time // when to look again
	inside map[string]bool      // we are in the room that replaces it, and have looked since
	told   map[string]string    // what the operator was told last
}

// lookAgain is how long to wait before a room that couldn't be followed yet is looked at again.
const lookAgain = 30 * time.Second

// checkRooms asks of every room whether it was replaced while nobody listened.
func (r *service) checkRooms(ctx context.Context) error {
	var teams []store.Team
	err := r.DB.View(ctx, func(tx *store.Tx) (err error) {
		teams, err = tx.AllTeams()
		return err
	})
	if err != nil {
		return err
	}
	for _, team := range teams {
		var grave event.TombstoneEventContent
		err := r.cli.StateEvent(ctx, id.RoomID(team.Room), event.StateTombstone, "", &grave)
		if err != nil || grave.ReplacementRoom == "" {
			continue // it has none, or the homeserver tells it with the next answer
		}
		if err := r.side.Replaced(ctx, device.Replacement{Room: team.Room, By: grave.ReplacementRoom.String()}); err != nil {
			return err
		}
	}
	return nil
}

// followAll moves each register whose room was replaced, where it was replaced by somebody who may.
func (r *service) followAll(ctx context.Context) error {
	all, err := r.side.Replacements(ctx)
	if err != nil {
		return err
	}
	for _, rep := range all {
		inside := r.states.IsInRoom(ctx, id.RoomID(rep.By), r.cli.UserID)
		if time.Until(r.moves.next[rep.Room]) > 0 && inside == r.moves.inside[rep.Room] {
			continue
		}
		r.moves.next[rep.Room], r.moves.inside[rep.Room] = time.Now().Add(lookAgain), inside
		if err := r.follow(ctx, rep); err != nil {
			return err
		}
	}
	return nil
}

// follow moves one register. What has to wait is looked at again; the operator is told once why.
func (r *service) follow(ctx context.Context, rep device.Replacement) error {
	moved, err := r.tryFollow(ctx, rep)
	var problem store.Problem
	var not refusal
	switch {
	case errors.As(err, &problem):
		return err
	case errors.As(err, &not):
		r.tellOnce(rep.Room, string(not))
	case err != nil && !isAway(err):
		r.tellOnce(rep.Room, fmt.Sprintf(tellNotYetThere, rep.Room, rep.By, err))
		return nil
	case err != nil:
		return nil
	case moved:
		r.Tell(fmt.Sprintf(tellMoved, rep.Room, rep.By))
	}
	return r.side.SettleReplacement(ctx, rep.Room)
}

func (r *service) tellOnce(room, sentence string) {
	if r.moves.told[room] != sentence {
		r.moves.told[room] = sentence
		r.Tell(sentence)
	}
}

// refusal says why a room isn't followed at all.
type refusal string

func (r refusal) Error() string { return string(r) }

// lastWord is what a room with a register says of its end, and the rest of its state. Nil: it says nothing of the kind, or has
// no register. A refusal says that whoever ended it has no power to.
func (r *service) lastWord(ctx context.Context, rep device.Replacement) (grave *event.Event, state mautrix.RoomStateMap, err error) {
	known := false
	err = r.DB.View(ctx, func(tx *store.Tx) (err error) {
		_, known, err = tx.Team(rep.Room)
		return err
	})
	if err != nil || !known {
		return nil, nil, err
	}
	if state, err = r.cli.State(ctx, id.RoomID(rep.Room)); err != nil {
		return nil, nil, err
	}
	grave = state[event.StateTombstone][""]
	if grave == nil || grave.Content.AsTombstone().ReplacementRoom != id.RoomID(rep.By) {
		return nil, state, nil // it says something else by now, which has come or is coming
	}
	if !mayReplace(state, grave.Sender) {
		return nil, state, refusal(fmt.Sprintf(tellNotFollowed, grave.Sender, rep.Room, rep.By))
	}
	return grave, state, nil
}

// awaited tells whether a room rightly replaces one with a register.
func (r *service) awaited(ctx context.Context, room string) (bool, error) {
	all, err := r.side.Replacements(ctx)
	if err != nil {
		return false, err
	}
	for _, rep := range all {
		if rep.By != room {
			continue
		}
		grave, _, err := r.lastWord(ctx, rep)
		var not refusal
		if grave != nil || err != nil && !errors.As(err, &not) {
			return grave != nil, err
		}
	}
	return false, nil
}

func (r *service) tryFollow(ctx context.Context, rep device.Replacement) (moved bool, err error) {
	grave, state, err := r.lastWord(ctx, rep)
	if err != nil || grave == nil {
		return false, err
	}
	_, server, _ := grave.Sender.Parse()
	if _, err := r.cli.JoinRoom(ctx, rep.By, &mautrix.ReqJoinRoom{Via: []string{server}}); err != nil {
		return false, err
	}
	next, err := r.cli.State(ctx, id.RoomID(rep.By))
	if err != nil {
		return false, err
	}
	if create := next[event.StateCreate][""]; create == nil || create.Content.AsCreate().GetPredecessor().RoomID != id.RoomID(rep.Room) {
		return false, refusal(fmt.Sprintf(tellNoSuccessor, rep.By, rep.Room))
	}
	if next[event.StateEncryption][""] == nil && state[event.StateEncryption][""] != nil {
		return false, errLessSecret
	}
	err = r.DB.Do(ctx, func(tx *store.Tx) (err error) {
		moved, err = r.Bot.Move(tx, rep.Room, rep.By, grave.Sender.String(), "moved/"+grave.ID.String())
		if err == nil && !moved {
			_, taken, teamErr := tx.Team(rep.By)
			if teamErr == nil && taken {
				return refusal(fmt.Sprintf(tellTwoRegisters, rep.Room, rep.By))
			}
			return teamErr
		}
		return err
	})
	return moved, err
}

// errLessSecret says that a room that replaces an encrypted one isn't encrypted.
var errLessSecret = errors.New("it isn't encrypted, and the old room is; turn encryption on there")

// leastPower is what somebody needs in any case to take a room's register elsewhere, however little the room asks for: who may
// change a room at all has this much by default.
const leastPower = 50

// mayReplace tells whether somebody has the power to replace a room, by the room's own rules.
func mayReplace(state mautrix.RoomStateMap, who id.UserID) bool {
	create := state[event.StateCreate][""]
	if create == nil {
		return false
	}
	powers := state[event.StatePowerLevels][""]
	if powers == nil { // then only who made it has any
		return who == create.Sender || slices.Contains(create.Content.AsCreate().AdditionalCreators, who) && create.Content.AsCreate().SupportsCreatorPower()
	}
	levels := powers.Content.AsPowerLevels()
	levels.CreateEvent = create
	return levels.GetUserLevel(who) >= max(levels.GetEventLevel(event.StateTombstone), leastPower)
}

// replaces tells whether a room says of itself that it replaces one with a register. Such a room gets no register of its own.
func (r *service) replaces(ctx context.Context, room id.RoomID) (old string, is bool, err error) {
	var create event.CreateEventContent
	if err := r.cli.StateEvent(ctx, room, event.StateCreate, "", &create); err != nil && !errors.Is(err, mautrix.MNotFound) {
		return "", false, err
	}
	old = create.GetPredecessor().RoomID.String()
	err = r.DB.View(ctx, func(tx *store.Tx) (err error) {
		_, is, err = tx.Team(old)
		return err
	})
	return old, is, err
}
