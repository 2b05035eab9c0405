// Package document reads YAML strictly and remembers the place of everything in it.
//
// A reader asks for the keys it knows, one by one; what is missing, unknown, of the wrong
// kind or given twice becomes a Fault with file, line, column, an excerpt and a remedy,
// and reading goes on, so that all faults of a file are told at once and in file order.
// Scalars are handed out as the text that stands in the file: 1.10, 007 and 1_000 stay
// as they were typed.
//
// What may enter: YAML, places, wording of faults. What may not: what a key means; that
// is for the packages that read protocols, sites and plans.
package document

import (
	"bytes"
	"errors"
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// MaxBytes is the longest text that Parse takes; a protocol is a few tens of kilobytes.
const MaxBytes = 1 << 20

// MaxLines is the most lines that Parse takes, twenty times those of a long protocol: the
// parser's time grows with their square (0.3 s for these, minutes for 400,000).
const MaxLines = 10_000

// maxDepth bounds nesting; a protocol needs about eight levels.
const maxDepth = 40

// Document is one YAML file, read once, collecting the faults found in it.
type Document struct {
	name   string
	lines  []string
	root   Node
	faults Faults
}

// Parse reads text as one YAML document; name is the file's name as the user knows it.
//
// The error, if any, is of type Faults: bytes that are not UTF-8, more than MaxBytes or MaxLines,
// YAML that cannot be read, more than one document, an anchor or alias, or no content.
func Parse(name string, text []byte) (*Document, error) {
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // byte-order mark of some editors
	d := &Document{name: name, lines: strings.Split(string(text), "\n")}
	if len(text) > MaxBytes {
		return nil, d.refuse(1, 1, fmt.Sprintf("the file has %d bytes, more than %d; is it the right file?", len(text), MaxBytes))
	}
	if len(d.lines) > MaxLines {
		return nil, d.refuse(MaxLines, 1, fmt.Sprintf("the file has %d lines, more than %d; is it the right file?", len(d.lines), MaxLines))
	}
	if line, column, ok := firstBadByte(text); !ok {
		return nil, d.refuse(line, column, "this byte is not UTF-8 text; is this the right file? a text file is saved as UTF-8")
	}
	if line, column := deepBrackets(text); line > 0 {
		return nil, d.refuse(line, column, fmt.Sprintf("brackets are nested more than %d deep; write it plainer", maxDepth))
	}
	if line, column := deepDashes(d.lines); line > 0 {
		return nil, d.refuse(line, column, fmt.Sprintf("lists are nested more than %d deep; write it plainer", maxDepth))
	}
	file, err := parser.ParseBytes(text, 0)
	if err != nil {
		return nil, d.syntax(err)
	}
	if err := d.takeBody(file); err != nil {
		return nil, err
	}
	return d, nil
}

func (d *Document) takeBody(file *ast.File) error {
	var bodies []ast.Node
	for _, doc := range file.Docs {
		if doc.Body != nil {
			bodies = append(bodies, doc.Body)
		}
	}
	switch len(bodies) {
	case 0:
		return d.refuse(1, 1, "the file is empty; start from a template")
	case 1:
	default:
		p := bodies[1].GetToken().Position
		return d.refuse(p.Line, p.Column, "a second document starts here; keep one document in a file")
	}
	d.root = d.node(bodies[0], "")
	d.refuseAnchors(bodies[0], 0)
	return d.Err()
}

// refuseAnchors walks the tree once: anchors and aliases could make a small file stand
// for an enormous one, and hide from a reader what a value is.
func (d *Document) refuseAnchors(n ast.Node, depth int) {
	if n == nil || depth > maxDepth {
		if n != nil {
			p := n.GetToken().Position
			d.add(p.Line, p.Column, fmt.Sprintf("nested more than %d deep; write it plainer", maxDepth))
		}
		return
	}
	switch v := n.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode, *ast.TagNode:
		p := n.GetToken().Position
		d.add(p.Line, p.Column, "anchors, aliases, merge keys and tags are not used here; write the value out")
	case *ast.MappingNode:
		for _, pair := range v.Values {
			d.refuseAnchors(pair, depth)
		}
	case *ast.MappingValueNode:
		d.refuseAnchors(v.Key, depth+1)
		d.refuseAnchors(v.Value, depth+1)
	case *ast.SequenceNode:
		for _, item := range v.Values {
			d.refuseAnchors(item, depth+1)
		}
	}
}

