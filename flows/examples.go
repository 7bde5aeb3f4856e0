package flows

import (
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"

	"becket/flows/due"
)

// Example is an inspection with the verdict that somebody who knows the family says it must have. Only what
// differs from an item as new with everything clear is written.
type Example struct {
	Example    string            // a sentence that says what is special
	Facts      map[string]string // FACT: CHOICE, beside the flow's first choices; "unknown" leaves one open
	Sheet      map[string]string // FIGURE: a number, or "not given"
	Instrument string            // its doubt in the readings' unit; empty: that of Clear
	Item       Item
	Day        due.Date            // of the examination
	Answers    map[string][]string // SECTION.STEP: findings, readings or a text; none is clear; "unknown", "not given"
	Verdict    Verdict
	Rules      []string // must be among those that apply
	Missing    []string // what is missing, exactly, where it matters; nil: not looked at
	at         place
}

// sourceExample is an example as people write it.
type sourceExample struct {
	here
	Example    word           `yaml:"example" jsonschema_description:"a sentence that says what is special about it"`
	Facts      entries[word]  `yaml:"facts,omitempty" jsonschema_description:"the facts, each with its choice"`
	Sheet      entries[word]  `yaml:"sheet,omitempty" jsonschema_description:"the sheet's figures, each with a number or not given"`
	Instrument word           `yaml:"instrument,omitempty" jsonschema_description:"the instrument's doubt"`
	Item       sourceItem     `yaml:"item,omitempty" jsonschema_description:"the item's dates and life"`
	Day        word           `yaml:"day,omitempty" jsonschema_description:"the day of the examination, like 2026-03-01"`
	Answers    entries[words] `yaml:"answers,omitempty" jsonschema_description:"the answers that aren't clear"`
	Verdict    word           `yaml:"verdict" jsonschema_description:"fit, watch, quarantine, retire or incomplete"`
	Rules      words          `yaml:"rules,omitempty" jsonschema_description:"the rules that must apply"`
	Missing    words          `yaml:"missing,omitempty" jsonschema_description:"the steps that are missing, all of them"`
}

type sourceItem struct {
	here
	Made      word `yaml:"made,omitempty" jsonschema_description:"the date of make"`
	FirstUse  word `yaml:"first_use,omitempty" jsonschema_description:"the date of first use"`
	Use       word `yaml:"use,omitempty" jsonschema_description:"people or goods"`
	LifeMade  word `yaml:"life_made_years,omitempty" jsonschema_description:"its life in years from its make"`
	LifeInUse word `yaml:"life_use_years,omitempty" jsonschema_description:"its life in years from its first use"`
}

const notGiven = "not given"

// LoadExamples reads a list of examples from YAML. All mistakes are reported at once, each with its place; file
// names the text in them. Whether an example fits a flow is for Try to say.
func LoadExamples(file string, text []byte) ([]Example, Problems) {
	r := &reporter{}
	scripts := r.scriptsOf(file, text)
	if len(scripts) == 0 {
		return nil, r.sorted()
	}
	if len(scripts) > 1 {
		r.report(place{file: file, line: scripts[1].line, col: 1}, "a second list begins here", "keep all examples in one list, without lines of dashes")
	}
	body, ok := r.parse(scripts[0])
	if !ok {
		return nil, r.sorted()
	}
	var list []sourceExample
	d := decoder{reporter: r, script: scripts[0]}
	d.decode(body, &list, word{Text: "a file of examples"})
	c := compiler{reporter: r, at: places{}}
	examples := make([]Example, len(list))
	for i, s := range list {
		examples[i] = c.example(s)
	}
	if len(r.problems) > 0 {
		return nil, r.sorted()
	}
	return examples, nil
}

func (c *compiler) example(s sourceExample) Example {
	e := Example{
		Example: s.Example.Text, Facts: textsOf(s.Facts), Sheet: textsOf(s.Sheet), Instrument: s.Instrument.Text, Item: c.exampleItem(s.Item),
		Day: c.exampleDate(s.Day), Answers: map[string][]string{}, Rules: textsIn(s.Rules), Missing: textsIn(s.Missing), at: s.at,
	}
	for _, a := range s.Answers {
		e.Answers[a.Key.Text] = textsIn(a.Value)
	}
	for _, figure := range s.Sheet {
		c.measured(figure.Value, notGiven)
	}
	c.measured(s.Instrument)
	if s.Verdict.given() {
		v, err := ParseVerdict(s.Verdict.Text)
		if err != nil {
			c.report(s.Verdict.at, fmt.Sprintf("%q is no verdict", clipped(s.Verdict.Text)), "write fit, watch, quarantine, retire or incomplete")
		}
		e.Verdict = v
	}
	return e
}

