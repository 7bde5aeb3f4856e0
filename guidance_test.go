package main

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"regexp"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"becket/flows"
	"becket/prompts"
)

// The tests of this file hold the guidance against the scripts: all of it is there, and nothing of it judges.

// guided are the steps that guidance is written for.
func guided(f *flows.Flow) (steps []prompts.Step, asks []string) {
	for _, s := range f.Steps() {
		switch {
		case s.Check != nil:
			o := s.Check.Origin
			steps, asks = append(steps, prompts.Step{Family: f.ID, ID: s.ID(), Block: o.Block, InBlock: o.Step, Part: o.Part}), append(asks, s.Check.Ask)
		case s.Reading != nil:
			o := s.Reading.Origin
			steps, asks = append(steps, prompts.Step{Family: f.ID, ID: s.ID(), Block: o.Block, InBlock: o.Step, Part: o.Part}), append(asks, s.Reading.Ask)
		}
	}
	return steps, asks
}

// judging are words by which guidance would say what follows from an answer, or what a limit is.
var judging = regexp.MustCompile(`(?i)\d|½|\b(fit|watch(ed|ing)?|quarantined?|retired?|retires|safe|safely|unsafe|pass(es|ed)?|fail(s|ed)?|approved?|ok|okay|limits?|reject(ed)?|condemn(ed)?|scrap(ped)?|millimetres?|centimetres?|per ?cent|kilonewtons?|tenths?|hundredths?|degrees)\b`)

func TestNoGuidanceJudges(t *testing.T) {
	for _, word := range []string{"a limit of", "half a millimetre", "It is safe", "more than 3", "retire it", "still fit"} {
		if !judging.MatchString(word) {
			t.Errorf("%q isn't seen", word)
		}
	}
	texts := 0
	eachGuidance(t, func(where, id string, w prompts.Words) {
		for _, text := range []string{w.Short, w.Explained, w.Before} {
			texts++
			if word := judging.FindString(text); word != "" {
				t.Errorf("%s, %s says %q: %.80q", where, id, word, text)
			}
		}
	})
	if texts < 500 {
		t.Errorf("only %d texts are found", texts)
	}
}

// TestNoCheckWithoutGuidance wants all lengths for each check and reading of each family. The usual one is the script's own.
func TestNoCheckWithoutGuidance(t *testing.T) {
	g, library := ownGuidance(t)
	for _, f := range library {
		explained := map[string]string{}
		steps, asks := guided(f)
		for n, s := range steps {
			w, ok := g.For(s)
			switch {
			case !ok:
				t.Errorf("%s, %s (block %q, %q): no guidance", f.ID, s.ID, s.Block, s.InBlock)
				continue
			case strings.Contains(w.Short+w.Explained+w.Before, "{"):
				t.Errorf("%s, %s: a mark is left in it: %q", f.ID, s.ID, w)
			case len(w.Short) > 150:
				t.Errorf("%s, %s: %d characters aren't short: %q", f.ID, s.ID, len(w.Short), w.Short)
			case len(w.Explained) < 150 || len(w.Explained) > 700:
				t.Errorf("%s, %s: %d characters to explain it", f.ID, s.ID, len(w.Explained))
			case strings.Contains(w.Explained, asks[n]):
				t.Errorf("%s, %s: the question is asked twice", f.ID, s.ID)
			}
			if other, twice := explained[w.Explained]; twice {
				t.Errorf("%s: %s and %s are explained in the same words", f.ID, other, s.ID)
			}
			explained[w.Explained] = s.ID
		}
	}
}

// TestNoGuidanceForNothing finds words that no step has any more.
func TestNoGuidanceForNothing(t *testing.T) {
	_, library := ownGuidance(t)
	known := map[string]bool{}
	for _, f := range library {
		steps, _ := guided(f)
		for _, s := range steps {
			known[f.ID+".yaml "+s.ID], known["blocks/"+s.Block+".yaml "+s.InBlock] = true, true
		}
	}
	eachGuidance(t, func(where, id string, _ prompts.Words) {
		if !known[where+" "+id] {
			t.Errorf("%s speaks of %q, which nobody is asked", where, id)
		}
	})
}

// TestNoListBeforeUseIsLong holds each family's list to what half a minute is enough for.
func TestNoListBeforeUseIsLong(t *testing.T) {
	g, library := ownGuidance(t)
	for _, f := range library {
		if n := len(f.BeforeUse); n < 3 || n > 6 {
			t.Errorf("%s: %d checks before use", f.ID, n)
		}
		letters := 0
		for _, c := range f.ChecksBeforeUse(nil) {
			w, _ := g.For(prompts.Step{Family: f.ID, ID: c.ID(), Block: c.Check.Origin.Block, InBlock: c.Check.Origin.Step, Part: c.Check.Origin.Part})
			text := w.Before // how a good one is: of a list of faults nobody knows whether "clear" means none or all looked at
			if letters += len(text); text == "" {
				t.Errorf("%s, %s: nothing says how a good one is before use", f.ID, c.ID())
			}
			if slow := regexp.MustCompile(`(?i)\b(times|brushed|stripped|measured?|a new (one|sample)|straight edge)\b`).FindString(text); slow != "" {
				t.Errorf("%s, %s: nobody has time for %q before use: %q", f.ID, c.ID(), slow, text)
			}
		}
		if letters > 480 {
			t.Errorf("%s: %d characters to read before use", f.ID, letters)
		}
	}
}

func ownGuidance(t *testing.T) (*prompts.Guidance, []*flows.Flow) {
	t.Helper()
	g, err := prompts.Own()
	if err != nil {
		t.Fatal(err)
	}
	library, err := flows.Library()
	if err != nil {
		t.Fatal(err)
	}
	return g, library
}

// eachGuidance visits all that is written, by its file.
func eachGuidance(t *testing.T, visit func(where, id string, w prompts.Words)) {
	t.Helper()
	dir := os.DirFS("prompts/guidance")
	for _, folder := range []string{".", "blocks"} {
		names, err := fs.Glob(dir, path.Join(folder, "*.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			text, err := fs.ReadFile(dir, name)
			if err != nil {
				t.Fatal(err)
			}
			var file struct{ Checks, Readings map[string]prompts.Words }
			if err := yaml.Unmarshal(text, &file); err != nil {
				t.Fatal(fmt.Errorf("%s: %w", name, err))
			}
			for _, part := range []map[string]prompts.Words{file.Checks, file.Readings} {
				for id, w := range part {
					visit(name, id, w)
				}
			}
		}
	}
}
