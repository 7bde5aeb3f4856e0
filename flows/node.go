package flows

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// word is a plain value as it was written. Not given, it stands nowhere.
type word struct {
	Text string
	at   place
	key  place // of the key before it
}

func (w word) given() bool { return w.at.known() }

// or is w where it was given, else v.
func (w word) or(v word) word {
	if w.given() {
		return w
	}
	return v
}

// yesNo is a value that is yes or no.
type yesNo struct {
	yes bool
	at  place
}

// or is the value where one was given, else what it is without.
func (y yesNo) or(without bool) bool {
	if y.at.known() {
		return y.yes
	}
	return without
}

// words is one plain value or a list of them.
type words []word

// entries is a mapping whose keys are names of the writer's own, in their order.
type entries[T any] []entry[T]

type entry[T any] struct {
	Key   word
	Value T
}

// add makes room for one more entry and gives its value to be filled.
func (e *entries[T]) add(key word) any {
	*e = append(*e, entry[T]{Key: key})
	return &(*e)[len(*e)-1].Value
}

func (e entries[T]) keys() []string {
	keys := make([]string, len(e))
	for i, one := range e {
		keys[i] = one.Key.Text
	}
	return keys
}

// index tells where each key's entry is.
func (e entries[T]) index() map[string]int {
	index := make(map[string]int, len(e))
	for i, one := range e {
		index[one.Key.Text] = i
	}
	return index
}

// here remembers where a mapping stands: at the key before it, or in a list at its own first key.
type here struct{ at place }

func (h *here) stands(at place) { h.at = at }

// decoder reads YAML nodes into the types of source.go and reports what doesn't belong there.
type decoder struct {
	*reporter
	script script
	again  bool // in a block's second or later use
}

func (d *decoder) place(n ast.Node) place { return d.tokenPlace(n.GetToken()) }

func (d *decoder) tokenPlace(t *token.Token) place {
	at := place{file: d.script.file, line: d.script.line, col: 1, again: d.again}
	if t != nil && t.Position != nil {
		at.line, at.col = d.script.line+t.Position.Line-1, t.Position.Column
	}
	return at
}

// decode reads a node into what target points to. key is the name before it; an entry of a list has none but
// the list's text, and stands nowhere.
func (d *decoder) decode(n ast.Node, target any, key word) {
	if !d.isPlainYAML(n) {
		return
	}
	switch t := target.(type) {
	case *word:
		d.word(n, t, key)
	case *yesNo:
		d.yesNo(n, t, key)
	case *words:
		if list, ok := n.(*ast.SequenceNode); ok {
			d.list(list, reflect.ValueOf(t).Elem(), key)
			return
		}
		*t = make(words, 1)
		d.word(n, &(*t)[0], key)
	case interface{ add(word) any }:
		d.entries(n, t, key)
	default:
		d.compound(n, reflect.ValueOf(target).Elem(), key)
	}
}

func (d *decoder) compound(n ast.Node, v reflect.Value, key word) {
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		d.decode(n, v.Interface(), key)
	case reflect.Slice:
		list, ok := n.(*ast.SequenceNode)
		if !ok {
			d.report(d.valuePlace(n, key), fmt.Sprintf("%q takes a list", key.Text), "start each entry on its own line with a dash")
			return
		}
		d.list(list, v, key)
	default:
		d.mapping(n, v, key)
	}
}

// isPlainYAML refuses what makes a text hard to follow for people who don't program.
func (d *decoder) isPlainYAML(n ast.Node) bool {
	switch n.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode, *ast.MergeKeyNode:
		d.report(d.place(n), "a sign like & or * has a meaning of its own at the start of a text", "put the text in quotes, or write it out in full")
		return false
	}
	return true
}

func (d *decoder) list(n *ast.SequenceNode, v reflect.Value, key word) {
	v.Set(reflect.MakeSlice(v.Type(), len(n.Values), len(n.Values)))
	for i, value := range n.Values {
		d.decode(value, v.Index(i).Addr().Interface(), word{Text: key.Text})
	}
}

