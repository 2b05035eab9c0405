package pedigree_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"spatsheet/protocols"
)

// suffix is put behind every id; no id of a shipped protocol ends in it.
const suffix = "_q"

// renaming gives every setting, amount, entry, table, column and step of a protocol's text
// another id, wherever the text names it.
type renaming struct{ names map[string]string }

// treeOf is a protocol's text as a tree of yaml.MapSlice, []any and scalars.
func treeOf(t *testing.T, text []byte) yaml.MapSlice {
	t.Helper()
	var tree yaml.MapSlice
	if err := yaml.UnmarshalWithOptions(text, &tree, yaml.UseOrderedMap()); err != nil {
		t.Fatal(err)
	}
	return tree
}

func textOf(t *testing.T, tree any) []byte {
	t.Helper()
	text, err := yaml.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// renamed is the text of a protocol with every id renamed.
func renamed(t *testing.T, p *protocols.Protocol) []byte {
	t.Helper()
	r := renaming{map[string]string{}}
	for _, s := range p.Settings {
		r.names[s.ID] = s.ID + suffix
	}
	for _, a := range p.Amounts {
		r.names[a.ID] = a.ID + suffix
	}
	for _, step := range p.Steps {
		for _, e := range step.Entries {
			r.names[e.ID] = e.ID + suffix
		}
		for _, table := range step.Tables {
			r.names[table.ID] = table.ID + suffix
			for _, c := range table.Columns {
				r.names[table.ID+"."+c.ID] = table.ID + suffix + "." + c.ID + suffix
			}
		}
	}
	return textOf(t, r.tree(treeOf(t, p.Text), nil))
}

// tree renames in what stands under a path of keys.
func (r renaming) tree(at any, path []string) any {
	switch v := at.(type) {
	case yaml.MapSlice:
		out := yaml.MapSlice{}
		for _, item := range v {
			key := item.Key.(string)
			if last(path) == "sets" { // settings of another protocol
				out = append(out, yaml.MapItem{Key: key + suffix, Value: r.formula(item.Value)})
				continue
			}
			if key == "example" && (!slices.Contains(path, "steps") || wordy(v)) {
				out = append(out, item)
				continue
			}
			out = append(out, yaml.MapItem{Key: key, Value: r.tree(item.Value, append(slices.Clone(path), key))})
		}
		return out
	case []any:
		var out []any
		for _, item := range v {
			out = append(out, r.tree(item, path))
		}
		return out
	}
	return r.scalar(at, path)
}

func last(path []string) string {
	if len(path) == 0 {
		return ""
	}
	return path[len(path)-1]
}

// wordy says whether an entry's example is words, not a formula.
func wordy(entry yaml.MapSlice) bool {
	for _, item := range entry {
		if item.Key == "kind" {
			return item.Value == "text" || item.Value == "choice"
		}
	}
	return false
}

var (
	formulaKeys = []string{"formula", "works_out", "rule", "in", "out", "at", "every", "lasts", "needs", "wait", "spare", "keeps", "rounds", "example",
		"amounts", "amount", "planned", "split", "count", "shows", "each", "brings", "done_at"}
	stepKeys = []string{"until", "by", "from", "to", "after"}
)

func (r renaming) scalar(at any, path []string) any {
	key := last(path)
	above := ""
	if len(path) > 1 {
		above = path[len(path)-2]
	}
	text, isText := at.(string)
	switch {
	case !isText:
		return at
	case path[0] == "tells":
		return r.formula(text)
	case key == "id" && slices.Contains([]string{"settings", "amounts", "entries", "tables", "columns"}, above):
		return text + suffix
	case key == "id" && above == "steps", above == "cautions" && key == "steps":
		return text + "-q"
	case slices.Contains(stepKeys, key) && slices.Contains([]string{"steps", "needs_ready", "follows", "uses"}, above):
		return text + "-q"
	case key == "has":
		return text + suffix
	case key == "do":
		return regexp.MustCompile(`\{[a-z0-9_.]+\}`).ReplaceAllStringFunc(text, func(m string) string { return "{" + r.names[strings.Trim(m, "{}")] + "}" })
	case slices.Contains(formulaKeys, key):
		return r.formula(text)
	}
	return at
}

// inFormula finds words in quotes, calls and names.
var inFormula = regexp.MustCompile(`"[^"]*"|[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?(\s*\()?`)

func (r renaming) formula(at any) any {
	text, isText := at.(string)
	if !isText {
		return at
	}
	return inFormula.ReplaceAllStringFunc(text, func(m string) string {
		if name, ok := r.names[m]; ok {
			return name
		}
		return m
	})
}
