package tables

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"time"
)

// The parts of a Data Package descriptor that we write, in the standard's order. What is
// of version 2.0 only is marked; profile is what readers of 1.0 go by.
type (
	dataPackage struct {
		Schema      string         `json:"$schema"` // 2.0
		Profile     string         `json:"profile"`
		Name        string         `json:"name"`
		Title       string         `json:"title"`
		Description string         `json:"description"`
		Created     string         `json:"created"`
		DarwinCore  darwinCorePart `json:"darwinCore"` // ours
		Resources   []resource     `json:"resources"`
	}
	darwinCorePart struct {
		Terms   string `json:"terms"`
		Version string `json:"version"`
	}
	resource struct {
		Profile   string      `json:"profile"`
		Type      string      `json:"type"` // 2.0
		Name      string      `json:"name"`
		Path      string      `json:"path"`
		Title     string      `json:"title"`
		Format    string      `json:"format"`
		MediaType string      `json:"mediatype"`
		Encoding  string      `json:"encoding"`
		Bytes     int         `json:"bytes"`
		Hash      string      `json:"hash"`
		Dialect   dialect     `json:"dialect"`
		Schema    tableSchema `json:"schema"`
	}
	dialect struct {
		Delimiter      string `json:"delimiter"`
		LineTerminator string `json:"lineTerminator"`
		QuoteChar      string `json:"quoteChar"`
		DoubleQuote    bool   `json:"doubleQuote"`
		Header         bool   `json:"header"`
	}
	tableSchema struct {
		Schema      string       `json:"$schema"` // 2.0
		Fields      []field      `json:"fields"`
		Missing     []missing    `json:"missingValues"`
		PrimaryKey  []string     `json:"primaryKey,omitempty"`
		ForeignKeys []foreignKey `json:"foreignKeys,omitempty"`
	}
	field struct {
		Name        string      `json:"name"`
		Type        string      `json:"type"`
		Format      string      `json:"format,omitempty"`
		Description string      `json:"description"`
		Unit        string      `json:"unit,omitempty"`      // ours
		UnitField   string      `json:"unitField,omitempty"` // ours
		DwC         string      `json:"dwc,omitempty"`       // ours: a property, which rdfType (a class) may not name
		Constraints constraints `json:"constraints"`
		Categories  []string    `json:"categories,omitempty"`    // 2.0
		Missing     []missing   `json:"missingValues,omitempty"` // 2.0 for a field
	}
	constraints struct {
		Required bool     `json:"required"`
		Words    []string `json:"enum,omitempty"`
	}
	missing struct { // 2.0; 1.0 has the value alone
		Value string `json:"value"`
		Label string `json:"label"`
	}
	foreignKey struct {
		Fields    []string  `json:"fields"`
		Reference reference `json:"reference"`
	}
	reference struct {
		Resource string   `json:"resource"`
		Fields   []string `json:"fields"`
	}
)

// profiles20 is where version 2.0 of the standard keeps its profiles.
const profiles20 = "https://datapackage.org/profiles/2.0/"

// WritePackage writes datapackage.json: what each CSV file is, column by column, so that
// the files can be read without this program.
//
// list are the tables that WriteCSV wrote beside it under their names; stamp is written as
// the time of making. Error: a column that fields does not know, or the writer's.
// Source: Data Package 2.0, Table Schema 2.0 (datapackage.org, read), written so that
// readers of 1.0 find what they need too.
func WritePackage(w io.Writer, list []Written, stamp time.Time) error {
	p := dataPackage{
		Schema: profiles20 + "datapackage.json", Profile: "tabular-data-package", Name: "season", Title: "Season of a hatchery",
		Description: "Batches of a season, compiled by spatsheet from filled bench sheets. A text that begins like a formula has an apostrophe in front.",
		Created:     stamp.UTC().Format(time.RFC3339), DarwinCore: darwinCorePart{darwinCore, darwinCoreVersion},
	}
	for _, t := range list {
		r, err := resourceOf(t)
		if err != nil {
			return err
		}
		p.Resources = append(p.Resources, r)
	}
	out := json.NewEncoder(w)
	out.SetEscapeHTML(false)
	out.SetIndent("", "  ")
	return out.Encode(p)
}

func resourceOf(t Written) (resource, error) {
	r := resource{
		Profile: "tabular-data-resource", Type: "table", Name: t.Name, Path: t.Name + ".csv", Title: t.Title,
		Format: "csv", MediaType: "text/csv", Encoding: "utf-8", Bytes: t.Bytes, Hash: "sha256:" + hex.EncodeToString(t.SHA256),
		Dialect: dialect{",", "\r\n", `"`, true, true},
		Schema:  tableSchema{Schema: profiles20 + "tableschema.json", Missing: []missing{{"", "no value"}}, PrimaryKey: keys[t.Name]},
	}
	known := fields[t.Name]
	if len(known) != len(t.Columns) {
		return resource{}, fmt.Errorf("table %s has %d columns, and %d are described in fields.go", t.Name, len(t.Columns), len(known))
	}
	for i, f := range known {
		if f.Name != t.Columns[i] {
			return resource{}, fmt.Errorf("table %s: column %d is %s, and described as %s in fields.go", t.Name, i+1, t.Columns[i], f.Name)
		}
		r.Schema.Fields = append(r.Schema.Fields, f.described())
	}
	if t.Name != "batches" && known[0].Name == "batch" {
		r.Schema.ForeignKeys = []foreignKey{{[]string{"batch"}, reference{"batches", []string{"batch"}}}}
	}
	return r, nil
}

func (f Field) described() field {
	out := field{Name: f.Name, Type: f.Type, Format: f.Format, Description: f.Says, Unit: f.Unit, UnitField: f.UnitField,
		Constraints: constraints{f.Empty == "", f.Words}, Categories: f.Words}
	if f.Term != "" {
		out.DwC = darwinCore + f.Term
	}
	if f.Empty != "" {
		out.Missing = []missing{{"", f.Empty}}
	}
	return out
}
