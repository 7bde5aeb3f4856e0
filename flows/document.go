package flows

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"becket/flows/due"
)

// Document is a whole inspection on one page, as `becket judge` reads it.
type Document struct {
	Item       DocumentItem      `json:"item"`
	Facts      map[string]string `json:"facts,omitempty"`
	Sheet      map[string]Number `json:"sheet,omitempty"`
	Instrument Instrument        `json:"instrument,omitzero"`
	Answers    map[string]Given  `json:"answers"`
}

// DocumentItem is an Item with what else a document may say about it; only Item is judged.
type DocumentItem struct {
	Item
	Maker string `json:"maker,omitempty"`
	Model string `json:"model,omitempty"`
}

// Instrument is what a reading was taken with.
type Instrument struct {
	Mark  string `json:"mark,omitempty"`
	Doubt Number `json:"doubt,omitzero"` // in the reading's unit
}

// Given is an answer as a document writes it: a list of finding ids (empty: clear) or of numbers, a text, or
// "unknown".
type Given struct {
	List   []string
	Text   string
	IsList bool
}

const unknownWord = "unknown"

// ParseDocument reads a judge document from JSON or YAML. Unknown keys and keys given twice are refused.
func ParseDocument(text []byte) (Document, error) {
	var d Document
	return d, ReadDocument(text, "an inspection to judge", &d)
}

// ReadDocument fills into from a document that people write, YAML or JSON. what names it in refusals, like
// "a team file". Unknown keys, keys given twice and values of another kind are refused.
func ReadDocument(text []byte, what string, into any) error {
	asJSON, err := jsonOf(text)
	if err != nil {
		return err
	}
	dec := json.NewDecoder(bytes.NewReader(asJSON))
	dec.DisallowUnknownFields()
	if err := dec.Decode(into); err != nil {
		return fmt.Errorf("this isn't %s: %s", what, misfit(err))
	}
	if dec.More() {
		return fmt.Errorf("there is more after the document's end; give one document")
	}
	return nil
}

// misfit says in plain words what encoding/json says in Go's.
func misfit(err error) string {
	var kind *json.UnmarshalTypeError
	var form *json.SyntaxError
	unknown, isUnknown := strings.CutPrefix(err.Error(), "json: unknown field ")
	switch {
	case errors.As(err, &kind) && kind.Field == "":
		return "it begins with " + kindInWords(kind.Value) + " where keys are wanted, like item: ..."
	case errors.As(err, &kind):
		parts := slices.DeleteFunc(strings.Split(kind.Field, "."), func(part string) bool { return part == "Item" }) // Go's, and no key
		return strings.Join(parts, ".") + " can't be " + kindInWords(kind.Value)
	case errors.Is(err, io.ErrUnexpectedEOF), errors.As(err, &form):
		return "it is broken off, or no JSON"
	case isUnknown:
		return "the key " + unknown + " isn't known; look at its spelling"
	}
	return strings.TrimPrefix(err.Error(), "json: ")
}

// kindInWords is how people call a kind of value that encoding/json names.
func kindInWords(kind string) string {
	switch kind {
	case "array":
		return "a list"
	case "object":
		return "a set of keys"
	case "string":
		return "a text"
	case "bool":
		return "true or false"
	case "number":
		return "a number"
	}
	return "the " + kind // "number 1.5"
}

// jsonOf turns YAML or JSON into JSON. Numbers keep their digits. A key given twice is refused.
func jsonOf(text []byte) ([]byte, error) {
	asJSON := bytes.TrimSpace(text)
	if !bytes.HasPrefix(asJSON, []byte("{")) {
		file, err := parser.ParseBytes(text, 0)
		if err != nil {
			return nil, fmt.Errorf("this is neither JSON nor YAML that can be read: %s", firstLine(yaml.FormatError(err, false, false)))
		}
		if len(file.Docs) == 0 || file.Docs[0].Body == nil {
			return nil, fmt.Errorf("there is nothing in this document")
		}
		if len(file.Docs) != 1 {
			return nil, fmt.Errorf("give one document, not %d", len(file.Docs))
		}
		tree, err := plain(file.Docs[0].Body)
		if err != nil {
			return nil, err
		}
		if asJSON, err = json.Marshal(tree); err != nil {
			return nil, fmt.Errorf("this can't be read as a document: %w", err)
		}
	}
	if key, twice := repeatedKey(asJSON); twice {
		return nil, fmt.Errorf("%q is given twice; give it once", key)
	}
	return asJSON, nil
}

