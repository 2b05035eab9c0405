package formula

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/builtin"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/parser"

	"spatsheet/protocols/quantity"
)

// Words that stand in the unit of an argument for what is put in, the same in all
// arguments of one call and in its result.
const (
	Thing = "thing" // a counted thing, or a pure number: "thing/mL"
	Any   = "any"   // any quantity but a reading in °C, in base units: "any/h"
)

// Function is a function from outside that formulas may call: a calculation of the trade
// with its units, range and source. The zero value of a limit that is not wanted is set by
// math.Inf.
type Function struct {
	Name      string // as called in a formula
	Says      string // what it computes, in one line
	Arguments []Argument
	Rest      bool   // the last argument may be given more than once
	Result    string // unit of the result
	Source    string
	Working   string // the arithmetic in it, a formula over the names of the arguments; empty for a function too long for a line
	Call      func(x []float64) (float64, error)

	result   measure
	measures []measure
	working  ast.Node
}

// Argument is one argument of a Function, in order.
type Argument struct {
	Name      string
	Unit      string  // Call takes it in this unit
	Low, High float64 // limits in that unit
	Open      bool    // Low itself is not allowed
	Whole     bool    // a whole number
}

// Functions are the functions from outside that the formulas of a protocol may call, ready
// for use. The zero value has none: formulas then know their own arithmetic only.
type Functions struct {
	list   []*Function
	byName map[string]*Function
	table  conf.FunctionsTable
	names  string // of all functions, in words
}

// NewFunctions makes a list of functions ready for use.
//
// Error: a name that is taken, a unit that cannot be read, or a working that is no formula.
func NewFunctions(list ...Function) (Functions, error) {
	all := Functions{byName: map[string]*Function{}, table: maps.Clone(builtins)}
	for i := range list {
		f := &list[i]
		if _, taken := all.table[f.Name]; taken {
			return Functions{}, fmt.Errorf("function %s: the name is taken; choose another", f.Name)
		}
		if err := f.prepare(); err != nil {
			return Functions{}, fmt.Errorf("function %s: %w", f.Name, err)
		}
		all.list, all.byName[f.Name] = append(all.list, f), f
		all.table[f.Name] = &builtin.Function{Name: f.Name, Func: f.run}
	}
	names := slices.Sorted(maps.Keys(functions))
	for _, f := range all.list {
		names = append(names, f.Name)
	}
	all.names = strings.Join(names, ", ")
	return all, nil
}

// List gives the functions in the order in which they were handed to NewFunctions.
func (all Functions) List() []*Function { return all.list }

// Has says whether a name is that of a function, one of these or of the closed arithmetic.
func (all Functions) Has(name string) bool {
	_, own := functions[name]
	return own || all.byName[name] != nil
}

func (f *Function) prepare() (err error) {
	for _, a := range f.Arguments {
		m, err := parseMeasure(a.Unit)
		if err != nil {
			return fmt.Errorf("argument %s: %w", a.Name, err)
		}
		f.measures = append(f.measures, m)
	}
	if f.result, err = parseMeasure(f.Result); err != nil {
		return err
	}
	if f.Working == "" {
		return nil
	}
	tree, err := parser.Parse(f.Working)
	if err != nil {
		return fmt.Errorf("its working: %w", parseError(err))
	}
	f.working = tree.Node
	return nil
}

// Signature is the call as an author writes it: flow(change, rate, volume).
func (f *Function) Signature() string {
	names := make([]string, len(f.Arguments))
	for i, a := range f.Arguments {
		names[i] = a.Name
	}
	rest := ""
	if f.Rest {
		rest = ", ..."
	}
	return f.Name + "(" + strings.Join(names, ", ") + rest + ")"
}

// argument is the argument at a place of a call.
func (f *Function) argument(i int) (*Argument, *measure) {
	i = min(i, len(f.Arguments)-1)
	return &f.Arguments[i], &f.measures[i]
}

