package flows

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// shelf is where blocks are looked for, after those that stand in the flow's own file.
type shelf interface {
	// block finds a block's text by its name.
	block(name string) (script, bool)
	// names lists all blocks there.
	names() []string
}

// readOnce keeps what was read from a shelf, for the many flows of a folder that take the same blocks.
type readOnce struct {
	shelf
	read map[string]found
}

func onceEach(s shelf) readOnce { return readOnce{s, map[string]found{}} }

// expansion takes blocks into a flow's source.
type expansion struct {
	*reporter
	flow   *sourceFlow
	inFile []found // blocks in the flow's own file
	shelf  readOnce
	taken  []found // in the order of first use
	uses   []sourceUse
}

// found is a block's text, read as YAML once and decoded anew for each use.
type found struct {
	name   string
	at     place
	script script
	body   ast.Node // missing where the text can't be read
}

// keep remembers a block that stands in the flow's own file. Where it can't be read as YAML, that is said alone.
func (x *expansion) keep(s script) (readable bool) {
	body, ok := x.parse(s)
	if !ok {
		return false
	}
	name, ok := (&decoder{script: s}).blockName(body)
	if !ok {
		x.report(place{file: s.file, line: s.line, col: 1}, "this is no block", "begin what follows three dashes with block: NAME, or put a second flow in a file of its own")
		return true
	}
	if slices.ContainsFunc(x.inFile, func(f found) bool { return f.name == name.Text }) {
		x.report(name.at, fmt.Sprintf("there are two blocks %q in this file", clipped(name.Text)), "keep one of the two")
		return true
	}
	x.inFile = append(x.inFile, found{name.Text, name.at, s, body})
	return true
}

// find looks for a block nearest first.
func (x *expansion) find(name word) (found, bool) {
	for _, f := range slices.Concat(x.taken, x.inFile) {
		if f.name == name.Text {
			return f, true
		}
	}
	if f, ok := x.shelf.read[name.Text]; ok {
		return f, true
	}
	s, ok := x.shelf.block(name.Text)
	if !ok {
		known := x.shelf.names()
		for _, f := range x.inFile {
			known = append(known, f.name)
		}
		x.report(name.at, fmt.Sprintf("there is no block %q", name.Text), instead(name.Text, known))
		return found{}, false
	}
	f := found{name: name.Text, script: s}
	if f.body, ok = x.parse(s); ok { // what can't be read is said for each flow that takes it
		x.shelf.read[f.name] = f
	}
	return f, true
}

// take decodes the block that is used here, renamed for its use. Its facts, figures and rules go to the flow.
func (x *expansion) take(use sourceUse) (*sourceBlock, bool) {
	f, ok := x.find(use.Block)
	if !ok {
		return nil, false
	}
	again := slices.ContainsFunc(x.taken, func(t found) bool { return t.name == f.name })
	if !again {
		x.taken = append(x.taken, f)
	}
	if slices.ContainsFunc(x.uses, func(u sourceUse) bool { return u.Block.Text == use.Block.Text && u.As.Text == use.As.Text }) {
		x.report(use.Block.at, fmt.Sprintf("the block %q is taken twice under the same names", f.name), "add as: with another prefix to each")
		return nil, false
	}
	if len(x.uses) >= maxUses {
		x.report(use.Block.at, "too many blocks are taken here", fmt.Sprintf("take %d at most", maxUses))
		return nil, false
	}
	x.uses = append(x.uses, use)
	if f.body == nil {
		return nil, false
	}
	d := decoder{reporter: x.reporter, script: f.script, again: again}
	var b sourceBlock
	d.decode(f.body, &b, word{})
	x.checkBlock(&b, f)
	x.rename(&b, use)
	b.passBasisOn()
	x.merge(&b)
	return &b, true
}

// maxUses is more blocks than any family needs.
const maxUses = 60

func (x *expansion) checkBlock(b *sourceBlock, f found) {
	if b.Block.given() && b.Block.Text != f.name {
		x.report(b.Block.at, fmt.Sprintf("the file %s calls its block %q", f.script.file, b.Block.Text), "give both the same name")
	}
	steps := len(b.Asks) + len(b.Checks) + len(b.Readings)
	if b.Section != nil && steps > 0 {
		x.report(b.Section.at, "a block is either a whole section or steps for one, and this is both", "put the steps into the section")
	}
	inner := b.body()
	for _, use := range inner.uses() {
		x.report(use.at, "a block can't take another block", "name that block in the flow, beside this one")
	}
}