// plain turns YAML's nodes into what JSON can write, with every number's digits as they stand.
func plain(n ast.Node) (any, error) {
	switch n := n.(type) {
	case *ast.MappingNode:
		return plainMap(n.Values)
	case *ast.MappingValueNode:
		return plainMap([]*ast.MappingValueNode{n})
	case *ast.SequenceNode:
		list := make([]any, len(n.Values))
		for i, v := range n.Values {
			var err error
			if list[i], err = plain(v); err != nil {
				return nil, err
			}
		}
		return list, nil
	case *ast.IntegerNode, *ast.FloatNode:
		return plainNumber(n.GetToken().Value), nil
	case *ast.BoolNode:
		return n.Value, nil
	case *ast.NullNode:
		return nil, nil
	case *ast.StringNode:
		return n.Value, nil
	case *ast.LiteralNode:
		return n.Value.Value, nil
	}
	return nil, fmt.Errorf("line %d: only plain lists, keys, numbers and texts are taken here", n.GetToken().Position.Line)
}

// plainNumber keeps a number that JSON can write as it stands, and anything else (a year like 0x7e4) as text.
func plainNumber(text string) any {
	if n := json.Number(text); json.Valid([]byte(n)) {
		return n
	}
	return text
}

func plainMap(pairs []*ast.MappingValueNode) (any, error) {
	m := make(map[string]any, len(pairs))
	for _, pair := range pairs {
		key := pair.Key.GetToken().Value
		if _, twice := m[key]; twice {
			return nil, fmt.Errorf("line %d: %q is given twice; give it once", pair.Key.GetToken().Position.Line, key)
		}
		value, err := plain(pair.Value)
		if err != nil {
			return nil, err
		}
		m[key] = value
	}
	return m, nil
}

// repeatedKey finds an object key that stands twice, which encoding/json would let pass. Capitals make no other
// key of it, since they make none for encoding/json.
func repeatedKey(text []byte) (string, bool) {
	type level struct {
		object bool
		key    bool // the next string is a key
		seen   map[string]bool
	}
	var levels []level
	dec := json.NewDecoder(bytes.NewReader(text))
	for {
		token, err := dec.Token()
		if err != nil {
			return "", false
		}
		top := len(levels) - 1
		if delim, ok := token.(json.Delim); ok {
			switch delim {
			case '{', '[':
				levels = append(levels, level{object: delim == '{', key: delim == '{', seen: map[string]bool{}})
				continue
			default:
				levels = levels[:top]
				top--
			}
		} else if top >= 0 && levels[top].object && levels[top].key {
			name := token.(string)
			lower := strings.ToLower(name)
			if levels[top].seen[lower] {
				return name, true
			}
			levels[top].seen[lower], levels[top].key = true, false
			continue
		}
		if top >= 0 && levels[top].object {
			levels[top].key = true
		}
	}
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(strings.TrimSpace(s), "\n")
	return line
}

// UnmarshalJSON reads a list of texts or numbers, a text, or a number.
func (g *Given) UnmarshalJSON(text []byte) error {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		return err
	}
	word := func(v any) (string, error) {
		switch v := v.(type) {
		case string:
			return v, nil
		case json.Number:
			return v.String(), nil
		}
		return "", fmt.Errorf("%s is no answer; give a list of findings, a list of numbers, a text, or \"unknown\"", text)
	}
	list, isList := v.([]any)
	if !isList {
		var err error
		g.Text, err = word(v)
		return err
	}
	g.IsList = true
	for _, e := range list {
		w, err := word(e)
		if err != nil {
			return err
		}
		g.List = append(g.List, w)
	}
	return nil
}

// MarshalJSON writes what UnmarshalJSON reads.
func (g Given) MarshalJSON() ([]byte, error) {
	if !g.IsList {
		return json.Marshal(g.Text)
	}
	if g.List == nil {
		return []byte("[]"), nil
	}
	return json.Marshal(g.List)
}

