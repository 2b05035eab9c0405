package calc_test

import (
	"encoding/csv"
	"go/ast"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// listedPackages are the leaves whose exported functions must each say what they were held
// against. calc/limits is not listed: it checks and computes nothing.
var listedPackages = []string{"protocols/quantity", "calc/seawater", "calc/culture", "calc/dose", "calc/counts", "calc/stats"}

const coverageTable = "../testdata/reference/coverage.csv"

// Kinds of check, as the column check begins. The first two are outside checks: the number
// was made by other people or another program. A row says "none" when nobody looked.
var checkKinds = []string{"reference", "published example", "property", "worked by hand", "none"}

// coverageRow is one exported function and what its result was held against.
type coverageRow struct{ function, kind, words, source, test string }

// TestEveryFunctionSaysWhatItWasHeldAgainst keeps coverage.csv and the code in step. That a
// row is true was seen to by reading the test; that the test is there and knows the function
// is seen to here.
func TestEveryFunctionSaysWhatItWasHeldAgainst(t *testing.T) {
	rows := readCoverage(t)
	written := exportedFunctions(t)
	for _, function := range written {
		if _, listed := rows[function]; !listed {
			t.Errorf("%s is not in %s; say there what it was held against", function, coverageTable)
		}
	}
	byKind := map[string]int{}
	for function, row := range rows {
		byKind[row.kind]++
		if !slices.Contains(written, function) {
			t.Errorf("%s is in %s and no longer in the code; take the row out", function, coverageTable)
			continue
		}
		row.check(t)
	}
	outside := byKind["reference"] + byKind["published example"]
	t.Logf("%d exported functions; held against other people's numbers: %d; %v", len(written), outside, byKind)
}

func readCoverage(t *testing.T) map[string]coverageRow {
	t.Helper()
	file, err := os.Open(coverageTable)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(lines[0], ","); got != "function,check,source,test" {
		t.Fatalf("columns %s", got)
	}
	rows := map[string]coverageRow{}
	for i, line := range lines[1:] {
		kind, words, ok := strings.Cut(line[1], ": ")
		if !ok || !slices.Contains(checkKinds, kind) || line[2] == "" {
			t.Errorf("line %d: check %q must begin with one of %q and a colon, and source must say something", i+2, line[1], checkKinds)
		}
		if _, twice := rows[line[0]]; twice {
			t.Errorf("line %d: %s stands twice", i+2, line[0])
		}
		rows[line[0]] = coverageRow{line[0], kind, words, line[2], line[3]}
	}
	return rows
}

// check looks whether the test named is there and knows the function or, for a method, its
// type, and whether the reference table named is there.
func (r coverageRow) check(t *testing.T) {
	t.Helper()
	if r.kind == "none" {
		return
	}
	text, err := os.ReadFile(filepath.Join("..", r.test))
	if err != nil || !strings.HasSuffix(r.test, "_test.go") {
		t.Errorf("%s: test %q: %v", r.function, r.test, err)
		return
	}
	_, name, _ := strings.Cut(r.function, ".")
	known := false
	for _, word := range strings.Split(name, ".") {
		known = known || regexp.MustCompile(`\b`+word+`\b`).Match(text)
	}
	if !known && !strings.Contains(r.source, "through ") {
		t.Errorf("%s: %s never names it, and the source does not say through what it is tested", r.function, r.test)
	}
	if r.kind == "reference" {
		if _, err := os.Stat(filepath.Join("..", "testdata", "reference", r.words)); err != nil {
			t.Errorf("%s: %v", r.function, err)
		}
	}
}

// exportedFunctions lists package.Function and package.Type.Method of the listed packages.
func exportedFunctions(t *testing.T) []string {
	t.Helper()
	var names []string
	for _, name := range goFiles(t) {
		room := strings.TrimPrefix(filepath.ToSlash(filepath.Dir(name)), "../")
		if !slices.Contains(listedPackages, room) {
			continue
		}
		leaf := filepath.Base(room)
		file, _ := parsed(t, name)
		for _, declaration := range file.Decls {
			function, ok := declaration.(*ast.FuncDecl)
			if !ok || !function.Name.IsExported() {
				continue
			}
			receiver := receiverName(function)
			if receiver == "" {
				names = append(names, leaf+"."+function.Name.Name)
			} else if ast.IsExported(receiver) {
				names = append(names, leaf+"."+receiver+"."+function.Name.Name)
			}
		}
	}
	if len(names) < 100 { // there are over 160; a walk in the wrong place finds none
		t.Fatalf("only %d exported functions found", len(names))
	}
	return names
}

func receiverName(function *ast.FuncDecl) string {
	if function.Recv == nil {
		return ""
	}
	of := function.Recv.List[0].Type
	if pointer, ok := of.(*ast.StarExpr); ok {
		of = pointer.X
	}
	if name, ok := of.(*ast.Ident); ok {
		return name.Name
	}
	return ""
}
