package formula

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"sort"
	"strings"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/builtin"
	"github.com/expr-lang/expr/conf"

	"spatsheet/protocols/quantity"
)

// Slack is the relative difference within which two numbers count as equal in
// comparisons, up() and down(): far below any measurement, far above the rounding of
// binary arithmetic, so that 40 plates worked out as 39.999999999999996 stay 40.
const Slack = 1e-9

// function is a function of formulas: how it treats dimensions and how it is computed.
type function struct {
	arguments int // 0: one or more
	kind      func(w *walker, n ast.Node, arguments []ast.Node) (kind, error)
	compute   func(x []float64) (float64, error)
	column    func(x []float64) (float64, error) // for the functions that take a column
	empty     bool                               // a column without a filled row will do
}

var functions map[string]function

var functionList string

func init() {
	functions = map[string]function{
		"up":          {arguments: 1, kind: keep, compute: one(RoundUp)},
		"down":        {arguments: 1, kind: keep, compute: one(RoundDown)},
		"nearest":     {arguments: 1, kind: keep, compute: one(math.Round)},
		"abs":         {arguments: 1, kind: keep, compute: one(math.Abs)},
		"ln":          {arguments: 1, kind: pure, compute: one(math.Log)},
		"exp":         {arguments: 1, kind: pure, compute: one(math.Exp)},
		"least":       {kind: same, compute: func(x []float64) (float64, error) { return smallest(x) }},
		"greatest":    {kind: same, compute: func(x []float64) (float64, error) { return largest(x) }},
		"as":          {arguments: 2, kind: recount},
		"sum":         {arguments: 1, kind: ofColumn, column: sum},
		"mean":        {arguments: 1, kind: ofColumn, column: mean},
		"largest":     {arguments: 1, kind: ofColumn, column: largest},
		"smallest":    {arguments: 1, kind: ofColumn, column: smallest},
		"first":       {arguments: 1, kind: ofColumn, column: func(x []float64) (float64, error) { return x[0], nil }},
		"last":        {arguments: 1, kind: ofColumn, column: func(x []float64) (float64, error) { return x[len(x)-1], nil }},
		"is":          {arguments: 2, kind: isWord},
		"tally":       {arguments: 2, kind: tallyWord},
		"sd":          {arguments: 1, kind: ofColumn, column: sd},
		"sum_squares": {arguments: 1, kind: squareOfColumn, column: sumSquares},
		"filled":      {arguments: 1, kind: countOfColumn, empty: true, column: func(x []float64) (float64, error) { return float64(len(x)), nil }},
	}
	names := make([]string, 0, len(functions))
	for name := range functions {
		names = append(names, name)
	}
	sort.Strings(names)
	functionList = strings.Join(names, ", ")
}

func sortStrings(s []string) { sort.Strings(s) }

func (w *walker) call(n ast.Node, name string, arguments []ast.Node) (kind, error) {
	if outside := w.functions.byName[name]; outside != nil {
		return w.outside(n, outside, arguments)
	}
	f, ok := functions[name]
	if !ok {
		return kind{}, w.fail(n, "unknown function %q; there are: %s", name, w.functions.callable())
	}
	if len(arguments) == 0 || (f.arguments > 0 && len(arguments) != f.arguments) {
		return kind{}, w.fail(n, "%s takes %d value(s), %d given", name, max(f.arguments, 1), len(arguments))
	}
	return f.kind(w, n, arguments)
}

// keep: the result has the argument's dimension. Rounding is done in base units, so a
// dimension other than a count or a pure number would round to a hidden unit.
func keep(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	k, err := w.number(arguments[0])
	if err != nil {
		return kind{}, err
	}
	if _, count := k.dimension.CountOf(); !count && k.dimension != quantity.None && nameOf(n) != "abs" {
		return kind{}, w.fail(n, "%s rounds counts and pure numbers only, this is a %s; give the amount a round: rule instead", nameOf(n), k.dimension)
	}
	return kind{dimension: k.dimension}, nil
}

func pure(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	k, err := w.number(arguments[0])
	if err != nil {
		return kind{}, err
	}
	if k.dimension != quantity.None {
		return kind{}, w.fail(n, "%s needs a pure number, this is a %s", nameOf(n), k.dimension)
	}
	return kind{}, nil
}

func same(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	result := kind{zero: true}
	for _, a := range arguments {
		k, err := w.number(a)
		if err != nil {
			return kind{}, err
		}
		if err := w.alike(a, result, k); err != nil {
			return kind{}, err
		}
		if result.zero {
			result = k
		}
	}
	return kind{dimension: result.dimension}, nil
}

// recount: as(larvae, "spat") counts the same individuals under another name.
func recount(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	k, err := w.number(arguments[0])
	if err != nil {
		return kind{}, err
	}
	if _, ok := k.dimension.CountOf(); !ok && k.dimension != quantity.None {
		return kind{}, w.fail(arguments[0], "as recounts counted things and pure numbers only, this is a %s", k.dimension)
	}
	word, ok := arguments[1].(*ast.StringNode)
	if !ok {
		return kind{}, w.fail(arguments[1], "as wants the counted thing in quotes, such as as(larvae, \"spat\")")
	}
	d, ok := quantity.CountDimension(word.Value)
	if !ok {
		return kind{}, w.fail(arguments[1], "%q is not a counted thing", word.Value)
	}
	return kind{dimension: d}, nil
}

func ofColumn(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	k, err := w.kindOf(arguments[0])
	if err != nil {
		return kind{}, err
	}
	if !k.column || (k.text && nameOf(n) != "filled") {
		return kind{}, w.fail(arguments[0], "%s wants a column of numbers of an entry table, such as egg_counts.counted", nameOf(n))
	}
	if id, ok := columnName(arguments[0]); ok && nameOf(n) != "filled" {
		w.needsRows[id] = true
	}
	return kind{dimension: k.dimension}, nil
}

