package formula

import (
	"strconv"
	"strings"

	"github.com/expr-lang/expr/ast"
)

// signs are the operators as printed on a bench sheet, with their binding strength.
var signs = map[string]struct {
	print string
	binds int
}{
	"or": {"or", 1}, "||": {"or", 1}, "and": {"and", 2}, "&&": {"and", 2},
	"<": {"<", 3}, "<=": {"≤", 3}, ">": {">", 3}, ">=": {"≥", 3}, "==": {"=", 3}, "!=": {"≠", 3},
	"+": {"+", 4}, "-": {"−", 4}, "*": {"×", 5}, "/": {"÷", 5}, "^": {"^", 6}, "**": {"^", 6},
}

// write prints a part of a formula; around is the binding strength outside it.
func write(n ast.Node, show func(string) string, around int) string {
	switch v := n.(type) {
	case *ast.IntegerNode:
		return strconv.Itoa(v.Value)
	case *ast.FloatNode:
		return strconv.FormatFloat(v.Value, 'g', -1, 64)
	case *ast.IdentifierNode:
		return show(v.Value)
	case *ast.StringNode:
		return v.Value
	case *ast.MemberNode:
		return show(v.Node.(*ast.IdentifierNode).Value + "." + v.Property.(*ast.StringNode).Value)
	case *ast.UnaryNode:
		sign := map[string]string{"-": "−", "+": "+", "not": "not ", "!": "not "}[v.Operator]
		return sign + write(v.Node, show, 7)
	case *ast.BinaryNode:
		return writeBinary(v, show, around)
	case *ast.ConditionalNode:
		return "(" + write(v.Cond, show, 0) + " ? " + write(v.Exp1, show, 0) + " : " + write(v.Exp2, show, 0) + ")"
	case *ast.CallNode:
		return writeCall(nameOf(v), v.Arguments, show)
	case *ast.BuiltinNode:
		return writeCall(v.Name, v.Arguments, show)
	}
	return "?"
}

func writeBinary(v *ast.BinaryNode, show func(string) string, around int) string {
	sign := signs[v.Operator]
	// The right side of − and ÷ needs brackets where it binds no tighter.
	s := write(v.Left, show, sign.binds) + " " + sign.print + " " + write(v.Right, show, sign.binds+1)
	if sign.binds < around {
		return "(" + s + ")"
	}
	return s
}

func writeCall(name string, arguments []ast.Node, show func(string) string) string {
	parts := make([]string, len(arguments))
	for i, a := range arguments {
		parts[i] = write(a, show, 0)
	}
	switch name {
	case "as":
		return parts[0]
	case "is":
		return parts[0] + " = " + parts[1]
	}
	return name + "(" + strings.Join(parts, ", ") + ")"
}