// Root is the whole document.
func (d *Document) Root() Node { return d.root }

// Err returns every fault so far, in file order, or nil.
func (d *Document) Err() error {
	if len(d.faults) == 0 {
		return nil
	}
	sort.SliceStable(d.faults, func(i, j int) bool {
		a, b := d.faults[i].Place, d.faults[j].Place
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
	})
	return d.faults
}

func (d *Document) refuse(line, column int, says string) error {
	d.add(line, column, says)
	return d.Err()
}

func (d *Document) add(line, column int, says string) {
	d.faults = append(d.faults, Fault{Place: Place{d.name, line, column}, Says: says, Excerpt: d.excerpt(line, column)})
}

// excerpt shows the line and a caret under the column.
func (d *Document) excerpt(line, column int) string {
	if line < 1 || line > len(d.lines) {
		return ""
	}
	if !utf8.ValidString(d.lines[line-1]) || strings.ContainsRune(d.lines[line-1], 0) {
		return "" // no text: a terminal would choke on it
	}
	text := []rune(strings.TrimRight(d.lines[line-1], "\r"))
	if len(text) > 160 {
		text = append(text[:160], '…')
	}
	pad := make([]rune, 0, column)
	for i := 0; i < column-1 && i < len(text); i++ {
		if text[i] == '\t' {
			pad = append(pad, '\t')
		} else {
			pad = append(pad, ' ')
		}
	}
	return fmt.Sprintf("%5d | %s\n      | %s^", line, string(text), string(pad))
}

func (d *Document) syntax(err error) error {
	line, column, says := 1, 1, "this is not YAML that can be read"
	var y yaml.Error
	if errors.As(err, &y) {
		says = y.GetMessage()
		if t := y.GetToken(); t != nil && t.Position != nil {
			line, column = t.Position.Line, t.Position.Column
		}
	} else {
		says += ": " + firstLine(err.Error())
	}
	return d.refuse(line, column, says)
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}

func firstBadByte(text []byte) (line, column int, ok bool) {
	line, column = 1, 1
	for len(text) > 0 {
		r, size := utf8.DecodeRune(text)
		if (r == utf8.RuneError && size == 1) || r == 0 {
			return line, column, false
		}
		if r == '\n' {
			line, column = line+1, 0
		}
		column++
		text = text[size:]
	}
	return 0, 0, true
}

// deepBrackets finds flow brackets nested so deep that parsing them would cost memory.
func deepBrackets(text []byte) (line, column int) {
	depth, line, column := 0, 1, 1
	for _, b := range text {
		switch b {
		case '[', '{':
			depth++
		case ']', '}':
			depth = max(depth-1, 0)
		case '\n':
			line, column = line+1, 0
		}
		if depth > maxDepth {
			return line, column
		}
		column++
	}
	return 0, 0
}

// deepDashes finds lists opened within lists on one line ("- - - -"), so deep that parsing
// them would cost time and memory.
func deepDashes(lines []string) (line, column int) {
	for i, text := range lines {
		at, depth := 0, 0
		for ; at < len(text) && strings.IndexByte(" \t-?", text[at]) >= 0; at++ {
			opens := (text[at] == '-' || text[at] == '?') && at+1 < len(text) && (text[at+1] == ' ' || text[at+1] == '\t')
			if opens {
				depth++
			}
			if depth > maxDepth {
				return i + 1, at + 1
			}
		}
	}
	return 0, 0
}