// columnName is the dotted name of a column.
func columnName(n ast.Node) (string, bool) {
	m, ok := n.(*ast.MemberNode)
	if !ok {
		return "", false
	}
	group, ok1 := m.Node.(*ast.IdentifierNode)
	property, ok2 := m.Property.(*ast.StringNode)
	if !ok1 || !ok2 {
		return "", false
	}
	return group.Value + "." + property.Value, true
}

func countOfColumn(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	_, err := ofColumn(w, n, arguments)
	return kind{}, err
}

func squareOfColumn(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	k, err := ofColumn(w, n, arguments)
	if err != nil {
		return kind{}, err
	}
	d, err := k.dimension.Power(2)
	if err != nil {
		return kind{}, w.fail(n, "%s", err)
	}
	return kind{dimension: d}, nil
}

func nameOf(n ast.Node) string {
	switch v := n.(type) {
	case *ast.CallNode:
		if id, ok := v.Callee.(*ast.IdentifierNode); ok {
			return id.Value
		}
	case *ast.BuiltinNode:
		return v.Name
	}
	return "this"
}

func one(f func(float64) float64) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x[0]), nil }
}

// run adapts a function to expr's calling form.
func (f function) run(parameters ...any) (any, error) {
	if words, ok := parameters[0].([]string); ok && f.column != nil { // filled(words)
		return float64(len(words)), nil
	}
	if f.column != nil {
		x, ok := parameters[0].([]float64)
		if !ok {
			return nil, fmt.Errorf("a column is wanted, %T given", parameters[0])
		}
		if len(x) == 0 && !f.empty {
			return nil, errors.New("the column has no filled row")
		}
		return f.column(x)
	}
	if f.compute == nil {
		return ofWords(parameters)
	}
	x := make([]float64, len(parameters))
	for i, p := range parameters {
		number, ok := p.(float64)
		if !ok {
			return nil, fmt.Errorf("a number is wanted, %T given", p)
		}
		x[i] = number
	}
	return f.compute(x)
}

func sum(x []float64) (float64, error) {
	total := 0.0
	for _, v := range x {
		total += v
	}
	return total, nil
}

func mean(x []float64) (float64, error) {
	total, _ := sum(x)
	return total / float64(len(x)), nil
}

// sd is the standard deviation of single values, n - 1.
func sd(x []float64) (float64, error) {
	if len(x) < 2 {
		return 0, errors.New("a standard deviation needs two filled rows")
	}
	m, _ := mean(x)
	squares := 0.0
	for _, v := range x {
		squares += (v - m) * (v - m)
	}
	return math.Sqrt(squares / float64(len(x)-1)), nil
}

func sumSquares(x []float64) (float64, error) {
	total := 0.0
	for _, v := range x {
		total += v * v
	}
	return total, nil
}

func largest(x []float64) (float64, error) {
	best := x[0]
	for _, v := range x {
		best = max(best, v)
	}
	return best, nil
}

func smallest(x []float64) (float64, error) {
	best := x[0]
	for _, v := range x {
		best = min(best, v)
	}
	return best, nil
}

// RoundUp rounds up to a whole number, taking x within Slack of a whole as that whole.
//
// Range: any finite x. Source: arithmetic.
func RoundUp(x float64) float64 {
	if w := math.Round(x); math.Abs(x-w) <= Slack*math.Max(1, math.Abs(x)) {
		return w
	}
	return math.Ceil(x)
}

// RoundDown rounds down to a whole number, taking x within Slack of a whole as that whole.
//
// Range: any finite x. Source: arithmetic.
func RoundDown(x float64) float64 { return 0 - RoundUp(-x) }

// comparing are the signs of comparisons with their functions, which tolerate binary rounding.
var comparing = map[string]struct {
	word    string
	compare func(a, b float64) bool
}{
	"<=": {"at_most_", func(a, b float64) bool { return a <= b || close(a, b) }},
	">=": {"at_least_", func(a, b float64) bool { return a >= b || close(a, b) }},
	"<":  {"below_", func(a, b float64) bool { return a < b && !close(a, b) }},
	">":  {"above_", func(a, b float64) bool { return a > b && !close(a, b) }},
	"==": {"equal_", close},
	"!=": {"unlike_", func(a, b float64) bool { return !close(a, b) }},
}

// What expr is told of every formula; it only reads these tables.
var (
	builtins    = conf.FunctionsTable{} // our functions and those of signs
	disabled    = map[string]bool{}     // all of expr's own
	comparisons []expr.Option           // lets expr use those of signs
)

func init() {
	for name, f := range functions {
		builtins[name] = &builtin.Function{Name: name, Func: f.run}
	}
	pair := reflect.TypeFor[func(a, b float64) bool]()
	for sign, s := range comparing {
		builtins[s.word] = &builtin.Function{Name: s.word, Types: []reflect.Type{pair}, Func: func(p ...any) (any, error) {
			return s.compare(p[0].(float64), p[1].(float64)), nil
		}}
		comparisons = append(comparisons, expr.Operator(sign, s.word))
	}
	for _, f := range builtin.Builtins {
		disabled[f.Name] = true
	}
}

// closedDown leaves expr nothing but our functions.
func (all Functions) closedDown(c *conf.Config) {
	c.Functions, c.Disabled = builtins, disabled
	if all.table != nil {
		c.Functions = all.table
	}
}

// callable names every function a formula may call.
func (all Functions) callable() string {
	if all.names == "" {
		return functionList
	}
	return all.names
}

func close(a, b float64) bool {
	return math.Abs(a-b) <= Slack*math.Max(math.Abs(a), math.Abs(b))
}
