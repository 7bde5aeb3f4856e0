package main

import (
	"cmp"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
)

// The tests of this file are the fences of the house that DEVELOPERS.md describes.

// goFile is one parsed file of the module.
type goFile struct {
	path, pkg string // from the top; pkg is "" for the program itself
	test      bool
	ast       *ast.File
	fset      *token.FileSet
}

func (f goFile) at(pos token.Pos) string { return f.fset.Position(pos).String() }

// files walks over all files of the module; the tools are a module of their own.
func files(t *testing.T, visit func(name string)) {
	t.Helper()
	err := fs.WalkDir(os.DirFS("."), ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && name != "." && (name == "tools" || strings.HasPrefix(d.Name(), ".")):
			return fs.SkipDir
		case !d.IsDir():
			visit(name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func goFiles(t *testing.T) (all []goFile) {
	t.Helper()
	fset := token.NewFileSet()
	files(t, func(name string) {
		if path.Ext(name) != ".go" {
			return
		}
		tree, err := parser.ParseFile(fset, name, nil, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		pkg := path.Dir(name)
		if pkg == "." {
			pkg = ""
		}
		test := strings.HasSuffix(name, "_test.go") || strings.Contains(name, "testdata/") // what a test builds and runs is part of it
		all = append(all, goFile{name, pkg, test, tree, fset})
	})
	if len(all) < 50 {
		t.Fatalf("only %d files are found", len(all))
	}
	return all
}

// rooms tells of each package which packages of the house it may import. One that isn't here has no place yet:
// give it one, with its edge in a sentence.
func rooms() map[string][]string {
	return map[string][]string{
		"":                {"bot", "bot/console", "bot/matrix", "bot/report", "bot/table", "bot/translate", "flows", "flows/due", "flows/wear", "prompts", "store", "store/device"},
		"bot":             {"bot/calendar", "bot/evidence", "bot/photo/small", "bot/picture", "bot/report", "bot/table", "bot/tag", "bot/translate", "flows", "flows/agreement", "flows/ahead", "flows/due", "flows/pattern", "flows/practice", "flows/serial", "flows/wear", "prompts", "store"},
		"bot/calendar":    {"flows/due"}, // days on which something falls due, as calendars read them
		"bot/console":     {"bot", "bot/photo", "store"},
		"bot/matrix":      {"bot", "bot/photo", "store", "store/device"},
		"bot/photo":       {"bot", "bot/photo/small", "bot/photo/strip", "store"}, // what is kept as a photo, whichever way it came in, and what of it may leave
		"bot/photo/strip": {},                                                     // takes out of a picture's file what isn't the picture
		"bot/photo/small": {"bot/photo/strip"},                                    // the copy of a photo that documents show
		"bot/report":      {"bot/picture", "flows", "flows/due"},
		"bot/evidence":    {"bot/photo/strip"},             // a page that reads without a network, in a ZIP file with its photos
		"bot/picture":     {"flows/due", "flows/wear"},     // draws how a place wore, as shapes and as PNG
		"bot/table":       {"bot/table/grid", "flows/due"}, // a register as people keep it in a spreadsheet
		"bot/table/grid":  {},                              // the cells of a spreadsheet, whatever they mean
		"bot/tag":         {},                              // labels: a mark, and a code that says it
		"bot/translate":   {},                              // what was said in English, in another language
		"store":           {"flows", "flows/due", "flows/wear"},
		"store/device":    {}, // what one login of one device needs, and no record holds
		"flows":           {"flows/due", "flows/wear"},
		"flows/due":       {},
		"flows/serial":    {},                            // serial numbers as they are stamped and typed, and ranges of them
		"flows/wear":      {"flows/chance", "flows/due"}, // readings over time: a line, how sure it is, and when it comes to a limit
		"flows/chance":    {},                            // how likely something is by luck alone
		"flows/agreement": {"flows/chance"},              // how far people, and gauges, agree
		"flows/pattern":   {"flows/chance"},              // what worn items of a store have in common
		"flows/practice":  {"flows"},                     // invented kit with planted faults, to practise on
		"flows/ahead":     {"flows/due"},                 // what will have to be replaced, and what it costs
		"prompts":         {},
	}
}

// outside tells which packages from elsewhere belong to some rooms alone.
func outside() map[string][]string {
	return map[string][]string{
		"database/sql":                {"store", "store/device"},
		"modernc.org/sqlite":          {"store", "store/device"},
		"go.mau.fi/util":              {"store", "store/device"},
		"maunium.net/go":              {"bot/matrix"},
		"gonum.org/v1/gonum":          {"flows/chance"},
		"github.com/xuri/excelize/v2": {"bot/table"},
		"net/http":                    {"bot/matrix", "bot/photo", "prompts"}, // photos are known by its sniffing
		"net":                         {"bot/matrix", "prompts"},
		"os":                          {"", "bot/console", "bot/matrix", "store", "store/device"},
		"os/exec":                     {},
		"math/rand":                   {},
	}
}

func TestRoomsImportOneWay(t *testing.T) {
	known, elsewhere := rooms(), outside()
	for _, f := range goFiles(t) {
		may, ok := known[f.pkg]
		if !ok && !f.test {
			t.Errorf("%s: the package %s has no place in the house", f.path, f.pkg)
		}
		for _, spec := range f.ast.Imports {
			name, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			if inner, ours := strings.CutPrefix(name, "becket/"); ours && inner != f.pkg && !slices.Contains(may, inner) && !f.test {
				t.Errorf("%s: %q doesn't import %q", f.at(spec.Pos()), f.pkg, inner)
			}
			for other, allowed := range elsewhere {
				if (name == other || strings.HasPrefix(name, other+"/") && strings.Contains(other, ".")) && !slices.Contains(allowed, f.pkg) && !f.test {
					t.Errorf("%s: %q doesn't import %q", f.at(spec.Pos()), f.pkg, name)
				}
			}
		}
	}
}

func TestNoCycleAmongRooms(t *testing.T) {
	known := rooms()
	var from func(room string, way []string)
	from = func(room string, way []string) {
		if slices.Contains(way, room) {
			t.Fatalf("round in a circle: %v, %s", way, room)
		}
		for _, next := range known[room] {
			from(next, append(slices.Clone(way), room))
		}
	}
	for room := range known {
		from(room, nil)
	}
}

// sqlText is how a statement begins. Sentences don't shout.
var sqlText = regexp.MustCompile(`(?s)^\s*(SELECT\s|INSERT\s+(OR\s+\w+\s+)?INTO\s|UPDATE\s+\w+\s+SET\s|DELETE\s+FROM\s|REPLACE\s+INTO\s|CREATE\s|DROP\s|ALTER\s|PRAGMA\s|WITH\s+\w+.*AS\s*\(|BEGIN\b|COMMIT\b|ROLLBACK\b|VACUUM\b|ATTACH\s)`)

func TestSQLStandsInStoreOnly(t *testing.T) {
	seen := 0
	for _, f := range goFiles(t) {
		if f.test { // tests damage databases from outside
			continue
		}
		ast.Inspect(f.ast, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			text, err := strconv.Unquote(lit.Value)
			switch {
			case err != nil || !sqlText.MatchString(text):
			case f.pkg == "store", f.pkg == "store/device":
				seen++
			default:
				t.Errorf("%s: SQL outside store: %.40q", f.at(lit.Pos()), text)
			}
			return true
		})
	}
	if seen < 20 {
		t.Errorf("only %d statements were recognised in store", seen)
	}
	files(t, func(name string) {
		if path.Ext(name) == ".sql" && !strings.HasPrefix(name, "store/") {
			t.Errorf("%s: SQL outside store", name)
		}
	})
}

func TestNobodyLooksAtTheClock(t *testing.T) {
	may := []string{"", "bot/console", "bot/matrix"}
	looks := []string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer", "Sleep"}
	found := 0
	for _, f := range goFiles(t) {
		if f.test {
			continue
		}
		ast.Inspect(f.ast, func(n ast.Node) bool {
			sel, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			pkg, ok := sel.X.(*ast.Ident)
			if !ok || pkg.Name != "time" || !slices.Contains(looks, sel.Sel.Name) {
				return true
			}
			found++
			if !slices.Contains(may, f.pkg) {
				t.Errorf("%s: time.%s; the time comes from the transaction", f.at(sel.Pos()), sel.Sel.Name)
			}
			return true
		})
	}
	if found == 0 {
		t.Error("nobody looks at the clock at all, which can't be")
	}
}

func TestNoVariablesOfPackages(t *testing.T) {
	for _, f := range goFiles(t) {
		if f.test {
			continue
		}
		for _, decl := range f.ast.Decls {
			gen, ok := decl.(*ast.GenDecl)
			if !ok || gen.Tok != token.VAR {
				continue
			}
			for _, spec := range gen.Specs {
				if v := spec.(*ast.ValueSpec); !staysAsItIs(gen, v) {
					t.Errorf("%s: the package's variable %s", f.at(v.Pos()), v.Names[0].Name)
				}
			}
		}
	}
}

// staysAsItIs tells whether nobody has a reason to write to a variable: an embedded file, an error to compare
// with, or a check by the compiler that a type fits an interface.
func staysAsItIs(gen *ast.GenDecl, v *ast.ValueSpec) bool {
	for _, doc := range []*ast.CommentGroup{gen.Doc, v.Doc} {
		if doc != nil && slices.ContainsFunc(doc.List, func(c *ast.Comment) bool { return strings.HasPrefix(c.Text, "//go:embed ") }) {
			return true
		}
	}
	if v.Names[0].Name == "_" {
		return true
	}
	for _, value := range v.Values {
		call, ok := value.(*ast.CallExpr)
		if !ok {
			return false
		}
		sel, ok := call.Fun.(*ast.SelectorExpr)
		if !ok {
			return false
		}
		if pkg, ok := sel.X.(*ast.Ident); !ok || pkg.Name != "errors" || sel.Sel.Name != "New" {
			return false
		}
	}
	return len(v.Values) > 0
}

func TestNoFileIsLong(t *testing.T) {
	const most = 600
	files(t, func(name string) {
		switch path.Ext(name) {
		case ".go", ".yaml", ".sql", ".md":
		default:
			return
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(string(text), "\n"); n > most {
			t.Errorf("%s has %d lines; a file has one subject and at most %d", name, n, most)
		}
	})
}

func TestNoDrawersForOddments(t *testing.T) {
	for _, f := range goFiles(t) {
		for _, part := range append(strings.Split(f.pkg, "/"), strings.TrimSuffix(path.Base(f.path), ".go")) {
			if slices.Contains([]string{"util", "utils", "helper", "helpers", "common", "misc", "shared"}, part) {
				t.Errorf("%s: a name that says nothing", f.path)
			}
		}
	}
}

// said is a sentence that a person may read, and where it stands.
type said struct{ where, text string }

// catalogue is every constant of bot/catalogue*.go and bot/report/catalogue.go by package and name.
func catalogue(t *testing.T) map[string]said {
	t.Helper()
	sentences := map[string]said{}
	for _, f := range goFiles(t) {
		if f.pkg != "bot" && f.pkg != "bot/report" || f.test || !strings.HasPrefix(path.Base(f.path), "catalogue") {
			continue
		}
		for _, decl := range f.ast.Decls {
			gen, ok := decl.(*ast.GenDecl)
			if !ok || gen.Tok != token.CONST {
				continue
			}
			for _, spec := range gen.Specs {
				v := spec.(*ast.ValueSpec)
				for n, name := range v.Names {
					text, err := textOf(v.Values[n])
					if err != nil {
						t.Fatalf("%s: %s: %v", f.at(v.Pos()), name.Name, err)
					}
					sentences[f.pkg+"."+name.Name] = said{f.at(v.Pos()), text}
				}
			}
		}
	}
	if len(sentences) < 100 {
		t.Fatalf("only %d sentences are found", len(sentences))
	}
	return sentences
}

// textOf is what a constant says, put together from its parts.
func textOf(e ast.Expr) (string, error) {
	switch e := e.(type) {
	case *ast.BasicLit:
		if e.Kind == token.STRING {
			return strconv.Unquote(e.Value)
		}
	case *ast.BinaryExpr:
		left, err := textOf(e.X)
		if err != nil {
			return "", err
		}
		right, err := textOf(e.Y)
		return left + right, err
	}
	return "", errors.New("this is no text")
}

// scriptTexts is what people are told out of the scripts and their guidance.
func scriptTexts(t *testing.T) (texts []said) {
	t.Helper()
	spoken := []string{"ask", "see", "clear", "title", "part", "watch", "quarantine", "retire", "basis", "because", "choices", "label", "shows", "tells"}
	for _, root := range []string{"flows/library", "flows/practice", "prompts/guidance"} {
		err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
			if errors.Is(err, fs.ErrNotExist) && name == root {
				return nil
			}
			if err != nil || d.IsDir() || path.Ext(name) != ".yaml" || strings.Contains(name, ".examples.") {
				return err
			}
			text, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			var tree any
			if err := yaml.Unmarshal(text, &tree); err != nil {
				return err
			}
			eachText(tree, root == "prompts/guidance", spoken, func(s string) { texts = append(texts, said{name, s}) })
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(texts) < 100 {
		t.Fatalf("only %d texts are found", len(texts))
	}
	return texts
}

// eachText visits the texts beneath keys that are spoken.
func eachText(node any, isSpoken bool, spoken []string, visit func(string)) {
	switch node := node.(type) {
	case string:
		if isSpoken {
			visit(node)
		}
	case []any:
		for _, n := range node {
			eachText(n, isSpoken, spoken, visit)
		}
	case map[string]any:
		for key, n := range node {
			eachText(n, isSpoken || slices.Contains(spoken, key), spoken, visit)
		}
	}
}

// neverSaid are words of programmers and of offices, which nobody is to meet at a bench. "Users" stays allowed:
// a device has them.
var neverSaid = regexp.MustCompile(`(?i)\b(flows?|step ids?|schemas?|hash(es)?|journals?|events?|sync|tokens?|sessions?|state|null|invalid|parsed?|submit(ted)?|pending|resolved?|tickets?|workflows?|override|admin|user|timeouts?|queues?|databases?|revisions?|retry|abort(ed)?|cancel(led)?|undo|escalate|threads?)\b`)

func TestWordsThatPeopleNeverMeet(t *testing.T) {
	all := scriptTexts(t)
	for _, s := range catalogue(t) {
		all = append(all, s)
	}
	for _, s := range all {
		if word := neverSaid.FindString(s.text); word != "" {
			t.Errorf("%s says %q: %.80q", s.where, word, s.text)
		}
		if strings.Contains(s.text, "!") && !strings.Contains(s.text, `"!`) {
			t.Errorf("%s shouts: %.80q", s.where, s.text)
		}
	}
}

func TestEverySentenceIsSaid(t *testing.T) {
	used := map[string]bool{}
	for _, f := range goFiles(t) {
		if f.test {
			continue
		}
		defined := map[*ast.Ident]bool{}
		ast.Inspect(f.ast, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ValueSpec:
				for _, name := range n.Names {
					defined[name] = true
				}
			case *ast.Ident:
				if room := cmp.Or(f.pkg, "bot"); !defined[n] {
					used[room+"."+n.Name] = true
				}
			}
			return true
		})
	}
	for name, s := range catalogue(t) {
		if !used[name] {
			t.Errorf("%s: nobody says %s", s.where, name)
		}
	}
}

// TestPagesSpeakOfWhatIsThere checks that files, tests and links named on the pages for people exist.
func TestPagesSpeakOfWhatIsThere(t *testing.T) {
	tests := map[string]bool{}
	for _, f := range goFiles(t) {
		for _, decl := range f.ast.Decls {
			if fn, ok := decl.(*ast.FuncDecl); ok && f.test {
				tests[fn.Name.Name] = true
				name, _, _ := strings.Cut(fn.Name.Name, "_") // TestSafety01_OnceHeld is spoken of as TestSafety01
				tests[name] = true
			}
		}
	}
	file := regexp.MustCompile("`([a-z_/.-]+/[a-z_/.-]+\\.(?:go|yaml|sql)|[a-z_]+\\.go|\\.ci/run|testdata/[a-z/]+)`")
	link := regexp.MustCompile(`\]\(([^):]+)\)`)
	test := regexp.MustCompile(`\bTest[A-Z][A-Za-z]*\d*\b`)
	for _, page := range []string{"README.md", "DEVELOPERS.md", "AUTHORING.md", "CHANGELOG.md"} {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, named := range append(file.FindAllStringSubmatch(string(text), -1), link.FindAllStringSubmatch(string(text), -1)...) {
			if _, err := os.Stat(named[1]); err != nil {
				t.Errorf("%s speaks of %s: %v", page, named[1], err)
			}
		}
		for _, name := range test.FindAllString(string(text), -1) {
			if !tests[name] {
				t.Errorf("%s speaks of %s, and there is no such test", page, name)
			}
		}
	}
}
