// Package formula holds the formulas of protocols: arithmetic over named quantities,
// checked for units when a protocol is loaded, so that litres are never added to cells.
//
// The grammar and the evaluation are those of github.com/expr-lang/expr, closed down:
// names, numbers, + - * / ^, comparisons, and/or/not, a ? b : c, the functions of this
// package, and those handed in from outside. No loops, text, lists, files or clock.
//
// What may enter: formula text, names with their dimensions, numbers in base units,
// functions of plain numbers that say their units (Function).
// What may not: what a name stands for, where it came from, or the trade's science itself.
package formula

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser"
	"github.com/expr-lang/expr/vm"

	"spatsheet/protocols/quantity"
)

// MaxLength is the longest formula taken, in bytes; it bounds the parser's own work.
const MaxLength = 1000

// memoryBudget bounds what one evaluation may allocate, in the machine's own count.
const memoryBudget = 10_000

// Name says what a name in a formula stands for.
type Name struct {
	Dimension quantity.Dimension
	Column    bool // a column of an entry table: only inside sum, mean, largest, smallest, last, first, filled
	Text      bool // words, not a number: only inside is (one entry) or tally (a column)
}

// Scope holds the names a formula may use; a name may have one dot (beaker.volume).
type Scope map[string]Name

// Formula is a compiled formula.
type Formula struct {
	text      string
	written   ast.Node // as parsed, for Working
	program   *vm.Program
	result    kind
	names     []string
	rows      map[string]bool
	functions Functions
	calls     bool // a function from outside
}

// Error is a fault in a formula with its place in the formula's text.
type Error struct {
	Line, Column int // from 1
	Says         string
}

// Error prints the place and the fault.
func (e *Error) Error() string { return fmt.Sprintf("%d:%d: %s", e.Line, e.Column, e.Says) }

// Compile reads a formula over a scope and the functions it may call, and works out its
// dimension.
//
// Refused, as *Error with the place: text longer than MaxLength, names not in scope,
// sums or comparisons of unlike dimensions, an argument in a wrong unit or beyond the limits
// of its function, and everything outside the closed grammar.
func Compile(text string, scope Scope, functions Functions) (*Formula, error) {
	if len(text) > MaxLength {
		return nil, &Error{1, 1, fmt.Sprintf("the formula has %d characters, more than %d; split it into amounts", len(text), MaxLength)}
	}
	if strings.TrimSpace(text) == "" {
		return nil, &Error{1, 1, "the formula is empty"}
	}
	tree, err := parser.Parse(text)
	if err != nil {
		return nil, parseError(err)
	}
	w := walker{source: text, scope: scope, functions: functions, used: map[string]bool{}, needsRows: map[string]bool{}}
	result, err := w.kindOf(tree.Node)
	if err != nil {
		return nil, err
	}
	program, err := expr.Compile(text, w.options()...)
	if err != nil {
		return nil, parseError(err)
	}
	f := &Formula{text: text, written: tree.Node, program: program, result: result, rows: w.needsRows, functions: functions, calls: w.calls}
	for name := range w.used {
		f.names = append(f.names, name)
	}
	sort.Strings(f.names)
	return f, nil
}

func parseError(err error) *Error {
	var fe *file.Error
	if errors.As(err, &fe) {
		return &Error{max(fe.Line, 1), fe.Column + 1, fe.Message}
	}
	return &Error{1, 1, err.Error()}
}

// options gives expr the names in use as plain numbers and our functions, nothing else.
// A scope has hundreds of names, a formula a few of them.
func (w *walker) options() []expr.Option {
	env := map[string]any{}
	for name := range w.used {
		put(env, name, w.scope[name].sample())
	}
	opts := []expr.Option{w.functions.closedDown, expr.Env(env), expr.MaxNodes(500), expr.Patch(&plainNumbers{})}
	if w.compares {
		opts = append(opts, comparisons...)
	}
	return opts
}

// sample is a value of the kind that a name stands for.
func (n Name) sample() any {
	switch {
	case n.Text && n.Column:
		return []string{}
	case n.Text:
		return ""
	case n.Column:
		return []float64{}
	}
	return 0.0
}

