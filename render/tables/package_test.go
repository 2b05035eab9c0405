package tables

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"spatsheet/calc/season"
)

func written(t *testing.T, list []Table) []Written {
	t.Helper()
	var out []Written
	for _, table := range list {
		w, err := WriteCSV(io.Discard, table)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, w)
	}
	return out
}

func described(t *testing.T, list []Table) map[string]any {
	t.Helper()
	var b bytes.Buffer
	if err := WritePackage(&b, written(t, list), time.Date(2026, 7, 1, 9, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	var p map[string]any
	if err := json.Unmarshal(b.Bytes(), &p); err != nil {
		t.Fatal(err)
	}
	return p
}

// TestPackageFitsThePublishedProfile holds the descriptor against the profile of version
// 1.0 (testdata/schema/README.md), after putting back to 1.0 what 2.0 writes otherwise.
func TestPackageFitsThePublishedProfile(t *testing.T) {
	profile := publishedProfile(t)
	p := toVersion1(t, described(t, Of(season.Season{})))
	if err := profile.Validate(p); err != nil {
		t.Errorf("%v", err)
	}
	spoilt := toVersion1(t, described(t, Of(season.Season{})))
	spoilt["resources"].([]any)[0].(map[string]any)["schema"].(map[string]any)["fields"].([]any)[0].(map[string]any)["type"] = "batch code"
	if err := profile.Validate(spoilt); err == nil {
		t.Error("a field of the type \"batch code\" fits the profile: it is not looked at")
	}
}

func publishedProfile(t *testing.T) *jsonschema.Schema {
	t.Helper()
	content, err := os.ReadFile("../../testdata/schema/tabular-data-package-1.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("profile.json", doc); err != nil {
		t.Fatal(err)
	}
	profile, err := c.Compile("profile.json")
	if err != nil {
		t.Fatal(err)
	}
	return profile
}

// toVersion1 gives missing values without their labels, and not for single fields.
func toVersion1(t *testing.T, p map[string]any) map[string]any {
	t.Helper()
	for _, r := range p["resources"].([]any) {
		schema := r.(map[string]any)["schema"].(map[string]any)
		var values []any
		for _, m := range schema["missingValues"].([]any) {
			values = append(values, m.(map[string]any)["value"])
		}
		schema["missingValues"] = values
		for _, f := range schema["fields"].([]any) {
			delete(f.(map[string]any), "missingValues")
		}
	}
	return p
}

// TestPackageFollowsTableSchema2 holds what is of 2.0 only against the words of the
// standard (Table Schema 2.0, datapackage.org, read): names of fields unique, labels of
// missing values texts and unique, enum within categories, keys of columns that exist.
func TestPackageFollowsTableSchema2(t *testing.T) {
	p := described(t, Of(season.Season{}))
	if p["$schema"] != "https://datapackage.org/profiles/2.0/datapackage.json" {
		t.Errorf("$schema is %v", p["$schema"])
	}
	names := map[string][]string{}
	for _, r := range p["resources"].([]any) {
		resource := r.(map[string]any)
		schema := resource["schema"].(map[string]any)
		var own []string
		for _, f := range schema["fields"].([]any) {
			field := f.(map[string]any)
			name := field["name"].(string)
			if slices.Contains(own, name) {
				t.Errorf("%s has two fields %s", resource["name"], name)
			}
			own = append(own, name)
			if field["description"] == "" {
				t.Errorf("%s.%s says nothing", resource["name"], name)
			}
			if number := field["type"] == "number" || field["type"] == "integer"; number && field["unit"] == nil && field["unitField"] == nil {
				t.Errorf("%s.%s is a number without a unit", resource["name"], name)
			}
			missing, _ := field["missingValues"].([]any)
			if required := field["constraints"].(map[string]any)["required"].(bool); required == (len(missing) > 0) {
				t.Errorf("%s.%s: required is %v, with %d labels of an empty cell", resource["name"], name, required, len(missing))
			}
			if unit, ok := field["unitField"]; ok && !slices.Contains(columnsOf(t, resource), unit.(string)) {
				t.Errorf("%s.%s: there is no column %s for its unit", resource["name"], name, unit)
			}
		}
		names[resource["name"].(string)] = own
		keys, _ := schema["primaryKey"].([]any)
		for _, k := range keys {
			if !slices.Contains(own, k.(string)) {
				t.Errorf("%s has no column %s for its key", resource["name"], k)
			}
		}
		foreign, _ := schema["foreignKeys"].([]any)
		for _, k := range foreign {
			reference := k.(map[string]any)["reference"].(map[string]any)
			if !slices.Contains(names[reference["resource"].(string)], reference["fields"].([]any)[0].(string)) {
				t.Errorf("%s refers to %v, which is not there before it", resource["name"], reference)
			}
		}
	}
	if len(names) != len(fields) {
		t.Errorf("%d tables are written, and %d described", len(names), len(fields))
	}
}

func columnsOf(t *testing.T, resource map[string]any) []string {
	t.Helper()
	var names []string
	for _, f := range resource["schema"].(map[string]any)["fields"].([]any) {
		names = append(names, f.(map[string]any)["name"].(string))
	}
	return names
}

func TestPackageRefusesAnUnknownColumn(t *testing.T) {
	list := Of(season.Season{})
	list[0].Columns = append(list[0].Columns, "weather")
	err := WritePackage(&bytes.Buffer{}, written(t, list), time.Time{})
	if err == nil || !strings.Contains(err.Error(), "table batches has "+strconv.Itoa(len(list[0].Columns))+" columns") {
		t.Errorf("got %v", err)
	}
	list = Of(season.Season{})
	list[1].Columns[0] = "lot"
	if err := WritePackage(&bytes.Buffer{}, written(t, list), time.Time{}); err == nil ||
		!strings.Contains(err.Error(), "column 1 is lot, and described as batch") {
		t.Errorf("got %v", err)
	}
}
