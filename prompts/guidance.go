// Package prompts holds how the questions of an inspection are put to different people: text in, text out. Nothing in it
// knows what an answer means, and no record depends on it.
package prompts

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"github.com/goccy/go-yaml"
)

// guidance is read-only: a file for each family, and in its folder blocks one for each piece that families share.
//
//go:embed guidance
var guidance embed.FS

const (
	guidanceFolder = "guidance"
	blocksFolder   = "blocks"
)

// Length is how much somebody wants to be told with each question.
type Length string

// Short is for who does this often; Usual is the script's own question; Explained adds why it matters and how it is done.
const (
	Short     Length = "short"
	Usual     Length = "usual"
	Explained Length = "explained"
	// Before is how a check stands in the list for before use, where half a minute has to do for all of it.
	Before Length = "before"
)

// Lengths lists them from the shortest.
func Lengths() []Length { return []Length{Short, Usual, Explained} }

// Step names a step of a script: the family's id and the step's, and where the family took it from a block, the block, the
// step's name there and the part that it was taken for.
type Step struct{ Family, ID, Block, InBlock, Part string }

// Words are what a file says of one step. The first two are always there.
type Words struct {
	Short     string `yaml:"short"`     // stands for the question
	Explained string `yaml:"explained"` // follows the question
	Before    string `yaml:"before"`    // stands in the list for before use; empty: as Short
}

// Guidance is the words for many steps. The zero value, and nil, have none. It is read-only once loaded.
type Guidance struct{ families, blocks map[string]map[string]Words }

// guidanceFile is one file as people write it. Exactly one of the first two names what it is for, as its file does.
type guidanceFile struct {
	Family   string           `yaml:"family"`
	Block    string           `yaml:"block"`
	Checks   map[string]Words `yaml:"checks"`
	Readings map[string]Words `yaml:"readings"`
}

// Own is the guidance that comes with the program.
func Own() (*Guidance, error) {
	inner, err := fs.Sub(guidance, guidanceFolder)
	if err != nil {
		return nil, fmt.Errorf("the guidance in this program can't be read, it must be built again: %w", err)
	}
	return LoadGuidance(inner)
}

// LoadGuidance reads all guidance in a folder and its folder blocks. An error names the file and what is wrong there.
func LoadGuidance(dir fs.FS) (*Guidance, error) {
	g := &Guidance{families: map[string]map[string]Words{}, blocks: map[string]map[string]Words{}}
	for folder, into := range map[string]map[string]map[string]Words{".": g.families, blocksFolder: g.blocks} {
		files, err := fs.Glob(dir, path.Join(folder, "*.yaml"))
		if err != nil {
			return nil, fmt.Errorf("the guidance can't be read: %w", err)
		}
		for _, name := range files {
			words, err := readGuidance(dir, name, folder == blocksFolder)
			if err != nil {
				return nil, fmt.Errorf("guidance %s: %w", name, err)
			}
			into[strings.TrimSuffix(path.Base(name), ".yaml")] = words
		}
	}
	return g, nil
}

// readGuidance reads one file and sees that it is whole.
func readGuidance(dir fs.FS, name string, isBlock bool) (map[string]Words, error) {
	text, err := fs.ReadFile(dir, name)
	if err != nil {
		return nil, err
	}
	var f guidanceFile
	if err := yaml.UnmarshalWithOptions(text, &f, yaml.Strict()); err != nil {
		return nil, err
	}
	own, other, key := f.Family, f.Block, "family"
	if isBlock {
		own, other, key = f.Block, f.Family, "block"
	}
	if own != strings.TrimSuffix(path.Base(name), ".yaml") || other != "" {
		return nil, fmt.Errorf("begin it with %s: and the name of the file", key)
	}
	words := map[string]Words{}
	for _, part := range []map[string]Words{f.Checks, f.Readings} {
		for id, w := range part {
			w = Words{strings.TrimSpace(w.Short), strings.TrimSpace(w.Explained), strings.TrimSpace(w.Before)}
			if w.Short == "" || w.Explained == "" {
				return nil, fmt.Errorf("%q lacks its short or its explained words; write both", id)
			}
			if _, twice := words[id]; twice {
				return nil, fmt.Errorf("%q stands there twice; keep one", id)
			}
			words[id] = w
		}
	}
	return words, nil
}

// partMark stands in a block's words for the part that it is taken for.
const partMark = "{part}"

// For finds the words for a step: the family's own, else those of the block that the step was taken from.
func (g *Guidance) For(s Step) (Words, bool) {
	if g == nil {
		return Words{}, false
	}
	w, ok := g.families[s.Family][s.ID]
	if !ok && s.Block != "" {
		w, ok = g.blocks[s.Block][s.InBlock]
	}
	for _, text := range []*string{&w.Short, &w.Explained, &w.Before} {
		*text = strings.ReplaceAll(*text, partMark, s.Part)
	}
	return w, ok
}

// Put puts a question in a length: the script's own words alone, shorter ones in their place, or the reasons after them.
// Without guidance for the step the script's own words serve for all.
func (g *Guidance) Put(s Step, ask string, l Length) string {
	w, ok := g.For(s)
	switch {
	case ok && l == Before && w.Before != "":
		return w.Before
	case ok && (l == Short || l == Before):
		return w.Short
	case ok && l == Explained:
		return ask + "\n" + w.Explained
	}
	return ask
}
