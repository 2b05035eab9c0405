package formula

import (
	"fmt"
	"math"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"

	"spatsheet/protocols/quantity"
	"spatsheet/protocols/spelling"
)

// kind is what a part of a formula stands for.
type kind struct {
	dimension quantity.Dimension
	truth     bool
	column    bool
	text      bool
	zero      bool // the literal 0, which may stand beside any dimension
}

// walker works out the kind of every part of a formula, refusing what does not fit.
type walker struct {
	source    string
	scope     Scope
	functions Functions
	used      map[string]bool

	compares  bool            // with <, ==, and so on
	calls     bool            // a function from outside
	needsRows map[string]bool // columns that must have a filled row
}

func (w *walker) fail(n ast.Node, format string, args ...any) error {
	src := file.NewSource(w.source)
	bound := (&file.Error{Location: n.Location(), Message: fmt.Sprintf(format, args...)}).Bind(src)
	return &Error{max(bound.Line, 1), bound.Column + 1, bound.Message}
}

func (w *walker) kindOf(n ast.Node) (kind, error) {
	switch v := n.(type) {
	case *ast.IntegerNode:
		return w.literal(n, float64(v.Value))
	case *ast.FloatNode:
		return w.literal(n, v.Value)
	case *ast.IdentifierNode:
		return w.name(n, v.Value)
	case *ast.MemberNode:
		return w.member(v)
	case *ast.UnaryNode:
		return w.unary(v)
	case *ast.BinaryNode:
		return w.binary(v)
	case *ast.ConditionalNode:
		return w.conditional(v)
	case *ast.CallNode:
		if id, ok := v.Callee.(*ast.IdentifierNode); ok {
			return w.call(n, id.Value, v.Arguments)
		}
	case *ast.BuiltinNode:
		return w.call(n, v.Name, v.Arguments)
	}
	return kind{}, w.fail(n, "this cannot stand in a formula; use names, numbers, + - * / ^, comparisons, and/or/not, a "+
		"? b : c, and the functions %s", w.functions.callable())
}

func (w *walker) literal(n ast.Node, x float64) (kind, error) {
	if math.IsInf(x, 0) || math.Abs(x) > 1e15 {
		return kind{}, w.fail(n, "the number %g is too large; the most is 1e15", x)
	}
	return kind{zero: x == 0}, nil
}

func (w *walker) name(n ast.Node, name string) (kind, error) {
	known, ok := w.scope[name]
	if !ok {
		return kind{}, w.fail(n, "unknown name %q%s", name, w.suggest(name))
	}
	w.used[name] = true
	return kind{dimension: known.Dimension, column: known.Column, text: known.Text}, nil
}

func (w *walker) suggest(name string) string {
	var known []string
	for k := range w.scope {
		known = append(known, k)
	}
	sortStrings(known)
	if near, ok := spelling.Nearest(name, known); ok {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return "; declare it as a setting, an amount or an entry"
}

func (w *walker) member(v *ast.MemberNode) (kind, error) {
	group, ok1 := v.Node.(*ast.IdentifierNode)
	property, ok2 := v.Property.(*ast.StringNode)
	if !ok1 || !ok2 || v.Optional {
		return kind{}, w.fail(v, "a name has at most one dot, such as beaker.volume")
	}
	return w.name(group, group.Value+"."+property.Value)
}

// number works out a part that must be a number.
func (w *walker) number(n ast.Node) (kind, error) {
	k, err := w.kindOf(n)
	switch {
	case err != nil:
		return kind{}, err
	case k.truth:
		return kind{}, w.fail(n, "a number is wanted here, this is true or false")
	case k.text:
		return kind{}, w.fail(n, "these are words, not a number; use is(name, \"word\"), or tally(column, \"word\")")
	case k.column:
		return kind{}, w.fail(n, "this is a whole column; take sum, mean, largest, smallest, first, last or filled of it")
	}
	return k, nil
}

func (w *walker) truth(n ast.Node) error {
	k, err := w.kindOf(n)
	if err != nil {
		return err
	}
	if !k.truth {
		return w.fail(n, "true or false is wanted here, such as a comparison")
	}
	return nil
}

func (w *walker) unary(v *ast.UnaryNode) (kind, error) {
	switch v.Operator {
	case "not", "!":
		return kind{truth: true}, w.truth(v.Node)
	case "-", "+":
		return w.number(v.Node)
	}
	return kind{}, w.fail(v, "the sign %q is not used in formulas", v.Operator)
}

func (w *walker) binary(v *ast.BinaryNode) (kind, error) {
	switch v.Operator {
	case "and", "or", "&&", "||":
		if err := w.truth(v.Left); err != nil {
			return kind{}, err
		}
		return kind{truth: true}, w.truth(v.Right)
	}
	left, err := w.number(v.Left)
	if err != nil {
		return kind{}, err
	}
	right, err := w.number(v.Right)
	if err != nil {
		return kind{}, err
	}
	switch v.Operator {
	case "+", "-", "*", "/":
		return w.arithmetic(v, left, right)
	case "^", "**":
		return w.power(v, left, right)
	case "<", "<=", ">", ">=", "==", "!=":
		w.compares = true
		return kind{truth: true}, w.alike(v, left, right)
	}
	return kind{}, w.fail(v, "the sign %q is not used in formulas", v.Operator)
}

// alike refuses to compare unlike things; zero may be compared with anything.
func (w *walker) alike(n ast.Node, left, right kind) error {
	if left.zero || right.zero {
		return nil
	}
	if err := left.dimension.Comparable(right.dimension); err != nil {
		return w.fail(n, "%s", err)
	}
	return nil
}

func (w *walker) arithmetic(v *ast.BinaryNode, left, right kind) (kind, error) {
	if (v.Operator == "+" || v.Operator == "-") && (left.zero || right.zero) {
		if left.zero {
			return kind{dimension: right.dimension}, nil
		}
		return kind{dimension: left.dimension}, nil
	}
	operation := map[string]func(a, b quantity.Dimension) (quantity.Dimension, error){
		"+": quantity.Dimension.Plus, "-": quantity.Dimension.Minus,
		"*": quantity.Dimension.Times, "/": quantity.Dimension.Over,
	}[v.Operator]
	d, err := operation(left.dimension, right.dimension)
	if err != nil {
		return kind{}, w.fail(v, "%s", err)
	}
	return kind{dimension: d}, nil
}

func (w *walker) power(v *ast.BinaryNode, left, right kind) (kind, error) {
	if right.dimension != quantity.None {
		return kind{}, w.fail(v, "an exponent must be a pure number, this is a %s", right.dimension)
	}
	if left.dimension == quantity.None {
		return kind{}, nil
	}
	n, ok := v.Right.(*ast.IntegerNode)
	if !ok || n.Value < 1 || n.Value > 3 {
		return kind{}, w.fail(v, "a quantity with a unit can be raised to 1, 2 or 3 only")
	}
	d, err := left.dimension.Power(n.Value)
	if err != nil {
		return kind{}, w.fail(v, "%s", err)
	}
	return kind{dimension: d}, nil
}

func (w *walker) conditional(v *ast.ConditionalNode) (kind, error) {
	if err := w.truth(v.Cond); err != nil {
		return kind{}, err
	}
	left, err := w.number(v.Exp1)
	if err != nil {
		return kind{}, err
	}
	right, err := w.number(v.Exp2)
	if err != nil {
		return kind{}, err
	}
	if err := w.alike(v, left, right); err != nil {
		return kind{}, err
	}
	if left.zero {
		return right, nil
	}
	return left, nil
}
