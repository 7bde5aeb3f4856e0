package main

import (
	"context"
	_ "embed"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/mattn/go-isatty"

	"becket/bot"
	"becket/bot/console"
	"becket/store"
)

// chatCommand is `becket chat`.
type chatCommand struct {
	JSON  bool    `name:"json" help:"Talk in JSON, an object a line, for programs."`
	As    string  `default:"@me" placeholder:"@NAME" help:"Who is typing."`
	Room  string  `default:"!here" placeholder:"ROOM" help:"Which room this is."`
	Demo  bool    `help:"Load the invented demo team when the database is empty."`
	Now   string  `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	Seed  *uint64 `placeholder:"N" help:"Fix chance."`
	Flows string  `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
	wordingFlags
}

//go:embed testdata/demo-team.yaml
var demoTeam []byte

func (c *chatCommand) Run(cli *commandLine, s *streams) error {
	fixed, err := at(c.Now)
	if err != nil {
		return err
	}
	clock := console.NewClock(fixed, time.Now)
	w, err := c.wording()
	if err != nil {
		return err
	}
	b, err := newBot(c.Flows, bot.Options{Rewords: rewords(w), FirstIsKeeper: true, Seed: c.Seed, Troubled: func(room string, err error) {
		fmt.Fprintf(s.err, "becket: Nothing could be told in %s by itself; it is tried again: %v.\n", room, err)
	}})
	if err != nil {
		return err
	}
	db, err := cli.open(clock.Now)
	if err != nil {
		return err
	}
	defer db.Close()
	ctx := context.Background()
	if c.Demo {
		if err := loadDemo(ctx, b, db, s.out, c.As, c.JSON); err != nil {
			return err
		}
	}
	if err := warnOfCopy(ctx, db, cli.DB, s.err); err != nil {
		return err
	}
	if fixed.IsZero() {
		if err := warnOfClock(ctx, db, clock.Now(), s.err); err != nil {
			return err
		}
	}
	defer fill(ctx, w, b, db, s.err)()
	defer makeSmall(ctx, db, s.err)()
	con := console.Console{
		Bot: b, DB: db, Wording: w, Clock: clock, In: s.in, Out: s.out, JSON: c.JSON, As: c.As, Room: c.Room,
		Terminal: !c.JSON && s.in == os.Stdin && isatty.IsTerminal(os.Stdin.Fd()) && isatty.IsTerminal(os.Stdout.Fd()),
		Working:  func() (done func()) { return underWay(s.err, tellEvery) },
	}
	return con.Run(ctx)
}

// warnOfClock says that the machine's clock stands before the record's last entry, so that nothing is dated wrongly unseen.
func warnOfClock(ctx context.Context, db *store.DB, now time.Time, out io.Writer) error {
	return db.View(ctx, func(tx *store.Tx) error {
		seq, _, err := tx.Head()
		if err != nil || seq == 0 {
			return err
		}
		last, _, err := tx.Entry(seq)
		if err == nil && now.Before(last.At) {
			fmt.Fprintf(out, "becket: the clock says %s, which is before the last entry (%s). Put it right, or dates will be wrong.\n",
				now.Format(time.RFC3339), last.At.Format(time.RFC3339))
		}
		return err
	})
}

// loadDemo enters the invented team in an empty database and says what to try.
func loadDemo(ctx context.Context, b *bot.Bot, db *store.DB, out io.Writer, as string, json bool) error {
	team, err := bot.ParseTeamFile(demoTeam)
	if err != nil {
		return err
	}
	err = db.Do(ctx, func(tx *store.Tx) error {
		n, err := tx.Teams()
		if err != nil || n > 0 {
			return err
		}
		return b.Import(tx, team, "demo")
	})
	if err != nil || json {
		return err
	}
	welcome := bot.DemoWelcome
	if as != "@me" {
		welcome = fmt.Sprintf(bot.DemoWelcomeAs, as)
	}
	_, err = fmt.Fprint(out, welcome, "\n\n")
	return err
}
