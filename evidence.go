package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"time"
)

// tellEvery is how often is said how far something has come that takes long.
const tellEvery = 2 * time.Second

// evidenceCommand is `becket evidence`.
type evidenceCommand struct {
	Room  string `placeholder:"ROOM" help:"Whose store; needed where there are several teams."`
	Now   string `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	Flows string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
	File  string `arg:"" help:"The file to write, one that isn't there yet, like evidence.zip."`
}

func (c *evidenceCommand) Run(cli *commandLine, s *streams) error {
	now, err := today(c.Now)
	if err = errors.Join(err, vacant(c.File)); err != nil {
		return err
	}
	of, err := cli.toReadStore(c.Room, c.Flows, func() time.Time { return now })
	if err != nil {
		return err
	}
	defer of.db.Close()
	last := time.Now()
	told := func(done, all int) {
		if time.Since(last) >= tellEvery {
			last = time.Now()
			fmt.Fprintf(s.err, "%d of %d items and records\n", done, all)
		}
	}
	if err := writeWhole(c.File, func(out *bufio.Writer) error { return of.bot.Evidence(context.Background(), of.db, of.room, out, told) }); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "Written: %s. Unpack it and open evidence.html in any browser.\n", c.File)
	return err
}
