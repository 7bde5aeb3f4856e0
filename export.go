package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"becket/bot"
	"becket/bot/table"
	"becket/store"
)

// photosEnding makes the name of the folder of photos out of that of the file beside it.
const photosEnding = "-photos"

// exportCommand is `becket export`.
type exportCommand struct {
	Now    string `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	Schema bool   `help:"Print the JSON Schema of what is written, and nothing else."`
	// Register is the kit alone, for a spreadsheet.
	Register string `placeholder:"FILE" help:"Write the register instead, a row an item: a workbook, as FILE.xlsx, or FILE.csv."`
	Room     string `placeholder:"ROOM" help:"For --register: whose; needed where there are several teams."`
	File     string `arg:"" optional:"" help:"Where to: a file that isn't there yet; photos go to FILE-photos. Without it the record goes to standard output, and photos are only named."`
}

func (c *exportCommand) Run(cli *commandLine, s *streams) error {
	if c.Schema {
		text, err := store.ExportSchema()
		if err == nil {
			_, err = fmt.Fprintln(s.out, string(text))
		}
		return err
	}
	now, err := clock(c.Now)
	if err != nil {
		return err
	}
	ctx := context.Background()
	// Not the one program that writes: that one goes on meanwhile.
	db, err := cli.toRead(now)
	if err != nil {
		return err
	}
	defer db.Close()
	if c.Register != "" {
		return c.register(ctx, db, s)
	}
	if c.File == "" || c.File == "-" {
		n, faults, err := db.Export(ctx, s.out, "")
		if err == nil && n.Photos > 0 {
			fmt.Fprintf(s.err, "becket: %d photos are named and not written; give a file, and they are put beside it.\n", n.Photos)
		}
		return told(faults, err, s.err)
	}
	return c.toFile(ctx, db, s)
}

// register writes the kit as a spreadsheet.
func (c *exportCommand) register(ctx context.Context, db *store.DB, s *streams) error {
	write := map[string]func(io.Writer, []table.Row) error{".csv": table.WriteCSV, ".xlsx": table.WriteWorkbook}[strings.ToLower(filepath.Ext(c.Register))]
	if write == nil {
		return fmt.Errorf("a register is written as a workbook or as CSV; name a file that ends in .xlsx or .csv")
	}
	b, err := newBot("", bot.Options{})
	if err != nil {
		return err
	}
	room, err := theRoom(db, c.Room)
	if err != nil {
		return err
	}
	rows, err := b.Register(ctx, db, room)
	if err != nil {
		return err
	}
	var file bytes.Buffer
	if err := write(&file, rows); err != nil {
		return err
	}
	f, err := os.OpenFile(c.Register, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, os.ErrExist) {
		return alreadyThere(c.Register)
	}
	if err == nil {
		_, err = f.Write(file.Bytes())
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		return fmt.Errorf("%s can't be written: %w", c.Register, err)
	}
	_, err = fmt.Fprintf(s.out, "Written: %d items, to %s.\n", len(rows), c.Register)
	return err
}

func (c *exportCommand) toFile(ctx context.Context, db *store.DB, s *streams) error {
	photos := c.File + photosEnding
	if err := vacant(photos); err != nil {
		return err
	}
	f, err := os.OpenFile(c.File, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	switch {
	case errors.Is(err, os.ErrExist):
		return alreadyThere(c.File)
	case err != nil:
		return fmt.Errorf("%s can't be written: %w", c.File, err)
	}
	n, faults, err := db.Export(ctx, f, photos)
	err = errors.Join(err, f.Sync(), f.Close())
	if err != nil {
		return errors.Join(fmt.Errorf("the record couldn't be written out: %w. Nothing is left of it", err), os.Remove(c.File), os.RemoveAll(photos))
	}
	beside := " and " + photos
	if n.Photos == 0 {
		beside = ""
		_ = os.Remove(photos) // an empty folder says nothing
	}
	fmt.Fprintf(s.out, "Written: %s, to %s%s.\n", inAll(n), c.File, beside)
	return told(faults, nil, s.err)
}

// told says that what was written out isn't as it once was written.
func told(faults []store.Fault, err error, out io.Writer) error {
	if err != nil || len(faults) == 0 {
		return err
	}
	fmt.Fprintf(out, "becket: the record isn't as it was written: %s (in all %d such; \"becket verify\" names them). It was written out as it is, and can't be read back.\n",
		faults[0], len(faults))
	return errFound
}

func inAll(n store.ExportCount) string {
	return fmt.Sprintf("%d entries, %d scripts, %d photos", n.Entries, n.Scripts, n.Photos)
}
