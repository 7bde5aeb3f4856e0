package flows

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
)

// The types of this file are what `becket flows show ID --json` prints. Programs outside read it: names and
// shapes stay as they are.

type shownFlow struct {
	ID       string            `json:"id"`
	Revision int               `json:"revision"`
	Hash     string            `json:"hash"`
	Title    string            `json:"title"`
	Facts    []shownFact       `json:"facts"`
	Figures  map[string]string `json:"figures"`
	Sections []shownSection    `json:"sections"`
	Together []shownTogether   `json:"together"`
	Clear    Document          `json:"clear"`
}

type shownFact struct {
	ID      string        `json:"id"`
	Ask     string        `json:"ask"`
	Choices []shownChoice `json:"choices"`
}

type shownChoice struct {
	ID    string `json:"id"`
	Label string `json:"label"`
}

type shownSection struct {
	ID       string         `json:"id"`
	Title    string         `json:"title"`
	OnRope   bool           `json:"on_rope"`
	Checks   []shownCheck   `json:"checks"`
	Readings []shownReading `json:"readings"`
	Asks     []shownValue   `json:"asks"`
}

type shownCheck struct {
	ID       string         `json:"id"`
	Ask      string         `json:"ask"`
	Critical bool           `json:"critical"`
	Required bool           `json:"required"`
	When     string         `json:"when"`
	Findings []shownFinding `json:"findings"`
}

type shownFinding struct {
	ID      string  `json:"id"`
	Label   string  `json:"label"`
	Verdict Verdict `json:"verdict"`
	Because string  `json:"because"`
	Basis   string  `json:"basis"`
}

type shownReading struct {
	ID     string       `json:"id"`
	Ask    string       `json:"ask"`
	Unit   Unit         `json:"unit"`
	Harm   Harm         `json:"harm"`
	Repeat int          `json:"repeat"`
	Doubt  Number       `json:"doubt"`
	When   string       `json:"when"`
	Limits []shownLimit `json:"limits"`
}

type shownLimit struct {
	At      shownPoint `json:"at"`
	Verdict Verdict    `json:"verdict"`
	Because string     `json:"because"`
	Basis   string     `json:"basis"`
}

// shownPoint has either a value, or a sheet figure and the share of it.
type shownPoint struct {
	Value   *Number `json:"value,omitempty"`
	Sheet   string  `json:"sheet,omitempty"`
	Percent *Number `json:"percent,omitempty"`
}

type shownValue struct {
	ID   string    `json:"id"`
	Ask  string    `json:"ask"`
	Kind ValueKind `json:"kind"`
}

// shownTogether has one of All, Any and AtLeast, and always Of.
type shownTogether struct {
	ID      string   `json:"id"`
	All     []string `json:"all,omitempty"`
	Any     []string `json:"any,omitempty"`
	AtLeast int      `json:"at_least,omitempty"`
	Of      []string `json:"of"`
	Verdict Verdict  `json:"verdict"`
	Because string   `json:"because"`
	Basis   string   `json:"basis"`
}

// Show is the whole flow as JSON, for programs, with a document beside it that comes out fit.
func (f *Flow) Show() ([]byte, error) {
	clear, err := f.Clear()
	if err != nil {
		return nil, fmt.Errorf("the flow %s can't be shown: %w", f.ID, err)
	}
	shown := shownFlow{
		ID: f.ID, Revision: f.Revision, Hash: f.Hash, Title: f.Title, Figures: map[string]string{}, Clear: clear,
		Facts: each(f.Facts, Fact.shown), Sections: each(f.Sections, Section.shown), Together: each(f.Together, Together.shown),
	}
	for _, g := range f.Figures {
		shown.Figures[g.ID] = string(g.Unit)
	}
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(shown); err != nil {
		return nil, fmt.Errorf("the flow %s can't be shown: %w", f.ID, err)
	}
	return out.Bytes(), nil
}

// each turns a list into what is shown of it; an empty one is shown as such.
func each[T, S any](list []T, shown func(T) S) []S {
	out := make([]S, len(list))
	for i, one := range list {
		out[i] = shown(one)
	}
	return out
}

func (f Fact) shown() shownFact {
	return shownFact{f.ID, f.Ask, each(f.Choices, func(c Choice) shownChoice { return shownChoice(c) })}
}

func (s Section) shown() shownSection {
	return shownSection{
		ID: s.ID, Title: s.Title, OnRope: s.OnRope,
		Checks: each(s.Checks, Check.shown), Readings: each(s.Readings, Reading.shown), Asks: each(s.Values, Value.shown),
	}
}

func (c Check) shown() shownCheck {
	return shownCheck{
		ID: c.ID, Ask: c.Ask, Critical: c.Critical, Required: c.Required, When: c.When.Text,
		Findings: each(c.Findings, func(f Finding) shownFinding { return shownFinding(f) }),
	}
}

func (r Reading) shown() shownReading {
	return shownReading{
		ID: r.ID, Ask: r.Ask, Unit: r.Unit, Harm: r.Harm, Repeat: r.Repeat, Doubt: r.Doubt, When: r.When.Text,
		Limits: each(r.Limits, func(l Limit) shownLimit { return shownLimit{l.At.shown(), l.Verdict, l.Because, l.Basis} }),
	}
}