// body is where a block's steps are.
func (b *sourceBlock) body() *sourceBody {
	if b.Section != nil {
		return b.Section
	}
	return &sourceBody{Asks: b.Asks, Checks: b.Checks, Readings: b.Readings}
}

// uses lists the blocks that are named among a body's steps.
func (b *sourceBody) uses() []word {
	var uses []word
	for _, s := range b.Asks {
		uses = append(uses, s.Block)
	}
	for _, s := range b.Checks {
		uses = append(uses, s.Block)
	}
	for _, s := range b.Readings {
		uses = append(uses, s.Block)
	}
	return slices.DeleteFunc(uses, func(w word) bool { return !w.given() })
}

// passBasisOn gives the block's own basis to all in it that has none.
func (b *sourceBlock) passBasisOn() {
	if b.Section != nil {
		b.Section.Basis = b.Section.Basis.or(b.Basis)
	}
	for i := range b.Asks {
		b.Asks[i].Basis = b.Asks[i].Basis.or(b.Basis)
	}
	for i := range b.Checks {
		b.Checks[i].Basis = b.Checks[i].Basis.or(b.Basis)
	}
	for i := range b.Readings {
		b.Readings[i].Basis = b.Readings[i].Basis.or(b.Basis)
	}
	for i := range b.Together {
		b.Together[i].Basis = b.Together[i].Basis.or(b.Basis)
	}
}

// merge gives a block's facts, figures and rules to the flow. What the flow has already must be the same.
func (x *expansion) merge(b *sourceBlock) {
	figures, facts := x.flow.Sheet.index(), x.flow.Facts.index()
	for _, e := range b.Sheet {
		i, there := figures[e.Key.Text]
		if !there {
			x.flow.Sheet = append(x.flow.Sheet, e)
		} else if had := x.flow.Sheet[i].Value.Unit.Text; had != e.Value.Unit.Text {
			x.report(e.Key.at, fmt.Sprintf("the figure %q is in %s here and in %s elsewhere in the flow", e.Key.Text, e.Value.Unit.Text, had), "give it one unit, or another name")
		}
	}
	for _, e := range b.Facts {
		i, there := facts[e.Key.Text]
		if !there {
			x.flow.Facts = append(x.flow.Facts, e)
		} else if !slices.Equal(x.flow.Facts[i].Value.Choices.keys(), e.Value.Choices.keys()) {
			x.report(e.Key.at, fmt.Sprintf("the fact %q has other choices elsewhere in the flow", e.Key.Text), "give it the same choices, or another name")
		}
	}
	x.flow.Together = append(x.flow.Together, b.Together...)
}

// expand puts each block's steps where the flow takes them.
func (x *expansion) expand() {
	var sections []sourceSection
	for _, s := range x.flow.Sections {
		if !s.Block.given() {
			x.noStrayUse(s.sourceUse, false)
			s.sourceBody = x.body(s.sourceBody)
			sections = append(sections, s)
			continue
		}
		b, ok := x.take(s.sourceUse)
		switch {
		case !ok:
		case b.Section == nil:
			x.report(s.Block.at, fmt.Sprintf("the block %q is steps and no section", s.Block.Text), "name it under the checks of a section")
		default:
			name := word{Text: s.Block.Text, at: s.Block.at}
			sections = append(sections, sourceSection{Section: name, sourceBody: *b.Section})
		}
	}
	x.flow.Sections = sections
	for _, f := range x.inFile {
		if !slices.ContainsFunc(x.taken, func(t found) bool { return t.name == f.name }) {
			x.report(f.at, fmt.Sprintf("nothing takes the block %q", f.name), "take it out, or name it where its steps belong")
		}
	}
}

// body is a section with the steps of the blocks that it takes: at their place among steps of their kind, the
// others at the end.
func (x *expansion) body(s sourceBody) sourceBody {
	out := s
	out.Asks, out.Checks, out.Readings = nil, nil, nil
	take := func(use sourceUse) {
		b, ok := x.take(use)
		if ok && b.Section != nil {
			x.report(use.Block.at, fmt.Sprintf("the block %q is a whole section", use.Block.Text), "name it in the list of sections")
			return
		}
		if ok {
			out.Asks = append(out.Asks, b.Asks...)
			out.Checks = append(out.Checks, b.Checks...)
			out.Readings = append(out.Readings, b.Readings...)
		}
	}
	for _, v := range s.Asks {
		if v.Block.given() {
			take(v.sourceUse)
			continue
		}
		x.noStrayUse(v.sourceUse, false)
		out.Asks = append(out.Asks, v)
	}
	for _, c := range s.Checks {
		if c.Block.given() {
			take(c.sourceUse)
			continue
		}
		x.noStrayUse(c.sourceUse, true)
		out.Checks = append(out.Checks, c)
	}
	for _, r := range s.Readings {
		if r.Block.given() {
			take(r.sourceUse)
			continue
		}
		x.noStrayUse(r.sourceUse, false)
		out.Readings = append(out.Readings, r)
	}
	return out
}

