package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/mattn/go-isatty"

	"becket/bot"
	"becket/bot/console"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// flowsTryCommand is `becket flows try`: a script held in the console over a register of one invented item, which is thrown
// away at the end.
type flowsTryCommand struct {
	Script string  `arg:"" placeholder:"FILE|ID" help:"The file with the script, or the name of one that there is."`
	JSON   bool    `name:"json" help:"Talk in JSON, an object a line, for programs."`
	Now    string  `placeholder:"TIME" help:"Fix the clock, like 2026-03-02T09:15:00Z."`
	Seed   *uint64 `placeholder:"N" help:"Fix chance."`
	Flows  string  `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
}

func (c *flowsTryCommand) Run(s *streams) error {
	fixed, err := at(c.Now)
	if err != nil {
		return err
	}
	f, _, err := scriptNamed(c.Flows, c.Script)
	if err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "becket-try-")
	if err != nil {
		return fmt.Errorf("there is no room for a try: %w", err)
	}
	defer os.RemoveAll(folder)
	clock := console.NewClock(fixed, time.Now)
	db, err := store.Open(context.Background(), filepath.Join(folder, "try.db"), clock.Now)
	if err != nil {
		return err
	}
	defer db.Close()
	b := bot.New(bot.Options{Flows: []*flows.Flow{f}, Edition: edition(), Seed: c.Seed})
	team, err := tryTeam(f)
	if err != nil {
		return err
	}
	if err := db.Do(context.Background(), func(tx *store.Tx) error { return b.Import(tx, team, "try") }); err != nil {
		return err
	}
	if !c.JSON {
		fmt.Fprintf(s.out, "A try of %s, edition %d: nothing is kept, and no register is touched.\n%s\n\n", f.ID, f.Revision, tryWelcome(team))
	}
	con := console.Console{
		Bot: b, DB: db, Clock: clock, In: s.in, Out: s.out, JSON: c.JSON, As: tryPerson, Room: team.Team.Room,
		Terminal: !c.JSON && s.in == os.Stdin && isatty.IsTerminal(os.Stdin.Fd()) && isatty.IsTerminal(os.Stdout.Fd()),
	}
	if err := con.Run(context.Background()); err != nil {
		return err
	}
	if !c.JSON {
		fmt.Fprintln(s.out, "That was a try: nothing was kept.")
	}
	return nil
}

// The invented item of a try, and who inspects it.
const (
	tryPerson = "@me"
	tryItem   = "TRY-1"
	tryRoom   = "!try"
)

// tryTeam is a register of one item that is as new, with a sheet whose figures are invented. Facts are left for the person
// to answer.
func tryTeam(f *flows.Flow) (bot.TeamFile, error) {
	clear, err := f.Clear()
	if err != nil {
		return bot.TeamFile{}, err
	}
	far := due.Date{Year: 2099, Month: 12, Day: 31}
	item := store.Item{Flow: f.ID, Maker: "Invented", Model: "Try"}
	item.Mark, item.Serial, item.Use = tryItem, clear.Item.Serial, flows.People
	var team bot.TeamFile
	team.Team.Room, team.Team.Name = tryRoom, "A try"
	team.People = []store.Person{{ID: tryPerson, Roles: []string{store.Keeper}, Competent: []store.Competence{{Flow: f.ID, Until: far}}}}
	team.Sheets = []store.Sheet{{
		Maker: "Invented", Model: "Try", Flow: f.ID, Document: "invented for a try", Edition: "1", Page: "page 1",
		Figures: clear.Sheet, ConfirmedBy: []string{tryPerson, "@another"},
	}}
	team.Instruments = []store.Instrument{{Mark: "C-1", Kind: "caliper", Doubt: clear.Instrument.Doubt, CheckBy: far}}
	team.Items = []bot.TeamItem{{Item: item}}
	return team, nil
}

// tryWelcome says what to type, and what nobody could read off a thing that isn't there.
func tryWelcome(team bot.TeamFile) string {
	item, sheet := team.Items[0], team.Sheets[0]
	var figures []string
	for id, n := range sheet.Figures {
		figures = append(figures, id+" "+n.String())
	}
	slices.Sort(figures)
	said := fmt.Sprintf("Type: inspect %s. With nothing in your hand: its serial number is %s", item.Mark, item.Serial)
	if len(figures) > 0 {
		said += "; the sheet's figures, all invented, are " + strings.Join(figures, ", ")
	}
	return said + "."
}

// scriptNamed is a script by the file that it stands in or by its name, and the folder whose examples are beside it.
func scriptNamed(dir, name string) (*flows.Flow, string, error) {
	if ext := filepath.Ext(name); ext != ".yaml" && ext != ".yml" {
		f, err := theFlow(dir, name)
		return f, dir, err
	}
	if info, err := os.Stat(name); err != nil || info.IsDir() {
		return nil, "", fmt.Errorf("there is no file %s", name)
	}
	folder := filepath.Dir(name)
	f, problems := flows.LoadFile(os.DirFS(folder), folder, filepath.Base(name))
	if len(problems) > 0 {
		return nil, "", problems
	}
	return f, folder, nil
}
