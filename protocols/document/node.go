package document

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// Node is a value in the document together with its place.
type Node struct {
	doc          *Document
	value        ast.Node
	line, column int
	label        string // how the reader calls it in a fault, such as "formula"
	instead      string // stands for the scalar's text; see WithText
}

func (d *Document) node(n ast.Node, label string) Node {
	node := Node{doc: d, value: n, label: label}
	if n == nil {
		return node
	}
	t := startOf(n)
	if t != nil && t.Position != nil {
		node.line, node.column = t.Position.Line, t.Position.Column
	}
	return node
}

// startOf is the first token of a node: of a mapping its first key, not its colon.
func startOf(n ast.Node) *token.Token {
	switch v := n.(type) {
	case *ast.MappingNode:
		if len(v.Values) > 0 && !v.IsFlowStyle {
			return startOf(v.Values[0].Key)
		}
	case *ast.MappingValueNode:
		return startOf(v.Key)
	case *ast.LiteralNode:
		return v.Start
	}
	return n.GetToken()
}

// Fault notes that something is wrong at this place; says holds what and a remedy.
func (n Node) Fault(format string, args ...any) {
	n.doc.add(max(n.line, 1), max(n.column, 1), fmt.Sprintf(format, args...))
}

// FaultInside notes a fault at a line and column (from 1) within the scalar's own text,
// as given by a reader of that text, such as the formula compiler.
func (n Node) FaultInside(line, column int, format string, args ...any) {
	at := n
	switch v := n.value.(type) {
	case *ast.LiteralNode:
		at.line = v.Start.Position.Line + line
		at.column = indentOf(n.doc, at.line) + column
	case *ast.StringNode:
		quoted := v.Token.Type == token.SingleQuoteType || v.Token.Type == token.DoubleQuoteType
		if quoted {
			at.column++
		}
		at.line += line - 1
		at.column += column - 1
	}
	at.Fault(format, args...)
}

func indentOf(d *Document, line int) int {
	if line < 1 || line > len(d.lines) {
		return 0
	}
	return len(d.lines[line-1]) - len(strings.TrimLeft(d.lines[line-1], " "))
}

// WithText is the same place with another text, for a reader that rewrites a short form.
func (n Node) WithText(text string) Node {
	n.instead = text
	return n
}

// Place is where the node stands, for messages made later.
func (n Node) Place() Place {
	return Place{n.doc.name, max(n.line, 1), max(n.column, 1)}
}

// IsGroup says whether the value is a mapping.
func (n Node) IsGroup() bool {
	switch n.value.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return true
	}
	return false
}

// IsList says whether the value is a sequence.
func (n Node) IsList() bool {
	_, ok := n.value.(*ast.SequenceNode)
	return ok
}

// Present says whether the node stands in the file at all.
func (n Node) Present() bool { return n.value != nil }

// IsText says whether a text stands here, be it an empty one in quotes.
func (n Node) IsText() bool {
	_, ok := n.value.(*ast.StringNode)
	return ok
}

// Text is the scalar as typed; quotes and a block's indentation are taken off, nothing
// else. A mapping, a list or an empty value is a fault and gives "".
func (n Node) Text() string {
	if n.instead != "" {
		return n.instead
	}
	switch v := n.value.(type) {
	case nil:
		return ""
	case *ast.StringNode:
		return v.Value
	case *ast.LiteralNode:
		return strings.TrimRight(v.Value.Value, "\n")
	case *ast.MappingNode, *ast.MappingValueNode, *ast.SequenceNode:
		n.Fault("%s must be a single value, not a list or a group of keys", n.name())
		return ""
	case *ast.NullNode:
		n.Fault("%s is empty; give a value or leave the key out", n.name())
		return ""
	}
	return n.value.GetToken().Value
}

func (n Node) name() string {
	if n.label == "" {
		return "this"
	}
	return n.label
}