// scalar is the text of a plain value; false for lists, mappings and nothing at all.
func scalar(n ast.Node) (string, bool) {
	switch n := n.(type) {
	case *ast.LiteralNode:
		return n.Value.Value, true
	case *ast.NullNode:
		return "", false
	case ast.ScalarNode:
		return n.GetToken().Value, true
	}
	return "", false
}

func (d *decoder) word(n ast.Node, w *word, key word) {
	text, ok := scalar(n)
	_, isNull := n.(*ast.NullNode)
	switch {
	case isNull, ok && strings.TrimSpace(text) == "":
		d.report(d.valuePlace(n, key), fmt.Sprintf("%q has nothing after it", key.Text), "write it, or take the line out")
	case !ok:
		d.report(d.valuePlace(n, key), fmt.Sprintf("%q takes a plain text", key.Text), "write one text, in quotes if it holds a colon, a bracket or a #")
	default:
		*w = word{Text: strings.TrimSpace(text), at: d.place(n), key: key.at}
	}
}

func (d *decoder) yesNo(n ast.Node, y *yesNo, key word) {
	var w word
	d.word(n, &w, key)
	if !w.given() {
		return
	}
	switch strings.ToLower(w.Text) {
	case "yes", "true":
		*y = yesNo{yes: true, at: w.at}
	case "no", "false":
		*y = yesNo{at: w.at}
	default:
		d.report(w.at, fmt.Sprintf("%q is yes or no, not %q", key.Text, clipped(w.Text)), "write yes or no")
	}
}

func (d *decoder) entries(n ast.Node, into interface{ add(word) any }, key word) {
	pairs, ok := d.pairs(n)
	if !ok {
		d.report(d.valuePlace(n, key), fmt.Sprintf("%q takes names with something after each", key.Text), "write each as NAME: and what belongs to it")
	}
	for _, p := range pairs {
		d.decode(p.value, into.add(p.key), p.key)
	}
}

// valuePlace is where a value stands that is of the wrong kind; nothing at all stands at its key.
func (d *decoder) valuePlace(n ast.Node, key word) place {
	if _, isNull := n.(*ast.NullNode); isNull && key.at.known() {
		return key.at
	}
	if m, ok := n.(*ast.MappingNode); ok && m.IsFlowStyle {
		return d.place(n)
	}
	return d.firstKey(n)
}

// firstKey is where a mapping begins for somebody who reads it; the parser says at its first colon.
func (d *decoder) firstKey(n ast.Node) place {
	if m, ok := n.(*ast.MappingNode); ok && len(m.Values) > 0 {
		return d.place(m.Values[0].Key)
	}
	return d.place(n)
}

type pair struct {
	key   word
	value ast.Node
}

// pairs lists a mapping's entries, and reports keys that are no plain names or stand twice.
func (d *decoder) pairs(n ast.Node) ([]pair, bool) {
	var values []*ast.MappingValueNode
	switch n := n.(type) {
	case *ast.MappingNode:
		values = n.Values
	case *ast.MappingValueNode:
		values = []*ast.MappingValueNode{n}
	default:
		return nil, false
	}
	seen := map[string]int{}
	pairs := make([]pair, 0, len(values))
	for _, v := range values {
		text, ok := scalar(v.Key)
		if !ok || text == "" {
			d.report(d.place(v.Key), "a name is missing before the colon", "write a plain name, then a colon, then what belongs to it")
			continue
		}
		key := word{Text: text, at: d.place(v.Key)}
		if line, twice := seen[text]; twice {
			d.report(key.at, fmt.Sprintf("%q stands here a second time, first in line %d", clipped(text), line), "keep one of the two")
			continue
		}
		seen[text] = key.at.line
		pairs = append(pairs, pair{key, v.Value})
	}
	return pairs, true
}

// field is one key that a mapping can have.
type field struct {
	name     string
	means    string
	required bool
	short    bool     // a plain value in the mapping's place is meant for this key
	only     []string // given, this key stands for all others but these
	index    []int
}

