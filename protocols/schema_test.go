package protocols

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

func TestSchemaKnowsTheLoadersKeys(t *testing.T) {
	var schema struct {
		Properties map[string]any `json:"properties"`
		Defs       map[string]struct {
			Properties map[string]any `json:"properties"`
		} `json:"$defs"`
	}
	if err := json.Unmarshal(Schema, &schema); err != nil {
		t.Fatal(err)
	}
	if len(schema.Defs)+3 != len(keysOf) { // protocol itself, and the two parts of a profile
		t.Errorf("the schema has %d parts, the loader %d", len(schema.Defs)+3, len(keysOf))
	}
	for part, keys := range keysOf {
		if part == "profile" || part == "value" {
			continue
		}
		properties := schema.Defs[part].Properties
		if part == "protocol" {
			properties = schema.Properties
		}
		var got []string
		for key := range properties {
			got = append(got, key)
		}
		slices.Sort(got)
		want := slices.Sorted(slices.Values(keys))
		if !slices.Equal(got, want) {
			t.Errorf("%s: the schema has %v, the loader %v", part, got, want)
		}
	}
}

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("protocol.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("protocol.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// valid holds a YAML text against the schema by way of JSON.
func valid(t *testing.T, s *jsonschema.Schema, text []byte) error {
	t.Helper()
	inJSON, err := yaml.YAMLToJSON(text)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(inJSON))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(doc)
}

func TestShippedProtocolsFitTheSchema(t *testing.T) {
	schema := compiledSchema(t)
	names, err := fs.Glob(os.DirFS("library"), "*/*.yaml")
	if err != nil || len(names) < 2 {
		t.Fatalf("found %v, %v", names, err)
	}
	for _, name := range names {
		text, err := os.ReadFile("library/" + name)
		if err != nil {
			t.Fatal(err)
		}
		if err := valid(t, schema, text); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for from, to := range map[string]string{"stage: ": "stadium: ", "unit: L": "litres: L", "to: measure": "to: glass"} {
			if strings.Contains(string(text), from) && valid(t, schema, []byte(strings.Replace(string(text), from, to, 1))) == nil {
				t.Errorf("%s: %q for %q passes the schema", name, to, from)
			}
		}
	}
}
