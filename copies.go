package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"becket/bot"
	"becket/store"
	"becket/store/device"
)

// backupCommand is `becket backup`.
type backupCommand struct {
	Now  string `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	File string `arg:"" help:"Where to: a file that isn't there yet, or a folder, in which the copy is named by its time."`
}

func (c *backupCommand) Run(cli *commandLine, s *streams) error {
	now, err := clock(c.Now)
	if err != nil {
		return err
	}
	if _, err := os.Stat(cli.DB); err != nil {
		return fmt.Errorf("there is no database %s", cli.DB)
	}
	ctx := context.Background()
	// Not the one program that writes: that one goes on meanwhile.
	db, err := store.OpenToRead(ctx, cli.DB, now)
	if err != nil {
		return err
	}
	defer db.Close()
	file := c.File
	if info, err := os.Stat(file); err == nil && info.IsDir() {
		file = filepath.Join(file, nameByTime(cli.DB, now()))
	}
	if err := db.Backup(ctx, file); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "Copied to %s, and the copy was checked.\n", file)
	return err
}

// nameByTime is how a copy is called that a timer makes: becket-2026-11-14-1800.db, in UTC, so that names stand in order.
func nameByTime(db string, now time.Time) string {
	name := strings.TrimSuffix(filepath.Base(db), filepath.Ext(db))
	return name + now.UTC().Format("-2006-01-02-1504") + filepath.Ext(db)
}

// restoreCommand is `becket restore`.
type restoreCommand struct {
	Now  string `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	Copy string `arg:"" help:"The copy, as \"becket backup\" made it; it stays as it is."`
}

func (c *restoreCommand) Run(cli *commandLine, s *streams) error {
	now, err := clock(c.Now)
	if err != nil {
		return err
	}
	keys := device.Beside(cli.DB)
	if _, err := os.Lstat(keys); err == nil {
		return fmt.Errorf("%s holds the keys of an earlier login, which must never be used with an older record. Move it aside and restore again: "+
			"Becket then logs in as a new device; have the recovery key at hand. Nothing was restored", keys)
	}
	b, err := newBot("", bot.Options{})
	if err != nil {
		return err
	}
	ctx := context.Background()
	var done store.Restored
	var dropped int64
	err = store.Restore(ctx, c.Copy, cli.DB, now, func(db *store.DB) (err error) {
		done, dropped, err = b.Restore(ctx, db)
		return err
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%s is restored from %s, as it was on %s, with %d entries. Everything in it was checked.\n",
		cli.DB, c.Copy, done.Since.Format("2 January 2006 15:04 MST"), done.Entries)
	if dropped > 0 {
		fmt.Fprintf(s.out, "Replies that were on their way when the copy was made are dropped: %d.\n", dropped)
	}
	_, err = fmt.Fprintln(s.out, "When Becket is started, it asks each room first what happened since.")
	return err
}

// clock is the machine's, or stands still where --now says so.
func clock(now string) (func() time.Time, error) {
	fixed, err := at(now)
	if err != nil || fixed.IsZero() {
		return time.Now, err
	}
	return func() time.Time { return fixed }, nil
}

// warnOfCopy says that the file is a copy, so that nobody goes on from it unawares.
func warnOfCopy(ctx context.Context, db *store.DB, name string, out io.Writer) error {
	return db.View(ctx, func(tx *store.Tx) error {
		made, is, err := tx.CopyMade()
		if is {
			fmt.Fprintf(out, "becket: %s is a copy, made on %s. To go on from it in earnest: becket restore %[1]s --db NEW-FILE\n",
				name, made.Format("2 January 2006 15:04 MST"))
		}
		return err
	})
}