func (p Point) shown() shownPoint {
	if p.Figure == "" {
		return shownPoint{Value: &p.Value}
	}
	return shownPoint{Sheet: p.Figure, Percent: &p.Percent}
}

func (v Value) shown() shownValue { return shownValue{v.ID, v.Ask, v.Kind} }

func (t Together) shown() shownTogether {
	s := shownTogether{ID: t.ID, Of: t.Of, Verdict: t.Verdict, Because: t.Because, Basis: t.Basis}
	switch t.How {
	case "all":
		s.All = t.Of
	case "any":
		s.Any = t.Of
	default:
		s.AtLeast = t.Least
	}
	return s
}

// Describe is the whole flow as plain text, for people: what is asked, what may be found, what follows from it
// and where that comes from.
func (f *Flow) Describe() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s (%s, edition %d)\n", f.Title, f.ID, f.Revision)
	if len(f.Figures) > 0 {
		b.WriteString("\nFrom the maker's sheet:\n")
	}
	for _, g := range f.Figures {
		ask := g.Ask
		if ask == "" {
			ask = heading(g.ID)
		}
		fmt.Fprintf(&b, "  %s, in %s: %s\n", g.ID, g.Unit, ask)
	}
	for _, fact := range f.Facts {
		labels := each(fact.Choices, func(c Choice) string { return c.Label })
		fmt.Fprintf(&b, "\n%s (%s)\n", fact.Ask, strings.Join(labels, " / "))
	}
	for i := range f.Sections {
		f.Sections[i].describe(&b)
	}
	if len(f.BeforeUse) > 0 {
		fmt.Fprintf(&b, "\nBefore each use: %s\n", strings.Join(f.BeforeUse, ", "))
	}
	if len(f.Together) > 0 {
		b.WriteString("\nTogether\n")
	}
	for _, t := range f.Together {
		fmt.Fprintf(&b, "  %s: %s %s\n", t.ID, t.manner(), strings.Join(t.Of, ", "))
		fmt.Fprintf(&b, "      %s. %s (%s)\n", t.Verdict, t.Because, t.Basis)
	}
	return b.String()
}

// manner says how many of its parts a rule takes.
func (t Together) manner() string {
	switch t.How {
	case "all":
		return "all of"
	case "any":
		return "any of"
	}
	return fmt.Sprintf("at least %d of", t.Least)
}

func (s *Section) describe(b *strings.Builder) {
	fmt.Fprintf(b, "\n%s", s.Title)
	if s.OnRope {
		b.WriteString(" (left out once it is held)")
	}
	b.WriteByte('\n')
	for _, step := range s.steps() {
		switch {
		case step.Check != nil:
			step.Check.describe(b)
		case step.Reading != nil:
			step.Reading.describe(b)
		default:
			step.Value.describe(b)
		}
	}
}

// describeStep writes a step's question with what is to be known about it.
func describeStep(b *strings.Builder, id, ask string, notes ...string) {
	fmt.Fprintf(b, "  %s: %s", id, ask)
	var said []string
	for _, n := range notes {
		if n != "" {
			said = append(said, n)
		}
	}
	if len(said) > 0 {
		fmt.Fprintf(b, " (%s)", strings.Join(said, "; "))
	}
	b.WriteByte('\n')
}

func (c *Check) describe(b *strings.Builder) {
	describeStep(b, c.ID, c.Ask, said(c.Critical, "on its own"), said(!c.Required, "may be left out"), c.When.Text)
	if c.Clear != "" {
		fmt.Fprintf(b, "    - %s: clear\n", c.Clear)
	}
	for _, f := range c.Findings {
		if f.Verdict <= Fit {
			fmt.Fprintf(b, "    - %s: noted\n", f.Label)
			continue
		}
		fmt.Fprintf(b, "    - %s: %s. %s (%s)\n", f.Label, f.Verdict, f.Because, f.Basis)
	}
}

func said(when bool, text string) string {
	if when {
		return text
	}
	return ""
}

func (r *Reading) describe(b *strings.Builder) {
	worse := "more is worse"
	if r.Harm == HarmDown {
		worse = "less is worse"
	}
	describeStep(b, r.ID, r.Ask, "in "+string(r.Unit), times(r.Repeat), worse, "doubt "+r.Doubt.String(), said(!r.Required, "may be left out"), r.When.Text)
	for _, l := range r.Limits {
		fmt.Fprintf(b, "    - at %s: %s. %s (%s)\n", l.At.words(), l.Verdict, l.Because, l.Basis)
	}
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// words is a point as the language writes it.
func (p Point) words() string {
	switch {
	case p.Figure == "":
		return p.Value.String()
	case p.Percent.Equal(MustNumber("100")):
		return sheetWord + " " + p.Figure
	}
	return p.Percent.String() + " % of " + sheetWord + " " + p.Figure
}

func (v *Value) describe(b *strings.Builder) {
	describeStep(b, v.ID, v.Ask, said(v.Match != "", "must agree with "+v.Match), said(v.Kind == ValuePhoto, "a photo"), said(!v.Required, "asked by chance"), v.When.Text)
	if v.Match != "" {
		fmt.Fprintf(b, "    - does not agree: %s. %s (%s)\n", Quarantine, v.Because, v.Basis)
	}
}
