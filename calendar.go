package main

import (
	"bufio"
	"context"
	"fmt"

	"becket/store"
)

// calendarCommand is `becket calendar`.
type calendarCommand struct {
	Room string `placeholder:"ROOM" help:"Whose store; needed where there are several teams."`
	Now  string `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	File string `arg:"" help:"The file to write, like due.ics."`
}

func (c *calendarCommand) Run(cli *commandLine, s *streams) error {
	now, err := clock(c.Now)
	if err != nil {
		return err
	}
	of, err := cli.toReadStore(c.Room, "", now)
	if err != nil {
		return err
	}
	defer of.db.Close()
	file, err := of.bot.Calendar(context.Background(), of.db, of.room)
	switch {
	case err != nil:
		return err
	case file == nil:
		fmt.Fprintln(s.out, "Nothing has a day on which it falls due; no file was written.")
		return nil
	}
	if err := writeWhole(c.File, func(out *bufio.Writer) error { _, err := out.Write(file); return err }); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "Written: %s. It doesn't follow by itself; what Becket says counts.\n", c.File)
	return nil
}

// theRoom is the room that is meant: the one named, or the only one.
func theRoom(db *store.DB, named string) (room string, err error) {
	err = db.View(context.Background(), func(tx *store.Tx) error {
		teams, err := tx.AllTeams()
		switch {
		case err != nil:
			return err
		case named != "":
			room = named
		case len(teams) == 1:
			room = teams[0].Room
		case len(teams) == 0:
			return fmt.Errorf("there is no team in that database")
		default:
			return fmt.Errorf("there are %d teams in that database; say which with --room, like --room %s", len(teams), teams[0].Room)
		}
		return nil
	})
	return room, err
}