// put stores a value under a name with at most one dot.
func put(env map[string]any, name string, value any) {
	group, member, dotted := strings.Cut(name, ".")
	if !dotted {
		env[name] = value
		return
	}
	inner, ok := env[group].(map[string]any)
	if !ok {
		inner = map[string]any{}
		env[group] = inner
	}
	inner[member] = value
}

// String is the formula as written.
func (f *Formula) String() string { return f.text }

// Names lists the names used, sorted.
func (f *Formula) Names() []string { return f.names }

// NeedsRows says whether a column used must have a filled row: counting the filled rows,
// or those that say a word, works on none too.
func (f *Formula) NeedsRows(name string) bool { return f.rows[name] }

// IsTruth says whether the formula gives true or false instead of a number.
func (f *Formula) IsTruth() bool { return f.result.truth }

// Dimension of the formula's number; meaningless for a truth.
func (f *Formula) Dimension() quantity.Dimension { return f.result.dimension }

// Values are the numbers put in, in base units (quantity.Unit.Base); a column is the
// list of its filled rows.
type Values struct{ env map[string]any }

// NewValues makes an empty set of values.
func NewValues() Values { return Values{env: map[string]any{}} }

// Set gives a name its number in base units.
func (v Values) Set(name string, base float64) { put(v.env, name, base) }

// SetColumn gives a column its numbers in base units.
func (v Values) SetColumn(name string, base []float64) { put(v.env, name, base) }

// SetText gives a text entry its words.
func (v Values) SetText(name, words string) { put(v.env, name, words) }

// SetTextColumn gives a column of words its filled rows.
func (v Values) SetTextColumn(name string, words []string) { put(v.env, name, words) }

// Number evaluates to a number in base units.
//
// Error: a name without a value, or a result that is not a finite number (division by
// zero), said in words.
func (f *Formula) Number(v Values) (float64, error) {
	out, err := f.run(v)
	if err != nil {
		return 0, err
	}
	x, ok := out.(float64)
	if !ok {
		return 0, fmt.Errorf("formula %q gives %v, not a number", f.text, out)
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("formula %q has no finite result; is a divisor zero?", f.text)
	}
	return x, nil
}

// Truth evaluates a comparison.
func (f *Formula) Truth(v Values) (bool, error) {
	out, err := f.run(v)
	if err != nil {
		return false, err
	}
	b, ok := out.(bool)
	if !ok {
		return false, fmt.Errorf("formula %q gives %v, not true or false", f.text, out)
	}
	return b, nil
}

func (f *Formula) run(v Values) (any, error) {
	machine := vm.VM{MemoryBudget: memoryBudget}
	out, err := machine.Run(f.program, v.env)
	if err != nil {
		return nil, fmt.Errorf("formula %q: %s%s", f.text, parseError(err).Says, f.remedy())
	}
	return out, nil
}

// remedy names what a call of a function from outside may have gone wrong by.
func (f *Formula) remedy() string {
	if !f.calls || len(f.names) == 0 {
		return ""
	}
	return "; look at " + strings.Join(f.names, ", ")
}

// Working writes the formula with every name replaced by what show returns for it: the
// line a second person checks with a pocket calculator.
func (f *Formula) Working(show func(name string) string) string {
	return write(f.written, show, 0)
}

// plainNumbers turns whole literals into floats: whole arithmetic would wrap around.
type plainNumbers struct{}

func (plainNumbers) Visit(node *ast.Node) {
	if n, ok := (*node).(*ast.IntegerNode); ok {
		ast.Patch(node, &ast.FloatNode{Value: float64(n.Value)})
	}
}

// Get gives the number set for a name; zero where there is none.
func (v Values) Get(name string) float64 {
	x, _ := v.at(name).(float64)
	return x
}

// Copy takes a name's value, of whatever kind, from other values.
func (v Values) Copy(name string, from Values) {
	if value := from.at(name); value != nil {
		put(v.env, name, value)
	}
}

func (v Values) at(name string) any {
	var at any = v.env
	for _, part := range strings.Split(name, ".") {
		group, ok := at.(map[string]any)
		if !ok {
			return nil
		}
		at = group[part]
	}
	return at
}
