package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"becket/bot"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// maxDocument is the most that is read from a file.
const maxDocument = 16 << 20

func readFile(name string, stdin io.Reader) ([]byte, error) {
	if name == "" || name == "-" {
		return io.ReadAll(io.LimitReader(stdin, maxDocument))
	}
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, fmt.Errorf("the file %s can't be read", name)
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder; give a file", name)
	case info.Size() > maxDocument:
		return nil, fmt.Errorf("%s is larger than %d MB", name, maxDocument>>20)
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("the file %s can't be read", name)
	}
	return text, nil
}

func writeJSON(out io.Writer, v any) error {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, string(text))
	return err
}

// judgeCommand is `becket judge`.
type judgeCommand struct {
	Flow  string `required:"" placeholder:"ID" help:"The family's script."`
	Now   string `placeholder:"TIME" help:"The examination's date, like 2026-03-02T09:15:00Z."`
	Flows string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
	File  string `arg:"" optional:"" help:"The inspection, as JSON or YAML; standard input without it."`
}

func (c *judgeCommand) Run(s *streams) error {
	now, err := today(c.Now)
	if err != nil {
		return err
	}
	f, err := theFlow(c.Flows, c.Flow)
	if err != nil {
		return err
	}
	text, err := readFile(c.File, s.in)
	if err != nil {
		return err
	}
	document, err := flows.ParseDocument(text)
	if err != nil {
		return err
	}
	outcome, err := f.Examine(document, due.On(now))
	if err != nil {
		return err
	}
	return writeJSON(s.out, outcome)
}

func theFlow(dir, id string) (*flows.Flow, error) {
	all, err := library(dir)
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, f := range all {
		if f.ID == id {
			return f, nil
		}
		ids = append(ids, f.ID)
	}
	return nil, fmt.Errorf("there is no script %q; there are: %s", id, strings.Join(ids, ", "))
}

// flowsCommand is `becket flows`.
type flowsCommand struct {
	List  flowsListCommand  `cmd:"" help:"List the scripts."`
	Show  flowsShowCommand  `cmd:"" help:"Show one script."`
	Check flowsCheckCommand `cmd:"" help:"Check a folder of scripts and say what is wrong."`
	Try   flowsTryCommand   `cmd:"" help:"Hold a script here over one invented item; nothing is kept."`
	Draw  flowsDrawCommand  `cmd:"" help:"Draw a script as Mermaid text, with what its examples reach."`
	// Schema is for editors: it completes and checks scripts as they are typed.
	Schema flowsSchemaCommand `cmd:"" help:"Print the JSON Schema of scripts, for editors."`
}

type flowsListCommand struct {
	JSON  bool   `name:"json" help:"As JSON."`
	Flows string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
}

func (c *flowsListCommand) Run(s *streams) error {
	all, err := library(c.Flows)
	if err != nil {
		return err
	}
	type row struct {
		ID       string `json:"id"`
		Title    string `json:"title"`
		Revision int    `json:"revision"`
	}
	rows := make([]row, len(all))
	for n, f := range all {
		rows[n] = row{f.ID, f.Title, f.Revision}
		if !c.JSON {
			fmt.Fprintf(s.out, "%s  %s, edition %d\n", f.ID, f.Title, f.Revision)
		}
	}
	if c.JSON {
		return writeJSON(s.out, rows)
	}
	return nil
}

type flowsShowCommand struct {
	ID    string `arg:"" help:"The script."`
	JSON  bool   `name:"json" xor:"form" help:"As JSON."`
	Text  bool   `xor:"form" help:"As it is written: something to start your own from."`
	Flows string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
}

func (c *flowsShowCommand) Run(s *streams) error {
	f, err := theFlow(c.Flows, c.ID)
	if err != nil {
		return err
	}
	if c.Text {
		own, _, _ := strings.Cut(string(f.Text), "\n---\n")
		_, err = fmt.Fprintln(s.out, strings.TrimSpace(own))
		return err
	}
	if !c.JSON {
		_, err = fmt.Fprintln(s.out, strings.TrimSpace(f.Describe()))
		return err
	}
	text, err := f.Show()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(s.out, strings.TrimSpace(string(text)))
	return err
}