func (c *compiler) exampleItem(s sourceItem) Item {
	item := Item{Made: c.exampleDate(s.Made), FirstUse: c.exampleDate(s.FirstUse)}
	if s.Use.given() {
		item.Use = Use(c.oneOf(s.Use, string(People), string(Goods)))
	}
	if s.LifeMade.given() {
		item.LifeMadeYears = c.whole(s.LifeMade, "life_made_years", 1, 200)
	}
	if s.LifeInUse.given() {
		item.LifeUseYears = c.whole(s.LifeInUse, "life_use_years", 1, 200)
	}
	return item
}

func (c *compiler) exampleDate(w word) due.Date {
	if !w.given() {
		return due.Date{}
	}
	d, err := due.Parse(w.Text)
	if err != nil {
		c.report(w.at, fmt.Sprintf("%q is no date", clipped(w.Text)), "write it like 2026-03-01, 2026-03 or 2026")
	}
	return d
}

// measured reports what is neither a number nor one of the words that may stand for one.
func (c *compiler) measured(w word, or ...string) {
	if !w.given() || slices.Contains(or, w.Text) {
		return
	}
	if _, ok := parseMeasure(w.Text); !ok {
		c.report(w.at, fmt.Sprintf("%q is no number", clipped(w.Text)), "write it in digits, like 0.05"+strings.Join(append([]string{""}, or...), ", or "))
	}
}

func textsOf(list entries[word]) map[string]string {
	texts := map[string]string{}
	for _, e := range list {
		texts[e.Key.Text] = e.Value.Text
	}
	return texts
}

// textsIn keeps an empty list apart from none at all.
func textsIn(list words) []string {
	if list == nil {
		return nil
	}
	texts := make([]string, len(list))
	for i, w := range list {
		texts[i] = w.Text
	}
	return texts
}

// Try plays an example and says in words what comes out otherwise than it says. Empty: as expected.
func (f *Flow) Try(e Example) []string {
	o, err := f.play(e)
	if err != nil {
		return []string{err.Error()}
	}
	var differs []string
	if o.Verdict != e.Verdict {
		differs = append(differs, fmt.Sprintf("it comes out %s (%s), and should be %s", o.Verdict, o.reasons(), e.Verdict))
	}
	for _, id := range e.Rules {
		if !slices.ContainsFunc(o.Rules, func(r Rule) bool { return r.ID == id }) {
			differs = append(differs, fmt.Sprintf("the rule %s does not apply (%s)", id, o.reasons()))
		}
	}
	if e.Missing != nil && !slices.Equal(slices.Sorted(slices.Values(e.Missing)), slices.Sorted(slices.Values(o.Missing))) {
		differs = append(differs, fmt.Sprintf("missing are [%s], and should be [%s]", strings.Join(o.Missing, ", "), strings.Join(e.Missing, ", ")))
	}
	return differs
}

// reasons names the rules that applied and what is missing, for somebody who looks for a mistake.
func (o Outcome) reasons() string {
	var names []string
	for _, r := range o.Rules {
		names = append(names, r.ID)
	}
	for _, m := range o.Missing {
		names = append(names, m+" missing")
	}
	if len(names) == 0 {
		return "no rule"
	}
	return strings.Join(names, ", ")
}

// play judges an example on top of an item as new with everything clear.
func (f *Flow) play(e Example) (Outcome, error) {
	d, err := f.clearFor(e)
	if err != nil {
		return Outcome{}, err
	}
	for name, answer := range e.Answers {
		step, ok := f.Step(name)
		switch {
		case !ok:
			return Outcome{}, fmt.Errorf("%s has no step %q", f.ID, name)
		case slices.Equal(answer, []string{notGiven}):
			delete(d.Answers, name)
		default:
			d.Answers[name] = step.written(answer)
		}
	}
	day := e.Day
	if day.IsZero() {
		day = anyDay()
	}
	return f.Examine(d, day)
}

