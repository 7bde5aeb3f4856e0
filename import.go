package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"becket/bot"
	"becket/store"
)

// importCommand is `becket import`.
type importCommand struct {
	Flows  string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
	Photos string `placeholder:"DIR" help:"For a record: the folder with its photos, if it isn't beside the file as FILE-photos."`
	File   string `arg:"" help:"A team file, YAML or JSON; or a record as \"becket export\" wrote it, into a database that isn't there yet."`
}

func (c *importCommand) Run(cli *commandLine, s *streams) error {
	is, err := isExport(c.File)
	switch {
	case err != nil:
		return err
	case is:
		return c.record(cli, s)
	}
	return c.team(cli, s)
}

// isExport looks into a file's start. Standard input is always a team file.
func isExport(name string) (bool, error) {
	if name == "-" {
		return false, nil
	}
	f, err := os.Open(name)
	if err != nil {
		return false, fmt.Errorf("the file %s can't be read", name)
	}
	defer f.Close()
	start, err := bufio.NewReader(f).Peek(512)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, nil // what is wrong is said by who reads it
	}
	return store.IsExport(start), nil
}

func (c *importCommand) team(cli *commandLine, s *streams) error {
	text, err := readFile(c.File, s.in)
	if err != nil {
		return err
	}
	team, err := bot.ParseTeamFile(text)
	if err != nil {
		return err
	}
	b, err := newBot(c.Flows, bot.Options{})
	if err != nil {
		return err
	}
	db, err := cli.open(time.Now)
	if err != nil {
		return err
	}
	defer db.Close()
	err = db.Do(context.Background(), func(tx *store.Tx) error { return b.Import(tx, team, "team file") })
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "Taken: %d people, %d sheets, %d instruments, %d items.\n", len(team.People), len(team.Sheets), len(team.Instruments), len(team.Items))
	return err
}

// record reads a whole record back.
func (c *importCommand) record(cli *commandLine, s *streams) error {
	b, err := newBot(c.Flows, bot.Options{})
	if err != nil {
		return err
	}
	f, err := os.Open(c.File)
	if err != nil {
		return fmt.Errorf("the file %s can't be read", c.File)
	}
	defer f.Close()
	photos := c.Photos
	if photos == "" {
		photos = c.File + photosEnding
	}
	ctx := context.Background()
	n, made, err := store.ReadExport(ctx, bufio.NewReaderSize(f, 1<<20), photos, cli.DB, time.Now, func(db *store.DB) error {
		faults, err := b.Verify(ctx, db)
		if err == nil && len(faults) > 0 {
			err = fmt.Errorf("the record isn't as it was written: %s (in all %d such)", faults[0], len(faults))
		}
		return err
	})
	var told store.Problem
	switch {
	case errors.As(err, &told): // it says so itself
		return told
	case err != nil:
		return fmt.Errorf("%w. Nothing was taken", err)
	}
	fmt.Fprintf(s.out, "Taken: %s, and everything was checked.\n", inAll(n))
	_, err = fmt.Fprintf(s.out, "%s is a copy, as it was on %s. To go on from it in earnest: becket restore %[1]s --db NEW-FILE\n",
		cli.DB, made.UTC().Format("2 January 2006 15:04 MST"))
	return err
}
