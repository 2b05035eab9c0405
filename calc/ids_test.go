package calc_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"testing"

	"spatsheet/calc/functions"
	"spatsheet/protocols/library"
)

// ownWords are texts of ours that happen to be ids of a shipped protocol too.
var ownWords = map[string]string{
	"larvae": "a unit, and a group of lots in a lineage",
	"eggs":   "a unit",
	"spat":   "a unit, and a group of lots in a lineage",
	"cells":  "a unit",
	"plate":  "a counted thing",
	"d":      "a unit",
	"wild":   "what the generation 0 is called",
}

// TestSeasonKnowsNoIds: what is told of a season goes by what protocols declare. A text in
// its source that is the id of an entry, table or column of a shipped protocol is a name
// that a protocol of one's own would have to repeat.
func TestSeasonKnowsNoIds(t *testing.T) {
	ids := map[string]string{}
	for _, ref := range library.Refs() {
		p, err := library.Load(ref, functions.All())
		if err != nil {
			t.Fatal(err)
		}
		for _, step := range p.Steps {
			for _, e := range step.Entries {
				ids[e.ID] = ref
			}
			for _, table := range step.Tables {
				ids[table.ID] = ref
				for _, c := range table.Columns {
					ids[c.ID], ids[table.ID+"."+c.ID] = ref, ref
				}
			}
		}
	}
	if ids["bag_counts"] == "" || ids["released"] == "" || ids["seen.live"] == "" {
		t.Fatalf("the ids of the shipped protocols were not collected: %d", len(ids))
	}
	files := []string{"vessels.go"}
	for _, room := range []string{"season", "pedigree", "schedule"} {
		in, err := filepath.Glob(filepath.Join(room, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, in...)
	}
	used, literals := map[string]bool{}, 0
	for _, name := range files {
		if len(name) > len("_test.go") && name[len(name)-len("_test.go"):] == "_test.go" {
			continue
		}
		places := token.NewFileSet()
		file, err := parser.ParseFile(places, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if _, imported := n.(*ast.ImportSpec); imported {
				return false
			}
			literal, ok := n.(*ast.BasicLit)
			if !ok || literal.Kind != token.STRING {
				return true
			}
			text, err := strconv.Unquote(literal.Value)
			if err != nil {
				t.Fatal(err)
			}
			literals++
			if ref := ids[text]; ref != "" && ownWords[text] == "" {
				t.Errorf("%s: %q is an id of %s; let protocols tell it (protocols.Tells)", places.Position(literal.Pos()), text, ref)
			}
			used[text] = true
			return true
		})
	}
	for word, reason := range ownWords {
		if !used[word] {
			t.Errorf("%q is excused (%s), but nothing says it", word, reason)
		}
	}
	if literals < 200 {
		t.Errorf("only %d texts were looked at", literals)
	}
}
