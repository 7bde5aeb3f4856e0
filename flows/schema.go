package flows

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"strings"

	"github.com/invopop/jsonschema"
)

// Schema describes the flow language as a JSON Schema, so that an editor can help while a flow or a block is
// written. It knows keys and kinds; what a flow means is proved by Load.
func Schema() ([]byte, error) {
	r := jsonschema.Reflector{
		FieldNameTag: "yaml", Anonymous: true,
		Namer: func(t reflect.Type) string { return strings.ToLower(strings.TrimPrefix(t.Name(), "source")) },
	}
	whole, block := r.Reflect(&sourceFlow{}), r.Reflect(&sourceBlock{})
	maps.Copy(whole.Definitions, block.Definitions)
	schema := &jsonschema.Schema{
		Version: jsonschema.Version, Title: "Becket flow or block", Definitions: whole.Definitions,
		If: &jsonschema.Schema{Required: []string{"block"}}, Then: ref("block"), Else: ref("flow"),
	}
	text, err := json.MarshalIndent(schema, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("the schema can't be written: %w", err)
	}
	return append(text, '\n'), nil
}

func ref(name string) *jsonschema.Schema { return &jsonschema.Schema{Ref: "#/$defs/" + name} }

// JSONSchema is any plain value, since YAML reads some texts as numbers or as yes and no.
func (word) JSONSchema() *jsonschema.Schema {
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{{Type: "string"}, {Type: "number"}, {Type: "boolean"}}}
}

// JSONSchema is yes or no as people and as YAML write it.
func (yesNo) JSONSchema() *jsonschema.Schema {
	return &jsonschema.Schema{Enum: []any{true, false, "yes", "no"}}
}

// JSONSchema is one text or a list of them.
func (words) JSONSchema() *jsonschema.Schema {
	text := &jsonschema.Schema{Type: "string"}
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{text, {Type: "array", Items: text}}}
}

// JSONSchemaAlias is a mapping with names of the writer's own.
func (entries[T]) JSONSchemaAlias() any { return map[string]T{} }

// JSONSchemaExtend lets a unit alone stand for a figure.
func (sourceFigure) JSONSchemaExtend(s *jsonschema.Schema) {
	long := *s
	*s = jsonschema.Schema{AnyOf: []*jsonschema.Schema{{Type: "string"}, &long}}
}

// JSONSchemaExtend lets a block stand for a section.
func (sourceSection) JSONSchemaExtend(s *jsonschema.Schema) { orBlock(s) }

// JSONSchemaExtend lets a block stand for checks.
func (sourceCheck) JSONSchemaExtend(s *jsonschema.Schema) { orBlock(s) }

// JSONSchemaExtend lets a block stand for readings, and lists what harm can be.
func (sourceReading) JSONSchemaExtend(s *jsonschema.Schema) {
	limitTo(s, "harm", HarmUp, HarmDown)
	orBlock(s)
}

// JSONSchemaExtend lets a block stand for values, and lists their kinds.
func (sourceValue) JSONSchemaExtend(s *jsonschema.Schema) {
	limitTo(s, "kind", ValueNote, ValuePhoto)
	orBlock(s)
}

func limitTo(s *jsonschema.Schema, key string, values ...any) {
	old, _ := s.Properties.Get(key)
	s.Properties.Set(key, &jsonschema.Schema{Enum: values, Description: old.Description})
}

// orBlock asks for what is required only where no block is named.
func orBlock(s *jsonschema.Schema) {
	s.If = &jsonschema.Schema{Required: []string{"block"}}
	s.Else = &jsonschema.Schema{Required: s.Required}
	s.Required = nil
}
