package scenario_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"

	"potbank/internal/scenario"
)

// schemas are the committed schemas and what makes them.
var schemas = map[string]func() []byte{
	"../../scenarios/scenario.schema.json": scenario.Schema,
	"../../scenarios/change.schema.json":   scenario.ChangeSchema,
	"../../scenarios/question.schema.json": scenario.QuestionSchema,
}

// TestSchemasAreCurrent holds that the committed schemas are those of the
// program; -update writes them.
func TestSchemasAreCurrent(t *testing.T) {
	for path, made := range schemas {
		if *update {
			if err := os.WriteFile(path, made(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		committed, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(committed, made()) {
			t.Errorf("%s is out of date; run go test ./internal/scenario -update", path)
		}
	}
}

// compile makes a schema ready to validate by.
func compile(t *testing.T, text []byte) *jsonschema.Schema {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("s.json", document); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("s.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// instance reads YAML as an editor does that knows YAML 1.2 and JSON Schema:
// whole numbers become numbers, yes and no and dates stay texts.
func instance(t *testing.T, path string) any {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var document yaml.Node
	if err := yaml.Load(text, &document); err != nil {
		t.Fatal(err)
	}
	return plainOf(document.Content[0])
}

func plainOf(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i < len(n.Content); i += 2 {
			m[n.Content[i].Value] = plainOf(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		var l []any
		for _, c := range n.Content {
			l = append(l, plainOf(c))
		}
		return l
	}
	if number, err := strconv.Atoi(n.Value); err == nil && n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) == 0 {
		return number
	}
	return n.Value
}

// TestExamplesFitTheSchema validates every example, the printed form of each,
// and the schema its first line names.
func TestExamplesFitTheSchema(t *testing.T) {
	full, changes := compile(t, scenario.Schema()), compile(t, scenario.ChangeSchema())
	for _, path := range examples(t) {
		file := mustRead(t, path)
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		schema, name := full, "scenario.schema.json"
		if file.Base != "" {
			schema, name = changes, "change.schema.json"
		}
		if first := "# yaml-language-server: $schema=" + name + "\n"; !strings.HasPrefix(string(text), first) {
			t.Errorf("%s does not begin with %q", path, first)
		}
		if err := schema.Validate(instance(t, path)); err != nil {
			t.Errorf("%s: %v", path, err)
		}
		printed := write(t, t.TempDir(), "printed.yaml", string(file.Print()))
		if err := full.Validate(instance(t, printed)); err != nil {
			t.Errorf("%s, printed: %v", path, err)
		}
	}
	if err := full.Validate(instance(t, "testdata/laws.yaml")); err != nil {
		t.Error(err)
	}
}

// TestSchemaRefuses holds that the schema catches in an editor what it can of
// what Read refuses: keys, forms of values, units, choices.
func TestSchemaRefuses(t *testing.T) {
	s := compile(t, scenario.Schema())
	for _, name := range []string{"15-unknown-key", "16-key-elsewhere", "18-section-missing", "19-list-for-set", "25-key-of-another-department",
		"28-no-unit", "29-unit-of-mass", "30-unknown-unit", "31-ambiguous-unit", "32-milliwatt-hours", "33-decimal-comma", "34-thousands-comma",
		"35-share-without-unit", "36-price-by-volume", "37-clock-time", "39-negative-time", "40-not-a-number", "41-infinite-count", "42-broken-count", "51-endless-refire"} {
		if err := s.Validate(instance(t, filepath.Join("../../testdata/bad", name+".yaml"))); err == nil {
			t.Errorf("%s fits the schema", name)
		}
	}
}

// TestSchemaExplainsEveryKey holds that no key goes without a description.
func TestSchemaExplainsEveryKey(t *testing.T) {
	var walk func(v any, path string)
	keys := 0
	walk = func(v any, path string) {
		m, ok := v.(map[string]any)
		if !ok {
			return
		}
		if properties, ok := m["properties"].(map[string]any); ok {
			for key, p := range properties {
				keys++
				if d := p.(map[string]any)["description"]; d == nil || fmt.Sprint(d) == "" {
					t.Errorf("%s/%s has no description", path, key)
				}
			}
		}
		for k, below := range m {
			walk(below, path+"/"+k)
		}
	}
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(scenario.Schema()))
	if err != nil {
		t.Fatal(err)
	}
	walk(document, "")
	if keys < 200 {
		t.Errorf("found only %d keys", keys)
	}
}
