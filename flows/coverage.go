package flows

import (
	"io/fs"
	"slices"
)

// Coverage is which of a flow's rules are reached by the examples beside it.
type Coverage struct {
	Examples int
	Rules    []string // ids of all rules that the flow can bring, in its order
	Without  []string // those that no example reaches, in the same order
}

// Reached counts the rules that an example reaches.
func (c Coverage) Reached() int { return len(c.Rules) - len(c.Without) }

// CoverageOf plays a flow's examples in a folder, its own and those of the blocks that it has as sections, from the folder
// and from the library, and says which rules come up. Examples that can't be played count for nothing: CheckExamples names
// them.
func CoverageOf(dir fs.FS, f *Flow) Coverage {
	c := Coverage{Rules: f.ruleIDs()}
	came := map[string]bool{}
	for _, e := range f.examplesIn(dir) {
		c.Examples++
		o, err := f.play(e)
		if err != nil {
			continue
		}
		for _, r := range o.Rules {
			came[r.ID] = true
		}
	}
	for _, id := range c.Rules {
		if !came[id] {
			c.Without = append(c.Without, id)
		}
	}
	return c
}

// examplesIn are the examples that are played for a flow of a folder. Files with mistakes have none.
func (f *Flow) examplesIn(dir fs.FS) []Example {
	var all []Example
	read := func(dir fs.FS, file string) {
		text, err := fs.ReadFile(dir, file)
		if err != nil {
			return
		}
		list, _ := LoadExamples(file, text)
		all = append(all, list...)
	}
	for _, file := range exampleFiles(dir, ".") {
		if exampleOf(file) == f.ID {
			read(dir, file)
		}
	}
	var blocks []string
	for _, file := range exampleFiles(dir, blocksFolder) {
		if f.hasSection(exampleOf(file)) {
			blocks = append(blocks, exampleOf(file))
			read(dir, file)
		}
	}
	inner := LibraryFiles()
	for _, file := range exampleFiles(inner, blocksFolder) {
		if block := exampleOf(file); f.hasSection(block) && !slices.Contains(blocks, block) {
			read(inner, file)
		}
	}
	return all
}

// ruleIDs names all rules that a flow can bring by what is written in it, those included that follow from what a sheet
// lacks and from what a value does not agree with.
func (f *Flow) ruleIDs() []string {
	var ids []string
	for _, step := range f.Steps() {
		switch {
		case step.Check != nil:
			for _, found := range step.Check.Findings {
				if found.Verdict > Fit {
					ids = append(ids, step.Check.ID+"."+found.ID)
				}
			}
		case step.Reading != nil:
			r := step.Reading
			ids = append(ids, r.rules()...)
			if r.New != nil && !r.Published {
				ids = append(ids, r.ID+".no-limit")
			}
			if !r.limited(nil) && !r.published(nil) && (r.New == nil || r.New.Figure != "") {
				ids = append(ids, r.ID+".no-reference")
			}
		case step.Value.Match != "":
			ids = append(ids, step.Value.ID+".differs")
		}
	}
	for _, rule := range f.Together {
		ids = append(ids, rule.ID)
	}
	return ids
}