// clearFor is a clear inspection with an example's facts, sheet, instrument and item.
func (f *Flow) clearFor(e Example) (Document, error) {
	clear, err := f.Clear()
	if err != nil {
		return clear, err
	}
	facts := maps.Clone(clear.Facts)
	maps.Copy(facts, e.Facts)
	maps.DeleteFunc(facts, func(_, choice string) bool { return choice == unknownWord })
	d, err := f.ClearWith(facts)
	if err != nil {
		return d, err
	}
	for id, figure := range e.Sheet {
		if _, ok := f.Figure(id); !ok {
			return d, fmt.Errorf("%s knows no figure %q", f.ID, id)
		}
		if figure != notGiven {
			d.Sheet[id] = MustNumber(figure)
		}
	}
	// What is clear follows from the sheet: something new measures what the sheet says of it.
	c := clearing{flow: f, sheet: d.Sheet, facts: facts}
	for name := range d.Answers {
		step, _ := f.Step(name)
		d.Answers[name] = c.answer(step, d.Item.Serial)
	}
	for id, figure := range e.Sheet {
		if figure == notGiven {
			delete(d.Sheet, id)
		}
	}
	if e.Instrument != "" {
		d.Instrument.Doubt = MustNumber(e.Instrument)
	}
	e.Item.Mark, e.Item.Serial, e.Item.IntervalMonths = d.Item.Mark, d.Item.Serial, d.Item.IntervalMonths
	d.Item.Item = e.Item
	return d, nil
}

// written is an example's answer in the form that the step takes.
func (s Step) written(answer []string) Given {
	switch {
	case slices.Equal(answer, []string{unknownWord}):
		return Given{Text: unknownWord}
	case s.Value != nil:
		return Given{Text: strings.Join(answer, " ")}
	}
	return Given{IsList: true, List: answer}
}

const examplesEnd = ".examples"

// CheckExamples plays the examples that lie beside the flows of a folder, as NAME.examples.yaml for the flow
// NAME, and those beside its blocks, for every flow that has the block as a section. name is what messages call
// the folder; all are its flows.
func CheckExamples(dir fs.FS, name string, all []*Flow) []Problem {
	r := &reporter{}
	for _, file := range exampleFiles(dir, ".") {
		id := exampleOf(file)
		i := slices.IndexFunc(all, func(f *Flow) bool { return f.ID == id })
		if i < 0 {
			r.report(place{file: path.Join(name, file)}, fmt.Sprintf("there is no flow %q that these could be examples of", id), "name the file as the flow is called, with .examples.yaml after it")
			continue
		}
		r.tryAll(dir, name, file, all[i:i+1])
	}
	for _, file := range exampleFiles(dir, blocksFolder) {
		r.tryAll(dir, name, file, slices.DeleteFunc(slices.Clone(all), func(f *Flow) bool { return !f.hasSection(exampleOf(file)) }))
	}
	return r.sorted()
}

// exampleFiles lists the files of examples in one folder. A folder that isn't there has none.
func exampleFiles(dir fs.FS, folder string) []string {
	entries, _ := fs.ReadDir(dir, folder)
	var files []string
	for _, e := range entries {
		ext := path.Ext(e.Name())
		if !e.IsDir() && (ext == ".yaml" || ext == ".yml") && path.Ext(strings.TrimSuffix(e.Name(), ext)) == examplesEnd {
			files = append(files, path.Join(folder, e.Name()))
		}
	}
	return files
}

// exampleOf is the flow or block whose examples a file holds.
func exampleOf(file string) string {
	base := path.Base(file)
	return strings.TrimSuffix(strings.TrimSuffix(base, path.Ext(base)), examplesEnd)
}

func (f *Flow) hasSection(id string) bool {
	return slices.ContainsFunc(f.Sections, func(s Section) bool { return s.ID == id })
}

func (r *reporter) tryAll(dir fs.FS, name, file string, flows []*Flow) {
	shown := path.Join(name, file)
	text, err := fs.ReadFile(dir, file)
	if err != nil {
		r.report(place{file: shown}, "this file can't be read", "see that you may read it")
		return
	}
	examples, problems := LoadExamples(shown, text)
	for _, p := range problems {
		r.add(p)
	}
	for _, f := range flows {
		for _, e := range examples {
			for _, differs := range f.Try(e) {
				r.report(e.at, fmt.Sprintf("in %s, %s: %s", f.ID, strconv.Quote(clipped(e.Example)), differs), "mend the flow, or the example")
			}
		}
	}
}
