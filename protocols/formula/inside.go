package formula

import (
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
)

// Inside writes the arithmetic inside every function from outside that the formula calls,
// in words and with the numbers that show gives for the names: the step of a second person
// with a pocket calculator. A function without a line of working gives its source.
func (f *Formula) Inside(show func(name string) string) []string {
	if !f.calls {
		return nil
	}
	var lines []string
	ast.Walk(&f.written, visitor(func(n ast.Node) {
		v, ok := n.(*ast.CallNode)
		if !ok {
			return
		}
		called := f.functions.byName[nameOf(v)]
		if called == nil {
			return
		}
		line := called.inside(v.Arguments, show)
		if !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}))
	return lines
}

// visitor lets a function look at every part of a formula, what is inside first.
type visitor func(n ast.Node)

// Visit is called by ast.Walk.
func (v visitor) Visit(n *ast.Node) { v(*n) }

func (f *Function) inside(arguments []ast.Node, show func(string) string) string {
	if f.working == nil {
		return f.Name + ": " + f.Says + " (" + f.Source + ")"
	}
	put := map[string]string{}
	for i, given := range arguments {
		a, _ := f.argument(i)
		text := write(given, show, 7)
		if before, more := put[a.Name]; more {
			text = before + " × " + text
			if i == len(arguments)-1 {
				text = "(" + text + ")"
			}
		}
		put[a.Name] = text
	}
	words := write(f.working, func(name string) string { return strings.ReplaceAll(name, "_", " ") }, 0)
	return f.Name + " = " + words + " = " + write(f.working, func(name string) string { return put[name] }, 0)
}
