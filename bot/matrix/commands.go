//go:build goolm

package matrix

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/event/cmdschema"
	"maunium.net/go/mautrix/id"

	"becket/bot"
	"becket/store"
)

// between is the time between one command's description and the next: there are many, and nobody waits for them.
const between = 50 * time.Millisecond

// notLet marks that a room doesn't let us describe commands, and that the operator was told.
const notLet = "not let"

// showCommands tells the apps of each room what can be typed (MSC4391, which few apps know yet), until ctx ends. Nothing depends
// on it: where a room or its homeserver doesn't let us, the operator is told once.
func (r *service) showCommands(ctx context.Context) {
	contents := described()
	text, err := json.Marshal(contents)
	if err != nil {
		return
	}
	sum := sha256.Sum256(text)
	what := hex.EncodeToString(sum[:8])
	tried := map[string]bool{}
	for sleep(ctx, between) {
		var teams []store.Team
		err := r.DB.View(ctx, func(tx *store.Tx) (err error) {
			teams, err = tx.AllTeams()
			return err
		})
		for _, team := range teams {
			if err == nil && !tried[team.Room] {
				tried[team.Room] = r.showCommandsIn(ctx, team.Room, what, contents)
			}
		}
		if !sleep(ctx, r.Every) {
			return
		}
	}
}

// showCommandsIn tells one room's apps. It tells whether that is settled.
func (r *service) showCommandsIn(ctx context.Context, room, what string, contents []*cmdschema.EventContent) (settled bool) {
	shown, err := r.side.Shown(ctx, room)
	if err != nil || shown == what {
		return err == nil
	}
	for _, c := range contents {
		_, err := r.cli.SendStateEvent(ctx, id.RoomID(room), event.StateMSC4391BotCommand, c.StateKey(r.cli.UserID), c)
		switch {
		case isAway(err), ctx.Err() != nil:
			sleep(ctx, wait(err, 0))
			return false
		case err != nil && shown == notLet:
			return true
		case err != nil:
			why := err
			if errors.Is(err, mautrix.MForbidden) {
				why = errNoPower
			}
			r.Tell(fmt.Sprintf(tellNotShown, room, why))
			return r.side.SetShown(ctx, room, notLet) == nil
		}
		if !sleep(ctx, between) {
			return false
		}
	}
	return r.side.SetShown(ctx, room, what) == nil
}

// errNoPower says what is missing for describing commands.
var errNoPower = errors.New("it may not change the room's settings; a moderator may")

// described are the descriptions of what can be typed.
func described() (all []*cmdschema.EventContent) {
	for _, c := range bot.AllTyped() {
		d := &cmdschema.EventContent{Command: c.Words, Aliases: c.Or}
		if c.Says != "" {
			d.Description = event.MakeExtensibleText(c.Says)
		}
		if !c.Bare {
			const rest = "rest"
			d.TailParam = rest
			d.Parameters = []*cmdschema.Parameter{{Key: rest, Schema: cmdschema.PrimitiveTypeString.Schema(), Optional: true}}
		}
		all = append(all, d)
	}
	return all
}

// typed is the text of a message that an app made out of a command's description: without the sign that the app puts before.
// What people see is what counts, so what stands beside it for programs isn't read.
func typed(content *event.MessageEventContent) string {
	if content.MSC4391BotCommand == nil {
		return content.Body
	}
	return strings.TrimLeft(strings.TrimSpace(content.Body), "/!")
}
