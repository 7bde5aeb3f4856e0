// Becket walks a team through the inspections of the rope and height-safety kit that they hang from.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"
	_ "time/tzdata" // zones by name on any machine

	"github.com/alecthomas/kong"

	"becket/bot"
	"becket/bot/translate"
	"becket/flows"
	"becket/prompts"
	"becket/store"
)

// Exit statuses. Programs outside depend on them.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
)

func main() {
	// A limit on the size of files is told in a sentence instead of ending the program.
	signal.Ignore(syscall.SIGXFSZ)
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// commandLine is all that can be typed after the program's name.
type commandLine struct {
	DB string `name:"db" default:"becket.db" placeholder:"FILE" help:"The database file. It is made if it isn't there."`

	Chat     chatCommand     `cmd:"" help:"Hold the conversation here."`
	Judge    judgeCommand    `cmd:"" help:"Judge one inspection from a file or standard input."`
	Flows    flowsCommand    `cmd:"" help:"List, show and check the scripts of device families."`
	Import   importCommand   `cmd:"" help:"Enter a team file: people, sheets, instruments and items; or read a whole record back."`
	Export   exportCommand   `cmd:"" help:"Write the whole record out as JSON, for other programs to read."`
	Gauge    gaugeCommand    `cmd:"" help:"Say of repeated readings what comes from the gauge and what from who holds it."`
	Calendar calendarCommand `cmd:"" help:"Write what falls due as a file for calendars."`
	Report   reportCommand   `cmd:"" help:"Write again the report that was issued of an item's last thorough examination."`
	Evidence evidenceCommand `cmd:"" help:"Write the evidence pack for an auditor or insurer: a page and its photos in a ZIP file."`
	Verify   verifyCommand   `cmd:"" help:"Derive everything in the record again and name what differs."`
	Backup   backupCommand   `cmd:"" help:"Copy the database and its photos."`
	Restore  restoreCommand  `cmd:"" help:"Go on from a copy: make the database out of it, and ask what happened since."`
	Serve    serveCommand    `cmd:"" help:"Hold the conversation in Matrix rooms."`
	Prompts  promptsCommand  `cmd:"" help:"See how explanations are reworded by a language model, where one is used."`
}

// streams are where the program reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

func run(args []string, in io.Reader, out, errs io.Writer) int {
	var cli commandLine
	parser, err := kong.New(&cli, kong.Name("becket"), kong.Writers(out, errs), kong.Exit(func(int) {}),
		kong.Description("Becket walks a team through the inspections of the rope and height-safety kit that they hang from."))
	if err != nil {
		fmt.Fprintln(errs, "becket:", err)
		return exitFailed
	}
	for _, a := range args {
		if a == "--help" || a == "-h" {
			_, _ = parser.Parse(args) // prints the help
			return exitDone
		}
	}
	ctx, err := parser.Parse(args)
	if err != nil {
		fmt.Fprintf(errs, "becket: %v. Type \"becket --help\" for what there is.\n", err)
		return exitUsage
	}
	told := &inTurn{out: errs}
	stop := func() {}
	if takesLong(ctx.Command()) {
		stop = underWay(told, tellEvery)
	}
	err = ctx.Run(&cli, &streams{in: in, out: out, err: told})
	stop()
	switch {
	case errors.Is(err, errFound):
		return exitFailed
	case err != nil:
		fmt.Fprintln(errs, "becket:", err)
		return exitFailed
	}
	return exitDone
}

// errFound says that the command did its work and what it found is bad; it has been printed.
var errFound = errors.New("found")

// at reads --now; without it the machine's clock is meant, in the machine's zone.
func at(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return t, fmt.Errorf("--now takes a time like 2026-03-02T09:15:00Z, not %q", text)
	}
	return t, nil
}

// today is the time that a command goes by.
func today(now string) (time.Time, error) {
	t, err := at(now)
	if err == nil && t.IsZero() {
		t = time.Now()
	}
	return t, err
}

// toRead opens a database that has to be there, beside the one program that writes: that one goes on meanwhile.
func (c *commandLine) toRead(now func() time.Time) (*store.DB, error) {
	if _, err := os.Stat(c.DB); err != nil {
		return nil, fmt.Errorf("there is no database %s", c.DB)
	}
	return store.OpenToRead(context.Background(), c.DB, now)
}

// existing opens a database that has to be there.
func (c *commandLine) existing(now func() time.Time) (*store.DB, error) {
	if _, err := os.Stat(c.DB); err != nil {
		return nil, fmt.Errorf("there is no database %s", c.DB)
	}
	return c.open(now)
}

// open opens the database with a clock.
func (c *commandLine) open(now func() time.Time) (*store.DB, error) {
	return store.Open(context.Background(), c.DB, now)
}

// library is every flow that may be started: Becket's own and, where a folder is named, a team's.
func library(dir string) ([]*flows.Flow, error) {
	own, err := flows.Library()
	if err != nil || dir == "" {
		return own, err
	}
	info, err := os.Stat(dir)
	if err != nil || !info.IsDir() {
		return nil, fmt.Errorf("%s is no folder with scripts", dir)
	}
	team, problems := flows.LoadDir(os.DirFS(dir), dir)
	if len(problems) > 0 {
		return nil, problems
	}
	for _, f := range team {
		for _, g := range own {
			if f.ID == g.ID {
				return nil, fmt.Errorf("%s has a script %q, which Becket has already; give it another id", dir, f.ID)
			}
		}
	}
	return append(own, team...), nil
}

// newBot makes the conversation for a command.
func newBot(dir string, o bot.Options) (*bot.Bot, error) {
	all, err := library(dir)
	if err != nil {
		return nil, err
	}
	words, err := prompts.Own()
	if err != nil {
		return nil, err
	}
	if o.Languages, err = translate.Own(); err != nil {
		return nil, err
	}
	o.Flows, o.Guidance, o.Edition = all, words, edition()
	return bot.New(o), nil
}

// edition is what the program was built from; empty where the build doesn't say.
func edition() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "(devel)" {
		return ""
	}
	return info.Main.Version
}
