package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"becket/bot"
	"becket/bot/table"
	"becket/store"
)

// importCommand is `becket import`.
type importCommand struct {
	Flows  string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
	Photos string `placeholder:"DIR" help:"For a record: the folder with its photos, if it isn't beside the file as FILE-photos."`
	Now    string `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	Room   string `placeholder:"ROOM" help:"For a spreadsheet: whose register; needed where there are several teams."`
	Sheet  string `placeholder:"NAME" help:"For a workbook: which sheet; needed where several look like a register."`
	Dates  string `enum:"day-first,month-first,unsaid" default:"unsaid" help:"For a spreadsheet: how 3/4/2026 is read, day-first or month-first."`
	Try    bool   `help:"For a spreadsheet: say what would change, row by row, and change nothing."`
	Yes    bool   `help:"For a spreadsheet: take it in."`
	File   string `arg:"" help:"A team file, YAML or JSON; a register as a workbook (.xlsx) or CSV, into a team that is there; or a record as \"becket export\" wrote it, into a database that isn't there yet."`
}

func (c *importCommand) Run(cli *commandLine, s *streams) error {
	b, err := newBot(c.Flows, bot.Options{})
	if err != nil {
		return err
	}
	now, err := clock(c.Now)
	if err != nil {
		return err
	}
	in := &importing{importCommand: c, cli: cli, s: s, bot: b, now: now}
	if slices.Contains([]string{".csv", ".tsv", ".xlsx", ".xlsm", ".xls", ".ods"}, strings.ToLower(filepath.Ext(c.File))) {
		return in.register()
	}
	is, err := isExport(c.File)
	switch {
	case err != nil:
		return err
	case is:
		return in.record()
	}
	return in.team()
}

// importing is an import under way.
type importing struct {
	*importCommand
	cli *commandLine
	s   *streams
	bot *bot.Bot
	now func() time.Time
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

func (c *importing) team() error {
	text, err := readFile(c.File, c.s.in)
	if err != nil {
		return err
	}
	team, err := bot.ParseTeamFile(text)
	if err != nil {
		return err
	}
	db, err := c.cli.open(c.now)
	if err != nil {
		return err
	}
	defer db.Close()
	var held []string
	var people []store.Person
	err = db.Do(context.Background(), func(tx *store.Tx) error {
		err := c.bot.Import(tx, team, "team file")
		if err == nil {
			held, err = team.LivesUntold(tx)
		}
		if err == nil {
			people, err = tx.People(team.Team.Room)
		}
		return err
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(c.s.out, "Taken: %d people, %d sheets, %d instruments, %d items.\n", len(team.People), len(team.Sheets), len(team.Instruments), len(team.Items))
	if !slices.ContainsFunc(people, store.Person.IsKeeper) {
		fmt.Fprintln(c.s.out, "Nobody keeps this register, so nobody can list people or let them sign. Give one of the people roles: [keeper], and import the file again.")
	}
	if len(held) > 0 {
		fmt.Fprintf(c.s.out, "Held, since nobody knows how long their makers let them live: %s.\n", strings.Join(held, ", "))
	}
	if n := team.LivesLeftOut(); n > 0 {
		_, err = fmt.Fprintf(c.s.out, "The file says no life of %d of its items, which counts as no limit. Where nobody knows one, write life_made_years: \"?\", and the item is held.\n", n)
	}
	return err
}

// record reads a whole record back.
func (c *importing) record() error {
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
	n, made, err := store.ReadExport(ctx, bufio.NewReaderSize(f, 1<<20), photos, c.cli.DB, time.Now, func(db *store.DB) error {
		faults, err := c.bot.Verify(ctx, db)
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
	fmt.Fprintf(c.s.out, "Taken: %s, and everything was checked.\n", inAll(n))
	_, err = fmt.Fprintf(c.s.out, "%s is a copy, as it was on %s. To go on from it in earnest: becket restore %[1]s --db NEW-FILE\n",
		c.cli.DB, made.UTC().Format("2 January 2006 15:04 MST"))
	return err
}

// register takes a spreadsheet into the register, after it was said what follows from each row.
func (c *importing) register() error {
	text, err := readFile(c.File, c.s.in)
	if err != nil {
		return err
	}
	from, err := table.Read(text, c.Sheet, table.Large())
	var which table.WhichSheet
	switch {
	case errors.As(err, &which):
		return fmt.Errorf("%s: %w, with --sheet. Nothing was taken", c.File, err)
	case err != nil:
		return fmt.Errorf("%s: %w. Nothing was taken", c.File, err)
	}
	db, err := c.cli.existing(c.now)
	if err != nil {
		return err
	}
	defer db.Close()
	room, err := theRoom(db, c.Room)
	if err != nil {
		return err
	}
	order := table.Order(c.Dates)
	if c.Dates == "unsaid" {
		order = table.Unsaid
	}
	said, err := c.bot.TakeRegister(context.Background(), db, room, from, order, c.Try || !c.Yes)
	if err != nil {
		return err
	}
	return c.told(said, from)
}

// told says how the file was read, what each row comes to, and what to do next.
func (c *importing) told(said []bot.RowSaid, from table.Table) error {
	for _, how := range from.Told() {
		fmt.Fprintln(c.s.out, how)
	}
	changes, refused, twoWays := 0, 0, false
	for _, row := range said {
		switch {
		case row.Refused:
			refused++
			twoWays = twoWays || row.TwoWays
		case row.Changes:
			changes++
		}
		fmt.Fprintln(c.s.out, row.What)
	}
	if twoWays {
		fmt.Fprintln(c.s.out, "Say which number of such dates is the day with --dates day-first or --dates month-first.")
	}
	switch {
	case refused > 0:
		return fmt.Errorf("rows that can't be taken: %d of %d. Nothing was taken; put them right and import again", refused, len(said))
	case changes == 0:
		fmt.Fprintln(c.s.out, "Nothing in it is new. Nothing was taken.")
	case c.Try:
		fmt.Fprintf(c.s.out, "Only tried; nothing was taken. With --yes instead of --try %d of %d rows are.\n", changes, len(said))
	case !c.Yes:
		return fmt.Errorf("nothing was taken. If that is what you want, type the same with --yes")
	default:
		fmt.Fprintf(c.s.out, "Taken: %d of %d rows.\n", changes, len(said))
	}
	return nil
}