// outside holds a call of a function from outside against its arguments.
func (w *walker) outside(n ast.Node, f *Function, arguments []ast.Node) (kind, error) {
	if len(arguments) < len(f.Arguments) || (len(arguments) > len(f.Arguments) && !f.Rest) {
		return kind{}, w.fail(n, "%s takes %d value(s), %d given; write %s", f.Name, len(f.Arguments), len(arguments), f.Signature())
	}
	var stands quantity.Dimension
	bound := false
	for i, given := range arguments {
		k, err := w.number(given)
		if err != nil {
			return kind{}, err
		}
		a, m := f.argument(i)
		if err := w.inLimits(given, f, a); err != nil {
			return kind{}, err
		}
		if !k.zero && !m.holds(k.dimension, &stands, &bound) {
			return kind{}, w.fail(given, "%s wants its argument %s in %s, this is a %s%s",
				f.Name, a.Name, m.wanted(stands, bound), k.dimension, inUnit(k.dimension))
		}
	}
	d, err := f.result.dimension(stands)
	if err != nil {
		return kind{}, w.fail(n, "%s", err)
	}
	w.calls = true
	return kind{dimension: d}, nil
}

// inLimits refuses a number written into the formula that the function will not take.
func (w *walker) inLimits(n ast.Node, f *Function, a *Argument) error {
	var x float64
	switch v := n.(type) {
	case *ast.IntegerNode:
		x = float64(v.Value)
	case *ast.FloatNode:
		x = v.Value
	default:
		return nil
	}
	if err := a.check(x); err != nil {
		return w.fail(n, "%s: %s", f.Name, err)
	}
	return nil
}

// check refuses a value, in the argument's unit, outside its limits.
func (a *Argument) check(x float64) error {
	unit := ""
	if a.Unit != "1" && a.Unit != Thing && a.Unit != Any {
		unit = " " + a.Unit
	}
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return fmt.Errorf("%s is not a finite number", a.Name)
	case a.Whole && !close(x, math.Round(x)):
		return fmt.Errorf("%s: %g is not a whole number", a.Name, x)
	case x < a.Low || x > a.High || (a.Open && x == a.Low):
		return fmt.Errorf("%s: %g%s is out of range; it must be %s%s", a.Name, x, unit, a.Limits(), unit)
	}
	return nil
}

// settled takes a value within Slack of a limit, or of a whole number where one is wanted,
// for that: 30 µm is 29.999999999999996 µm when it comes back from base units.
func (a *Argument) settled(x float64) float64 {
	near := []float64{a.Low, a.High}
	if a.Whole {
		near = append(near, math.Round(x))
	}
	for _, n := range near {
		if !math.IsInf(x, 0) && !math.IsInf(n, 0) && n != 0 && close(x, n) {
			return n
		}
	}
	return x
}

// Limits says in words where an argument may lie.
func (a *Argument) Limits() string {
	least := "at least "
	if a.Open {
		least = "above "
	}
	switch {
	case math.IsInf(a.Low, -1) && math.IsInf(a.High, 1):
		return "any number"
	case math.IsInf(a.High, 1):
		return least + quantity.FormatNumber(a.Low, 0)
	case math.IsInf(a.Low, -1):
		return "at most " + quantity.FormatNumber(a.High, 0)
	}
	return least + quantity.FormatNumber(a.Low, 0) + " and at most " + quantity.FormatNumber(a.High, 0)
}

// run turns base units into those of the arguments, holds them against the limits, calls,
// and turns the result back.
func (f *Function) run(parameters ...any) (any, error) {
	x := make([]float64, len(parameters))
	for i, p := range parameters {
		base, ok := p.(float64)
		if !ok {
			return nil, fmt.Errorf("%s: a number is wanted, %T given", f.Name, p)
		}
		a, m := f.argument(i)
		x[i] = a.settled(m.unit.FromBase(base))
		if err := a.check(x[i]); err != nil {
			return nil, fmt.Errorf("%s: %w", f.Name, err)
		}
	}
	y, err := f.Call(x)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name, err)
	}
	return f.result.unit.Base(y), nil
}
