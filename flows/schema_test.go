package flows

import (
	"bytes"
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

func schemaForTest(t *testing.T) *jsonschema.Schema {
	t.Helper()
	text, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("flow.json", document); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("flow.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, text []byte) error {
	t.Helper()
	asJSON, err := yaml.YAMLToJSON(text)
	if err != nil {
		t.Fatal(err)
	}
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(asJSON))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(document)
}

func TestSchemaTakesTheLibrary(t *testing.T) {
	s := schemaForTest(t)
	seen := 0
	err := fs.WalkDir(os.DirFS(libraryFolder), ".", func(file string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !isYAML(file) {
			return err
		}
		text, err := os.ReadFile(path.Join(libraryFolder, file))
		if err != nil {
			return err
		}
		seen++
		if err := validate(t, s, text); err != nil {
			t.Errorf("%s: %v", file, err)
		}
		return nil
	})
	if err != nil || seen < 5 {
		t.Errorf("%d files, %v", seen, err)
	}
	for name, text := range map[string]string{"the design's example": example, "values and points": withAsks, "a block": sideBlock} {
		if err := validate(t, s, []byte(text)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What an editor can see, it says: unknown keys, missing ones, and values of the wrong kind.
func TestSchemaRefusesWhatLoadRefuses(t *testing.T) {
	s := schemaForTest(t)
	refused := 0
	for name, text := range brokenFlows(t) {
		kind, _, _ := strings.Cut(strings.TrimSuffix(name, ".yaml"), "-")
		switch {
		case strings.HasPrefix(name, "unknown-key"), kind == "missing", name == "checks-not-a-list.yaml",
			name == "critical-maybe.yaml", name == "harm-sideways.yaml", name == "ask-is-a-list.yaml":
			refused++
			if validate(t, s, text) == nil {
				t.Errorf("%s is fine by the schema", name)
			}
		}
	}
	if refused < 10 {
		t.Errorf("only %d broken flows were tried", refused)
	}
}
