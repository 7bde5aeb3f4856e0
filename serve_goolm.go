//go:build goolm

package main

import (
	"cmp"
	"context"
	"fmt"
	"os/signal"
	"syscall"
	"time"

	"becket/bot"
	"becket/bot/matrix"
	"becket/store"
)

// serveCommand is `becket serve`.
type serveCommand struct {
	Config  string `arg:"" optional:"" default:"becket.yaml" help:"The configuration file."`
	Example bool   `help:"Write a configuration file with comments, and do nothing else."`
	Flows   string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
}

func (c *serveCommand) Run(cli *commandLine, s *streams) error {
	if c.Example {
		_, err := fmt.Fprint(s.out, matrix.Example)
		return err
	}
	config, err := matrix.ReadConfig(c.Config)
	if err != nil {
		return err
	}
	config.Database = cmp.Or(config.Database, cli.DB)
	tell := func(sentence string) { fmt.Fprintln(s.err, "becket:", sentence) }
	troubled := func(room string, err error) {
		tell(fmt.Sprintf("Nothing could be told in %s by itself; it is tried again in a quarter of an hour: %v.", room, err))
	}
	words := config.Wording
	w, err := wordingFlags{Wording: words.URL, WordingModel: words.Model, WordingKey: words.KeyFile, WordingBudget: words.Budget}.wording()
	if err != nil {
		return err
	}
	b, err := newBot(c.Flows, bot.Options{Rewords: rewords(w), HushAfter: 20, Troubled: troubled}) // nobody does that by hand
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	defer stop()
	db, err := store.Open(ctx, config.Database, time.Now)
	if err != nil {
		return err
	}
	defer db.Close()
	defer fill(ctx, w, b, db, s.err)()
	defer makeSmall(ctx, db, s.err)()
	return matrix.Service{Config: config, Bot: b, DB: db, Tell: tell, Wording: w}.Run(ctx)
}