type flowsCheckCommand struct {
	Dir string `arg:"" help:"The folder."`
}

func (c *flowsCheckCommand) Run(s *streams) error {
	info, err := os.Stat(c.Dir)
	if err != nil || !info.IsDir() {
		return fmt.Errorf("%s is no folder", c.Dir)
	}
	dir := os.DirFS(c.Dir)
	all, problems := flows.LoadDir(dir, c.Dir)
	if len(problems) == 0 { // a flow with mistakes has no examples that could be played
		problems = flows.CheckExamples(dir, c.Dir, all)
	}
	for _, p := range problems {
		fmt.Fprintln(s.out, p)
	}
	if len(problems) > 0 {
		return errFound
	}
	if len(all) == 0 {
		return fmt.Errorf("%s has no scripts (files that end in .yaml)", c.Dir)
	}
	for _, f := range all {
		c := flows.CoverageOf(dir, f)
		fmt.Fprintf(s.out, "%s: edition %d, nothing wrong; %d examples reach %d of %d rules\n", f.ID, f.Revision, c.Examples, c.Reached(), len(c.Rules))
		if len(c.Without) > 0 {
			fmt.Fprintf(s.out, "  no example reaches: %s\n", strings.Join(c.Without, ", "))
		}
	}
	return nil
}

type flowsDrawCommand struct {
	Script string `arg:"" placeholder:"FILE|ID" help:"The file with the script, or the name of one that there is."`
	Flows  string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
}

func (c *flowsDrawCommand) Run(s *streams) error {
	f, folder, err := scriptNamed(c.Flows, c.Script)
	if err != nil {
		return err
	}
	beside := flows.LibraryFiles()
	if folder != "" {
		beside = os.DirFS(folder)
	}
	covered := flows.CoverageOf(beside, f)
	if covered.Examples == 0 { // a script of Becket's own that was asked for beside a team's folder
		covered = flows.CoverageOf(flows.LibraryFiles(), f)
	}
	_, err = fmt.Fprint(s.out, f.Draw(covered))
	return err
}

type flowsSchemaCommand struct{}

func (c *flowsSchemaCommand) Run(s *streams) error {
	text, err := flows.Schema()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(s.out, string(text))
	return err
}

// verifyCommand is `becket verify`.
type verifyCommand struct {
	Head []string `placeholder:"TEXT" sep:"none" help:"The end of the record as the digest posted it, like \"812 entries, ends 4f2a91c07be218d3\"; says whether the record continues it. Can be given again."`
}

func (c *verifyCommand) Run(cli *commandLine, s *streams) error {
	var posted []bot.Head
	for _, text := range c.Head {
		head, err := bot.ReadHead(text)
		if err != nil {
			return err
		}
		posted = append(posted, head)
	}
	b, err := newBot("", bot.Options{})
	if err != nil {
		return err
	}
	db, err := cli.existing(time.Now)
	if err != nil {
		return err
	}
	defer db.Close()
	faults, err := b.Verify(context.Background(), db)
	if err == nil {
		var differ []store.Fault
		differ, err = b.Continues(context.Background(), db, posted)
		faults = append(faults, differ...)
	}
	for _, f := range faults {
		fmt.Fprintln(s.out, f)
	}
	if err != nil {
		return err
	}
	if len(faults) > 0 {
		return errFound
	}
	var entries int64
	err = db.View(context.Background(), func(tx *store.Tx) (err error) {
		entries, _, err = tx.Head()
		return err
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "All %d entries are as they were written, and every verdict follows from them.\n", entries)
	for _, head := range posted {
		fmt.Fprintf(s.out, "They continue what was posted: %s.\n", head)
	}
	return nil
}