// Examine judges a document as of a day. It refuses unknown steps, findings, facts and figures, and dates that
// can't be.
func (f *Flow) Examine(d Document, day due.Date) (Outcome, error) {
	start := Start{Item: d.Item.Item, Day: day, Facts: map[string]string{}, Sheet: d.Sheet, Doubt: d.Instrument.Doubt}
	if err := f.checkDocument(d, day); err != nil {
		return Outcome{}, err
	}
	for id, choice := range d.Facts {
		if choice != unknownWord {
			start.Facts[id] = choice
		}
	}
	state := f.Start(start)
	for _, step := range f.Steps() {
		given, ok := d.Answers[step.Name]
		if !ok {
			continue
		}
		a, err := step.given(given)
		if err != nil {
			return Outcome{}, err
		}
		state = state.with(a)
	}
	return Judge(f, state), nil
}

func (f *Flow) checkDocument(d Document, day due.Date) error {
	if err := d.Item.Life().Check(day); err != nil {
		return err
	}
	i := d.Item.Item
	if i.IntervalMonths < 0 || i.IntervalMonths > 120 || i.LifeMadeYears < 0 || i.LifeUseYears < 0 || i.LifeMadeYears > 200 || i.LifeUseYears > 200 {
		return fmt.Errorf("an interval is 1 to 120 months and a life 1 to 200 years; leave them out where there is none")
	}
	if i.Use != "" && i.Use != People && i.Use != Goods {
		return fmt.Errorf("use is people or goods, not %q", i.Use)
	}
	if d.Instrument.Doubt.Sign() < 0 {
		return fmt.Errorf("a doubt is never below nothing: %s", d.Instrument.Doubt)
	}
	for id, choice := range d.Facts {
		fact, ok := f.Fact(id)
		if !ok {
			return fmt.Errorf("%s asks no fact %q", f.ID, id)
		}
		if choice != unknownWord && !slices.ContainsFunc(fact.Choices, func(c Choice) bool { return c.ID == choice }) {
			return fmt.Errorf("%q is no choice of the fact %s", choice, id)
		}
	}
	for id, figure := range d.Sheet {
		if _, ok := f.Figure(id); !ok {
			return fmt.Errorf("%s knows no figure %q", f.ID, id)
		}
		if figure.Sign() < 0 {
			return fmt.Errorf("a figure is never below nothing: %s", id)
		}
	}
	for name := range d.Answers {
		if _, ok := f.Step(name); !ok {
			return fmt.Errorf("%s has no step %q", f.ID, name)
		}
	}
	return nil
}

// given turns a document's answer into this step's.
func (s Step) given(g Given) (Answer, error) {
	a := Answer{Step: s.Name}
	switch {
	case !g.IsList && g.Text == unknownWord:
		a.Unknown = true
	case s.Value != nil:
		if g.IsList || strings.TrimSpace(g.Text) == "" {
			return a, fmt.Errorf("%s wants a text, or \"unknown\"", s.Name)
		}
		a.Text = g.Text
	case s.Check != nil:
		if !g.IsList {
			return a, fmt.Errorf("%s wants a list of findings, or \"unknown\"; an empty list is clear", s.Name)
		}
		a.Findings, a.Clear = g.List, len(g.List) == 0
		for _, id := range g.List {
			if _, ok := s.Check.Finding(id); !ok {
				return a, fmt.Errorf("%s has no finding %q", s.Name, id)
			}
		}
	default:
		return s.givenReadings(a, g)
	}
	return a, nil
}

func (s Step) givenReadings(a Answer, g Given) (Answer, error) {
	list := g.List
	if !g.IsList {
		list = []string{g.Text}
	}
	if len(list) == 0 {
		return a, fmt.Errorf("%s wants its readings as a list of numbers, or \"unknown\"", s.Name)
	}
	for _, text := range list {
		n, err := ParseNumber(text)
		if err != nil {
			return a, fmt.Errorf("%s: %w", s.Name, err)
		}
		a.Readings = append(a.Readings, n)
	}
	return a, nil
}
