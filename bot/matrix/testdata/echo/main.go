// Echo is the least that a bot in encrypted rooms can be, with the library that Becket uses and nothing else. Becket's speed is
// measured against it.
//
//	BECKET_PASSWORD=... echo HOMESERVER USER FILE
//
// It joins wherever it is invited, and answers each message in its thread with as many letters as a question of Becket's has.
package main

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"go.mau.fi/util/dbutil"
	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/crypto/cryptohelper"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
	_ "modernc.org/sqlite"
)

// lettersOfAQuestion is how long a question of Becket's is, with its choices.
const lettersOfAQuestion = 200

// kept says that what it writes is on the disk before it goes on, as Becket's is.
const kept = "?_txlock=immediate&_pragma=foreign_keys(1)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=busy_timeout(5000)"

func main() {
	if err := run(os.Args[1], os.Args[2], os.Getenv("BECKET_PASSWORD"), os.Args[3]); err != nil {
		fmt.Fprintln(os.Stderr, "echo:", err)
		os.Exit(1)
	}
}

func run(homeserver, user, password, file string) error {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	raw, err := sql.Open("sqlite", "file:"+file+kept)
	if err != nil {
		return err
	}
	defer raw.Close()
	db, err := dbutil.NewWithDB(raw, "sqlite")
	if err != nil {
		return err
	}
	cli, err := mautrix.NewClient(homeserver, "", "")
	if err != nil {
		return err
	}
	syncer := cli.Syncer.(*mautrix.DefaultSyncer)
	syncer.FilterJSON = &mautrix.Filter{Presence: &mautrix.FilterPart{NotTypes: []event.Type{{Type: "*"}}}}
	syncer.OnEventType(event.StateMember, func(ctx context.Context, evt *event.Event) {
		if evt.GetStateKey() == user && evt.Content.AsMember().Membership == event.MembershipInvite {
			if _, err := cli.JoinRoomByID(ctx, evt.RoomID); err != nil {
				fmt.Fprintln(os.Stderr, "echo:", err)
			}
		}
	})
	syncer.OnEventType(event.EventMessage, func(ctx context.Context, evt *event.Event) {
		if evt.Sender != cli.UserID {
			answer(ctx, cli, evt)
		}
	})
	helper, err := cryptohelper.NewCryptoHelper(cli, []byte("echo"), db)
	if err != nil {
		return err
	}
	helper.LoginAs = &mautrix.ReqLogin{
		Type: mautrix.AuthTypePassword, Password: password,
		Identifier: mautrix.UserIdentifier{Type: mautrix.IdentifierTypeUser, User: string(id.UserID(user))},
	}
	if err := helper.Init(ctx); err != nil {
		return err
	}
	cli.Crypto = helper
	if err := cli.SyncWithContext(ctx); ctx.Err() == nil {
		return err
	}
	return nil
}

func answer(ctx context.Context, cli *mautrix.Client, evt *event.Event) {
	text := evt.Content.AsMessage().Body
	c := &event.MessageEventContent{MsgType: event.MsgText, Body: text + strings.Repeat(".", max(0, lettersOfAQuestion-len(text)))}
	c.SetThread(evt)
	if _, err := cli.SendMessageEvent(ctx, evt.RoomID, event.EventMessage, c); err != nil {
		fmt.Fprintln(os.Stderr, "echo:", err)
	}
}
