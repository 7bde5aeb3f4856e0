package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
)

// reportCommand is `becket report`.
type reportCommand struct {
	Room  string `placeholder:"ROOM" help:"Whose store; needed where there are several teams."`
	Now   string `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	Flows string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
	Mark  string `arg:"" help:"The item's mark, like D-07."`
	File  string `arg:"" help:"The file to write, one that isn't there yet, like D-07.pdf."`
}

func (c *reportCommand) Run(cli *commandLine, s *streams) error {
	now, err := clock(c.Now)
	if err = errors.Join(err, vacant(c.File)); err != nil {
		return err
	}
	of, err := cli.toReadStore(c.Room, c.Flows, now)
	if err != nil {
		return err
	}
	defer of.db.Close()
	document, said, err := of.bot.IssuedReport(context.Background(), of.db, of.room, c.Mark)
	if err != nil {
		return err
	}
	kept, err := of.db.Blob(document.Hash)
	if err != nil {
		return err
	}
	err = writeWhole(c.File, func(out *bufio.Writer) error { _, err := io.Copy(out, kept); return err })
	if err := errors.Join(err, kept.Close()); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "Written: %s. %s\n", c.File, said)
	return err
}