// noStrayUse reports what belongs to a block where none is taken. A check has a part of its own.
func (x *expansion) noStrayUse(use sourceUse, hasPart bool) {
	if use.As.given() {
		x.report(use.As.key, `"as" belongs to a block, and none is named here`, "add block: NAME, or take this out")
	}
	if use.Part.given() && !hasPart {
		x.report(use.Part.key, `"part" belongs to a check or a block`, "take it out")
	}
}

// rename gives a block's names the prefix of its use, and its texts the part.
func (x *expansion) rename(b *sourceBlock, use sourceUse) {
	r := renaming{block: use.Block.Text, part: use.Part.Text, own: map[string]bool{}}
	if use.As.given() {
		r.prefix = use.As.Text + "_"
	}
	body := b.body()
	for _, v := range body.Asks {
		r.own[v.Value.Text] = true
	}
	for _, c := range body.Checks {
		r.own[c.Check.Text] = true
	}
	for _, v := range body.Readings {
		r.own[v.Reading.Text] = true
	}
	r.body(body)
	r.together(b.Together)
	if r.wantsPart {
		x.report(use.Block.at, fmt.Sprintf("the block %q speaks of the place where it is taken", use.Block.Text), "add part: with that place in words")
	}
}

// renaming is what one use of a block changes in it.
type renaming struct {
	block     string
	prefix    string
	part      string
	own       map[string]bool // the block's own step names, before
	wantsPart bool
}

const partMark = "{part}"

func (r *renaming) text(texts ...*word) {
	for _, w := range texts {
		if strings.Contains(w.Text, partMark) && r.part == "" {
			r.wantsPart = true
		}
		w.Text = strings.ReplaceAll(w.Text, partMark, r.part)
	}
}

func (r *renaming) name(w *word) {
	if w.given() {
		w.Text = r.prefix + w.Text
	}
}

// reference renames STEP.SOMETHING where the step is the block's own.
func (r *renaming) reference(text string) string {
	if step, _, _ := strings.Cut(text, "."); r.own[step] {
		return r.prefix + text
	}
	return text
}

func (r *renaming) when(list words) {
	for i := range list {
		if rest, ok := strings.CutPrefix(list[i].Text, foundWord+" "); ok {
			list[i].Text = foundWord + " " + r.reference(strings.TrimSpace(rest))
		}
	}
}

func (r *renaming) verdict(v *sourceVerdict) { r.text(&v.Watch, &v.Quarantine, &v.Retire) }

func (r *renaming) body(b *sourceBody) {
	r.text(&b.Title)
	for i := range b.Asks {
		v := &b.Asks[i]
		r.name(&v.Value)
		r.text(&v.Ask, &v.Quarantine)
		r.when(v.When)
	}
	for i := range b.Checks {
		c := &b.Checks[i]
		c.origin = Origin{r.block, c.Check.Text, r.part}
		r.name(&c.Check)
		r.text(&c.Ask, &c.Part, &c.Clear)
		r.when(c.When)
		for j := range c.Find {
			r.text(&c.Find[j].Value.See)
			r.verdict(&c.Find[j].Value.sourceVerdict)
		}
	}
	for i := range b.Readings {
		v := &b.Readings[i]
		v.origin = Origin{r.block, v.Reading.Text, r.part}
		r.name(&v.Reading)
		r.text(&v.Ask)
		r.when(v.When)
		for j := range v.Limits {
			r.verdict(&v.Limits[j].sourceVerdict)
		}
	}
}

func (r *renaming) together(rules []sourceTogether) {
	for i := range rules {
		t := &rules[i]
		r.name(&t.Rule)
		r.verdict(&t.sourceVerdict)
		for _, list := range [][]word{t.All, t.Any, t.Of} {
			for j := range list {
				list[j].Text = r.reference(list[j].Text)
			}
		}
	}
}