// fields lists the keys of a source type, those of embedded ones included.
func fields(t reflect.Type) []field {
	var list []field
	for _, f := range reflect.VisibleFields(t) {
		name, options, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		if name == "" {
			continue
		}
		_, short := f.Tag.Lookup("short")
		list = append(list, field{
			name: name, means: f.Tag.Get("jsonschema_description"), required: options != "omitempty", short: short,
			only: strings.Fields(f.Tag.Get("only")), index: f.Index,
		})
	}
	return list
}

func (d *decoder) fields(t reflect.Type) []field {
	if d.known == nil {
		d.known = map[reflect.Type][]field{}
	}
	if _, ok := d.known[t]; !ok {
		d.known[t] = fields(t)
	}
	return d.known[t]
}

func (d *decoder) mapping(n ast.Node, v reflect.Value, key word) {
	known := d.fields(v.Type())
	at := key.at
	if !at.known() {
		at = d.firstKey(n)
	}
	if h, ok := v.Addr().Interface().(interface{ stands(place) }); ok {
		h.stands(at)
	}
	pairs, ok := d.pairs(n)
	if !ok {
		d.notMapping(n, v, known, key)
		return
	}
	seen := map[string]bool{}
	var alone *field
	for _, p := range pairs {
		f := named(known, p.key.Text)
		if f == nil {
			d.unknownKey(p.key, known)
			continue
		}
		seen[f.name] = true
		if len(f.only) > 0 {
			alone = f
		}
		d.decode(p.value, v.FieldByIndex(f.index).Addr().Interface(), p.key)
	}
	if alone != nil {
		d.beside(*alone, pairs, known)
		return
	}
	for _, f := range known {
		if f.required && !seen[f.name] {
			d.report(at, fmt.Sprintf("%q is missing", f.name), fmt.Sprintf("add %s: with %s", f.name, f.means))
		}
	}
}

// blockName is the name by which a document says that it is a block.
func (d *decoder) blockName(n ast.Node) (word, bool) {
	quiet := &decoder{reporter: &reporter{}, script: d.script}
	pairs, _ := quiet.pairs(n)
	for _, p := range pairs {
		if p.key.Text == "block" {
			var name word
			quiet.word(p.value, &name, p.key)
			name.at = p.key.at
			return name, true
		}
	}
	return word{}, false
}

func named(known []field, name string) *field {
	for i := range known {
		if known[i].name == name {
			return &known[i]
		}
	}
	return nil
}

// notMapping takes a plain value for the one key that it can be meant for.
func (d *decoder) notMapping(n ast.Node, v reflect.Value, known []field, key word) {
	for _, f := range known {
		if _, plain := scalar(n); f.short && plain {
			d.decode(n, v.FieldByIndex(f.index).Addr().Interface(), key)
			return
		}
	}
	var required []string
	for _, f := range known {
		if f.required {
			required = append(required, f.name)
		}
	}
	what := fmt.Sprintf("%q is no plain text but has keys of its own", key.Text)
	if key.Text == "" {
		what = "this isn't a flow"
	}
	d.report(d.valuePlace(n, key), what, "write "+strings.Join(required, ": ... and ")+": ...")
}

func (d *decoder) unknownKey(key word, known []field) {
	names := make([]string, len(known))
	for i, f := range known {
		names[i] = f.name
	}
	d.report(key.at, fmt.Sprintf("%q is no key that is known here", clipped(key.Text)), instead(key.Text, names))
}

// beside reports keys that can't stand with one that takes their place.
func (d *decoder) beside(alone field, pairs []pair, known []field) {
	for _, p := range pairs {
		if p.key.Text == alone.name || named(known, p.key.Text) == nil || strings.Contains(" "+strings.Join(alone.only, " ")+" ", " "+p.key.Text+" ") {
			continue
		}
		d.report(p.key.at, fmt.Sprintf("%q can't stand beside %q", p.key.Text, alone.name), fmt.Sprintf("%s brings its own; take this out", alone.name))
	}
}