// List gives the items of a sequence; anything else is a fault and gives none.
func (n Node) List() []Node {
	if n.value == nil {
		return nil
	}
	seq, ok := n.value.(*ast.SequenceNode)
	if !ok {
		n.Fault("%s must be a list: lines that begin with \"- \", or [a, b]", n.name())
		return nil
	}
	items := make([]Node, 0, len(seq.Values))
	for _, v := range seq.Values {
		items = append(items, n.doc.node(v, n.label))
	}
	return items
}

// Texts gives a list of scalars as typed.
func (n Node) Texts() []string {
	var out []string
	for _, item := range n.List() {
		out = append(out, item.Text())
	}
	return out
}

// pairs gives the entries of a mapping in file order; anything else is a fault.
func (n Node) pairs() []*ast.MappingValueNode {
	switch v := n.value.(type) {
	case nil:
		return nil
	case *ast.MappingNode:
		return v.Values
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{v}
	}
	n.Fault("%s must be a group of \"key: value\" lines", n.name())
	return nil
}

// Pair is one entry of a free mapping.
type Pair struct {
	Key   string
	KeyAt Node
	Value Node
}

// Pairs gives the entries of a mapping whose keys are free (such as settings by name),
// in file order; a key given twice is a fault.
func (n Node) Pairs() []Pair {
	var out []Pair
	seen := map[string]bool{}
	for _, p := range n.pairs() {
		key := p.Key.GetToken().Value
		at := n.doc.node(p.Key, key)
		if seen[key] {
			at.Fault("%q is given twice; keep one", key)
			continue
		}
		seen[key] = true
		out = append(out, Pair{Key: key, KeyAt: at, Value: n.doc.node(p.Value, key)})
	}
	return out
}

// Field gives the value under one key of a mapping that has been read with Fields
// already; where it is missing, an absent Node with the mapping's place.
func (n Node) Field(key string) Node {
	for _, p := range n.pairs() {
		if p.Key.GetToken().Value == key {
			return n.doc.node(p.Value, key)
		}
	}
	return Node{doc: n.doc, line: n.line, column: n.column, label: key}
}

// Fields is a mapping whose keys are known to the reader.
type Fields struct {
	at     Node
	values map[string]Node
}

// Fields reads a mapping with a closed set of keys; a key outside it is a fault that
// names the nearest known one.
func (n Node) Fields(known ...string) Fields {
	f := Fields{at: n, values: map[string]Node{}}
	for _, p := range n.Pairs() {
		if !contains(known, p.Key) {
			p.KeyAt.Fault("unknown key %q%s", p.Key, suggestion(p.Key, known))
			continue
		}
		f.values[p.Key] = p.Value
	}
	return f
}

// At is the place of the mapping itself.
func (f Fields) At() Node { return f.at }

// Has says whether the key stands in the file.
func (f Fields) Has(key string) bool { return f.values[key].value != nil }

// Get gives the value under a key; where it is missing, an absent Node that still has
// the mapping's place, so that a fault on it points somewhere.
func (f Fields) Get(key string) Node {
	if v, ok := f.values[key]; ok {
		return v
	}
	return Node{doc: f.at.doc, line: f.at.line, column: f.at.column, label: key}
}

// Need gives the value under a key and makes its absence a fault.
func (f Fields) Need(key string) Node {
	if !f.Has(key) {
		f.at.Fault("%q is missing; add it", key)
	}
	return f.Get(key)
}

// OneOf gives the scalar under a key when it is one of the choices; otherwise a fault.
// An absent key gives the first choice.
func (f Fields) OneOf(key string, choices ...string) string {
	if !f.Has(key) {
		return choices[0]
	}
	got := f.Get(key).Text()
	if contains(choices, got) {
		return got
	}
	f.Get(key).Fault("%s cannot be %q; it is one of: %s", key, got, strings.Join(choices, ", "))
	return choices[0]
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
