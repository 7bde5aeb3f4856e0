package flows

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
)

// Load reads a flow from YAML and proves it. The text may be followed, after lines of three dashes, by blocks
// that the flow takes; others come from the library in this program. file names the text in messages.
//
// All mistakes of meaning are reported at once; one of YAML's own form comes alone. Either the flow or the
// problems are there, never both.
func Load(file string, text []byte) (*Flow, Problems) {
	return load(file, text, onceEach(builtIn()))
}

func load(file string, text []byte, blocks readOnce) (*Flow, Problems) {
	r := &reporter{}
	scripts := r.scriptsOf(file, text)
	if len(scripts) == 0 {
		return nil, r.sorted()
	}
	body, ok := r.parse(scripts[0])
	if !ok {
		return nil, r.sorted()
	}
	source := &sourceFlow{}
	d := decoder{reporter: r, script: scripts[0]}
	if name, isBlock := d.blockName(body); isBlock {
		r.report(name.at, "this is a block, and no flow", "begin with flow: NAME, or put it into the folder blocks beside the flows")
		return nil, r.sorted()
	}
	d.decode(body, source, word{})
	x := expansion{reporter: r, flow: source, shelf: blocks}
	for _, s := range scripts[1:] {
		if !x.keep(s) {
			return nil, r.sorted()
		}
	}
	x.expand()
	f := prove(r, source)
	if len(r.problems) > 0 {
		return nil, r.sorted()
	}
	var taken []script
	for _, t := range x.taken {
		taken = append(taken, t.script)
		f.taken = append(f.taken, takenBlock{t.name, t.script})
	}
	f.Text = bundle(scripts[0], taken)
	sum := sha256.Sum256(f.Text)
	f.Hash = hex.EncodeToString(sum[:])
	return f, nil
}

// merged joins shelves, the nearest first.
type merged []shelf

func (m merged) block(name string) (script, bool) {
	for _, s := range m {
		if found, ok := s.block(name); ok {
			return found, true
		}
	}
	return script{}, false
}

func (m merged) names() []string {
	var names []string
	for _, s := range m {
		names = append(names, s.names()...)
	}
	slices.Sort(names)
	return slices.Compact(names)
}
