package calc_test

import (
	"go/ast"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// ofTheDoor finds a command or a flag of the program in a text.
var ofTheDoor = regexp.MustCompile(`spatsheet (start|plan|print|check|collect|season|lineage|calendar|bench|demo|completion|protocols)\b|--[a-z]+`)

// written are the files below the command line that name commands or flags in what they
// write into a file of the user, and how many of their texts do: the head of the list of
// released protocols says what made it, and the lists already written say so too.
var written = map[string]int{"protocols/lock.go": 1}

// TestCommandsAreNamedAtTheDoor: a renamed command or flag must not make a text below cmd lie.
func TestCommandsAreNamedAtTheDoor(t *testing.T) {
	found, read := map[string]int{}, 0
	for _, name := range goFiles(t) {
		name = filepath.ToSlash(name)
		if strings.HasPrefix(name, "cmd/") {
			continue
		}
		read++
		file, fset := parsed(t, name)
		ast.Inspect(file, func(n ast.Node) bool {
			literal, ok := n.(*ast.BasicLit)
			if !ok || literal.Kind != token.STRING {
				return true
			}
			text, err := strconv.Unquote(literal.Value)
			if err != nil {
				t.Fatal(err)
			}
			if says := ofTheDoor.FindString(text); says != "" {
				if found[name]++; found[name] > written[name] {
					t.Errorf("%s names %q; make it a kind of protocols/remedy and put the words into cmd/spatsheet/remedies.go", fset.Position(n.Pos()), says)
				}
			}
			return true
		})
	}
	for name, n := range written {
		if found[name] < n {
			t.Errorf("%s: %d texts name commands or flags, %d are listed; take it off the list", name, found[name], n)
		}
	}
	if read < 50 {
		t.Errorf("only %d files were read: the walk starts in the wrong place", read)
	}
}
