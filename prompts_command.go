package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"becket/bot"
	"becket/prompts"
	"becket/store"
)

// promptsCommand is `becket prompts`.
type promptsCommand struct {
	Try   promptsTryCommand   `cmd:"" help:"Show explanations beside what a model makes of them, and what each check says. Nothing is kept."`
	Share promptsShareCommand `cmd:"" help:"Show how many rewordings were accepted, and why the latest weren't."`
}

type promptsTryCommand struct {
	Key      string `arg:"" optional:"" help:"Whose, like cam-handle-descender.cam; all of a family by its name alone. Left out: the keys are listed."`
	Language string `default:"en" help:"The language to put it in: en or de."`
	wordingFlags
}

func (c *promptsTryCommand) Run(s *streams) error {
	b, err := newBot("", bot.Options{})
	if err != nil {
		return err
	}
	var chosen []bot.Explanation
	for _, e := range b.Explained() {
		family, _, _ := strings.Cut(e.Key, ".")
		if c.Key == "" {
			fmt.Fprintln(s.out, e.Key)
		} else if e.Key == c.Key || family == c.Key {
			chosen = append(chosen, e)
		}
	}
	switch {
	case c.Key == "":
		return nil
	case len(chosen) == 0:
		return fmt.Errorf("there is no explanation %q; \"becket prompts try\" lists them", c.Key)
	case c.Wording == "":
		return fmt.Errorf("name a server with --wording, like http://127.0.0.1:8080/v1")
	}
	w, err := c.wording()
	if err != nil {
		return err
	}
	accepted := 0
	for _, e := range chosen {
		try := w.Model.Reword(context.Background(), e.Text, c.Language)
		if try.Choice == prompts.Accepted {
			accepted++
		}
		showTry(s, e, try, w.Checker.Checks())
	}
	_, err = fmt.Fprintf(s.out, "%d of %d accepted.\n", accepted, len(chosen))
	return err
}

// showTry prints one try: both texts, and each check.
func showTry(s *streams, e bot.Explanation, try prompts.Try, checks []string) {
	fmt.Fprintf(s.out, "%s\n  original: %s\n", e.Key, e.Text)
	if try.Said != "" {
		fmt.Fprintf(s.out, "  the model: %s\n", try.Said)
	}
	objected := map[string]string{}
	checked := try.Choice == prompts.Accepted
	for _, o := range try.Objections {
		objected[o.Check] = o.Why
		checked = checked || slices.Contains(checks, o.Check)
	}
	for _, name := range checks {
		if why, is := objected[name]; is {
			fmt.Fprintf(s.out, "  no   %s: %s\n", name, why)
			delete(objected, name)
		} else if checked {
			fmt.Fprintf(s.out, "  yes  %s\n", name)
		}
	}
	for name, why := range objected { // the server, or the form of its answer: then nothing else was checked
		fmt.Fprintf(s.out, "  no   %s: %s\n", name, why)
	}
	fmt.Fprintf(s.out, "  %s\n\n", map[prompts.Choice]string{
		prompts.Accepted: "Accepted: this would be said.", prompts.Refused: "Refused: the original is said.", prompts.Failed: "No answer: the original is said.",
	}[try.Choice])
}

type promptsShareCommand struct {
	Latest int `default:"10" help:"How many of the latest that weren't accepted are shown."`
}

func (c *promptsShareCommand) Run(cli *commandLine, s *streams) error {
	db, err := store.OpenToRead(context.Background(), cli.DB, time.Now)
	if err != nil {
		return err
	}
	defer db.Close()
	return db.View(context.Background(), func(tx *store.Tx) error {
		counts, err := tx.WordingCounts()
		if err != nil {
			return err
		}
		yes, no, none := counts[string(prompts.Accepted)], counts[string(prompts.Refused)], counts[string(prompts.Failed)]
		if yes+no+none == 0 {
			_, err := fmt.Fprintln(s.out, "No model was asked yet.")
			return err
		}
		fmt.Fprintf(s.out, "Accepted: %d of %d answers. No answer: %d times.\n", yes, yes+no, none)
		tries, err := tx.WordingTries(yes + no + none)
		shown := 0
		for _, t := range tries {
			if t.Choice == string(prompts.Accepted) || shown == c.Latest {
				continue
			}
			shown++
			fmt.Fprintf(s.out, "%s, %s: %s\n  %s\n", t.At.Format("2 January 2006 15:04"), t.Choice, strings.Join(t.Checks, "; "), clip(t.Original))
		}
		return err
	})
}

// clip shortens a text to a line.
func clip(text string) string {
	if r := []rune(text); len(r) > 80 {
		return string(r[:80]) + "…"
	}
	return text
}
