package flows

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// library is read-only: the flows, their blocks and their examples, as they were when the program was built.
//
//go:embed library
var library embed.FS

const (
	libraryFolder = "library"
	blocksFolder  = "blocks"
)

func builtIn() shelf { return folder{library, libraryFolder, libraryFolder} }

// LibraryFiles are the flows that come with the program, with their blocks and examples, as files.
func LibraryFiles() fs.FS {
	inner, err := fs.Sub(library, libraryFolder)
	if err != nil {
		panic(err) // only for a name that isn't one
	}
	return inner
}

// Library loads all flows that come with the program, in the order of their ids. An error means that the
// program was built with a flow that can't be relied on.
func Library() ([]*Flow, error) {
	list, problems := LoadDir(LibraryFiles(), libraryFolder)
	if len(problems) > 0 {
		return nil, fmt.Errorf("the flows in this program have mistakes, it must be built again: %w", problems)
	}
	return list, nil
}

// LoadDir loads all flows of a folder, in the order of their ids, and checks the blocks in its folder blocks,
// which come before those of the library. name is what messages call the folder. Flows without problems are
// there even where others have some.
func LoadDir(dir fs.FS, name string) ([]*Flow, Problems) {
	r := &reporter{}
	own := folder{dir, "", name}
	blocks := onceEach(merged{own, builtIn()})
	var list []*Flow
	from := map[string]string{}
	for _, file := range own.flowFiles(r) {
		shown := path.Join(name, file)
		text, err := fs.ReadFile(dir, file)
		if err != nil {
			r.report(place{file: shown}, "this file can't be read", "see that it is there and that you may read it")
			continue
		}
		f, problems := loadOwn(shown, text, blocks)
		for _, p := range problems {
			r.add(p)
		}
		if f == nil {
			continue
		}
		if first, twice := from[f.ID]; twice {
			r.report(f.placed(shown), fmt.Sprintf("the flow %q is already in %s", f.ID, first), "give one of the two another name")
			continue
		}
		from[f.ID] = shown
		list = append(list, f)
	}
	own.checkBlocks(r)
	slices.SortFunc(list, func(a, b *Flow) int { return strings.Compare(a.ID, b.ID) })
	return list, r.sorted()
}

// LoadFile loads one flow of a folder, with the blocks that LoadDir would give it. name is what messages call the folder.
func LoadFile(dir fs.FS, name, file string) (*Flow, Problems) {
	shown := path.Join(name, file)
	text, err := fs.ReadFile(dir, file)
	if err != nil {
		return nil, Problems{{File: shown, Line: 1, Col: 1, What: "this file can't be read", Do: "see that it is there and that you may read it"}}
	}
	return loadOwn(shown, text, onceEach(merged{folder{dir, "", name}, builtIn()}))
}

// placed is where a loaded flow's name stands in its file.
func (f *Flow) placed(file string) place {
	at := place{file: file, line: 1, col: 1}
	for line := range strings.Lines(string(f.Text)) {
		if strings.HasPrefix(line, "flow:") {
			return at
		}
		at.line++
	}
	return place{file: file, line: 1, col: 1}
}

// folder is a place with flows, and blocks in a folder of their own.
type folder struct {
	files fs.FS
	root  string // of the flows within files
	shown string // what messages call it
}

func isYAML(name string) bool {
	return (path.Ext(name) == ".yaml" || path.Ext(name) == ".yml") && !strings.Contains(name, ".examples.")
}

// flowFiles lists the files of a folder that are flows; examples beside them aren't.
func (d folder) flowFiles(r *reporter) []string {
	entries, err := fs.ReadDir(d.files, ".")
	if err != nil {
		r.report(place{file: d.shown}, "this folder can't be read", "see that it is there and that you may read it")
		return nil
	}
	var files []string
	for _, e := range entries {
		if !e.IsDir() && isYAML(e.Name()) {
			files = append(files, e.Name())
		}
	}
	if len(files) == 0 {
		r.report(place{file: d.shown}, "there is no flow in this folder", "name a folder that holds flows, as files that end in .yaml")
	}
	return files
}

func (d folder) block(name string) (script, bool) {
	if !isID(name) {
		return script{}, false
	}
	for _, ext := range []string{".yaml", ".yml"} {
		text, err := fs.ReadFile(d.files, path.Join(d.root, blocksFolder, name+ext))
		if err != nil {
			continue
		}
		quiet := &reporter{}
		file := path.Join(d.shown, blocksFolder, name+ext)
		scripts := quiet.scriptsOf(file, text)
		if len(scripts) == 0 {
			return script{file: file, line: 1, text: "\n"}, true
		}
		return scripts[0], true
	}
	return script{}, false
}

func (d folder) names() []string {
	entries, err := fs.ReadDir(d.files, path.Join(d.root, blocksFolder))
	if err != nil {
		return nil // a folder without blocks
	}
	var names []string
	for _, e := range entries {
		if !e.IsDir() && isYAML(e.Name()) {
			names = append(names, strings.TrimSuffix(e.Name(), path.Ext(e.Name())))
		}
	}
	return names
}

// checkBlocks reads the blocks of a folder on their own, since one that no flow takes is read by nobody else.
func (d folder) checkBlocks(r *reporter) {
	for _, name := range d.names() {
		s, ok := d.block(name)
		if !ok {
			r.report(place{file: path.Join(d.shown, blocksFolder, name)}, "a block can't be called that", "name the file in letters, digits, underscores and hyphens")
			continue
		}
		alone := &reporter{}
		x := expansion{reporter: alone, flow: &sourceFlow{}, shelf: onceEach(d)}
		x.take(sourceUse{Block: word{Text: name, at: place{file: s.file, line: 1, col: 1}}, As: word{Text: "x"}, Part: word{Text: "x"}})
		for _, p := range alone.problems {
			r.add(p)
		}
	}
}
