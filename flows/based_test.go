package flows

import (
	"strings"
	"testing"
	"testing/fstest"
)

// Every change that makes a script of the library milder is refused in one that is based on it, and the script itself isn't.
func TestMilderThanItsBaseIsRefused(t *testing.T) {
	bases, list := libraryFlows(t), libraryFlows(t)
	made := 0
	for n, f := range list {
		held := func() int {
			r := &reporter{}
			r.milder(f, bases[n])
			return len(r.problems)
		}
		if held() > 0 {
			t.Fatalf("%s is milder than itself", f.ID)
		}
		for _, m := range mutants(f) {
			back := m.change()
			if made++; held() == 0 {
				t.Errorf("%s, %s: it is taken", f.ID, m.name)
			}
			back()
		}
	}
	t.Logf("all of %d milder scripts are refused", made)
}

// Each block of the library can be held against one of the same name, but for those that wait for a step of their flow.
func TestEveryBlockCanBeBuiltOn(t *testing.T) {
	for _, name := range builtIn().names() {
		s, _ := builtIn().block(name)
		s.text += "# ours\n"
		r := &reporter{}
		r.ownBlock(takenBlock{name, s}, true)
		if len(r.problems) > 0 {
			t.Errorf("%s: %v", name, r.problems)
		}
	}
}

const ownHarness = `flow: our-figure-8
revision: 1
title: Figure of eight, ours
basis: the team's own rule
sections:
- section: feel
  checks:
  - {block: metal-edges, as: felt, part: ring}
`

// What a team changes in a block of its own is said where it stands.
func TestOwnBlocks(t *testing.T) {
	library, _ := builtIn().block("metal-edges")
	for _, c := range []struct{ name, old, new, want string }{
		{"as it is", "", "", ""},
		{"stricter", "watch: An edge was dressed", "quarantine: An edge was dressed", ""},
		{"one finding more", "  find:\n", "  find:\n    burr: {see: a burr, watch: It may cut.}\n", ""},
		{"milder", "retire: A sharp edge", "quarantine: A sharp edge", "ours/blocks/metal-edges.yaml:11:5: edges.sharp is retire in Becket's block metal-edges, and only quarantine here; give it retire: or stricter"},
		{"a way out", "  find:\n", "  find:\n    small: {see: a small edge}\n", "ours/blocks/metal-edges.yaml:9:5: \"small\" says nothing of the item"},
		{"may be left out", "  part:", "  required: no\n  part:", "ours/blocks/metal-edges.yaml:5:10: \"it.edges\" may be left out here"},
	} {
		dir := fstest.MapFS{
			"ours.yaml":               {Data: []byte(ownHarness)},
			"blocks/metal-edges.yaml": {Data: []byte(strings.Replace(library.text, c.old, c.new, 1))},
		}
		_, problems := LoadDir(dir, "ours")
		if got := problems.Error(); got != c.want && (c.want == "" || !strings.HasPrefix(got, c.want)) {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}

// A kept text is read as it was written, whatever the library says today.
func TestAKeptTextIsHeldAgainstNothing(t *testing.T) {
	block, _ := builtIn().block("metal-edges")
	milder := strings.Replace(block.text, "retire: A sharp edge", "quarantine: A sharp edge", 1)
	text := []byte(ownHarness + "---\n" + milder)
	if _, problems := Load("record", text); len(problems) > 0 {
		t.Error(problems)
	}
	if _, problems := LoadFile(fstest.MapFS{"ours.yaml": {Data: text}}, "ours", "ours.yaml"); len(problems) != 1 || problems[0].Line != 20 {
		t.Errorf("%v", problems)
	}
}
