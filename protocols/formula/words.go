package formula

import (
	"fmt"

	"github.com/expr-lang/expr/ast"
)

// word refuses anything but a word in quotes.
func (w *walker) word(n ast.Node, example string) error {
	if _, ok := n.(*ast.StringNode); !ok {
		return w.fail(n, "a word in quotes is wanted here, such as %s", example)
	}
	return nil
}

// isWord: is(decision, "go") is true when the entry says so.
func isWord(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	k, err := w.kindOf(arguments[0])
	if err != nil {
		return kind{}, err
	}
	if !k.text || k.column {
		return kind{}, w.fail(arguments[0], "is wants a choice or text entry, such as is(decision, \"go\")")
	}
	return kind{truth: true}, w.word(arguments[1], "is(decision, \"go\")")
}

// tallyWord: tally(animals.stage, "ripe") counts the rows that say so.
func tallyWord(w *walker, n ast.Node, arguments []ast.Node) (kind, error) {
	k, err := w.kindOf(arguments[0])
	if err != nil {
		return kind{}, err
	}
	if !k.text || !k.column {
		return kind{}, w.fail(arguments[0], "tally wants a column of choices or texts, such as tally(animals.stage, \"ripe\")")
	}
	return kind{}, w.word(arguments[1], "tally(animals.stage, \"ripe\")")
}

// ofWords computes the functions that take a word beside a value: as, is and tally.
func ofWords(parameters []any) (any, error) {
	want, _ := parameters[len(parameters)-1].(string)
	switch x := parameters[0].(type) {
	case float64: // as(x, "thing")
		return x, nil
	case string:
		return x == want, nil
	case []string:
		n := 0.0
		for _, s := range x {
			if s == want {
				n++
			}
		}
		return n, nil
	}
	return nil, fmt.Errorf("%T cannot be compared with a word", parameters[0])
}
