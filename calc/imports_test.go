package calc_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// module is the name that imports of ours begin with.
const module = "spatsheet"

// leaves are the packages of the trade's science: plain numbers in, plain numbers out.
var leaves = []string{"calc/limits", "protocols/quantity", "calc/seawater", "calc/culture", "calc/dose", "calc/counts", "calc/stats"}

var protocolRooms = []string{"protocols", "protocols/document", "protocols/formula", "protocols/remedy", "protocols/spelling"}

// allCalc is every package under calc, for the rooms that draw what calc computed.
var allCalc = slices.Concat([]string{"calc", "calc/check", "calc/season", "calc/pedigree", "calc/schedule"}, leaves)

// mayImport says which packages of ours each package may import; a package that is not here
// is refused. cmd/station, which may import all of them, and cmd/spatsheet, which may import
// that too, are added by allowedIn.
var mayImport = map[string][]string{
	"calc/limits":        nil,
	"protocols/quantity": {"protocols/spelling"},
	"calc/seawater":      {"calc/limits"},
	"calc/culture":       {"calc/limits"},
	"calc/dose":          {"calc/limits"},
	"calc/stats":         {"calc/limits"},
	"calc/counts":        {"calc/limits", "calc/stats"},

	"protocols/spelling": nil,
	"protocols/remedy":   nil,
	"protocols/document": {"protocols/remedy", "protocols/spelling"},
	"protocols/formula":  {"protocols/quantity", "protocols/document", "protocols/spelling"},
	"protocols":          {"protocols/formula", "protocols/document", "protocols/quantity", "protocols/remedy", "protocols/spelling"},
	"protocols/library":  {"protocols", "protocols/formula"},

	"calc/functions": slices.Concat([]string{"protocols/formula"}, leaves),

	"calc":          slices.Concat(protocolRooms, leaves),
	"calc/check":    slices.Concat([]string{"calc"}, protocolRooms, leaves),
	"calc/example":  {"calc", "calc/check", "protocols/quantity", "protocols"},
	"calc/fixture":  {"calc", "calc/functions", "protocols", "protocols/library", "templates"}, // only tests may import it
	"calc/season":   slices.Concat([]string{"calc", "calc/check", "protocols"}, leaves),
	"calc/pedigree": slices.Concat([]string{"calc", "calc/check", "calc/season", "protocols", "protocols/remedy"}, leaves),
	"calc/schedule": slices.Concat([]string{"calc", "calc/season"}, protocolRooms, leaves),

	"render/style":      nil,
	"render/scratch":    nil, // only tests may import it
	"render/page":       {"render/style"},
	"render/benchsheet": onPaper,
	"render/labels":     onPaper,
	"render/report":     onPaper,
	"render/calendar":   onPaper,
	"render/lineage":    onPaper,
	"render/workbook":   drawing,
	"render/seasonlog":  drawing,
	"render/tables":     drawing,

	"cmd/station/demo": {"calc", "calc/example"},

	"templates": nil,
}

var drawing = slices.Concat([]string{"protocols", "protocols/remedy", "render/style"}, allCalc)

// onPaper are the forms that are made with the kit of render/page.
var onPaper = slices.Concat([]string{"render/page"}, drawing)

// station is the room between the commands and the house: it may import all below it.
const station = "cmd/station"

// testsOnly are the packages that only tests may import; no line of the table has them.
var testsOnly = []string{"calc/fixture", "render/scratch"}

// worldly is refused in calc and protocols: files, the network, other programs, databases,
// logs, and the libraries of paper, workbook and command line.
var worldly = []string{
	"os", "os/exec", "net", "database/sql", "log",
	"github.com/jung-kurt/gofpdf", "github.com/xuri/excelize", "github.com/urfave/cli",
}

// clockCalls are refused in calc and protocols: the caller passes the time.
var clockCalls = []string{"Now", "Since", "Until", "Sleep"}

// ownRandom are the functions of math/rand that do not use its package-level source.
var ownRandom = []string{"New", "NewSource", "NewZipf", "NewPCG", "NewChaCha8"}

// TestWhoMayImportWhom holds every file that is not a test against the tables above.
func TestWhoMayImportWhom(t *testing.T) {
	read := map[string]int{}
	for _, name := range goFiles(t) {
		room := strings.TrimPrefix(filepath.ToSlash(filepath.Dir(name)), "../")
		if room == "calc/referencetest" || room == "referencetest" {
			continue // opens files, for tests only: no line of the table lets a package import it
		}
		room = filepath.ToSlash(filepath.Dir(name))
		read[room]++
		file, fset := parsed(t, name)
		for _, fault := range faultsOf(room, file) {
			t.Errorf("%s: %s", fset.Position(fault.at), fault.says)
		}
	}
	for room := range mayImport {
		if read[room] == 0 && !unwritten[room] {
			t.Errorf("%s has a line in the table and no file; mark it unwritten, or take the line out", room)
		}
		if read[room] > 0 && unwritten[room] {
			t.Errorf("%s is written now; take it out of the unwritten", room)
		}
	}
	if read["cmd/spatsheet"] == 0 || read[station] == 0 {
		t.Errorf("no file of cmd/spatsheet or %s was read: the walk starts in the wrong place", station)
	}
}

// unwritten are the rooms planned without a file yet.
var unwritten = map[string]bool{}

type importFault struct {
	at   token.Pos
	says string
}

// faultsOf lists what a file of a room imports or calls and may not.
func faultsOf(room string, file *ast.File) []importFault {
	var faults []importFault
	pure := strings.HasPrefix(room+"/", "calc/") || strings.HasPrefix(room+"/", "protocols/")
	allowed, known := allowedIn(room)
	if !known {
		faults = append(faults, importFault{file.Name.Pos(), room + " is in no line of the table of who may import whom"})
	}
	for _, spec := range file.Imports {
		path, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			path = spec.Path.Value
		}
		ours, isOurs := strings.CutPrefix(path, module+"/")
		switch {
		case isOurs && known && !slices.Contains(allowed, ours):
			faults = append(faults, importFault{spec.Pos(), fmt.Sprintf("%s may not import %s", room, ours)})
		case pure && isWorldly(path):
			faults = append(faults, importFault{spec.Pos(),
				fmt.Sprintf("%s may not import %s: no files, network, clock, paper, workbook or command line there", room, path)})
		case pure && spec.Name != nil && spec.Name.Name == "." && (path == "time" || isRandom(path)):
			faults = append(faults, importFault{spec.Pos(), path + " under the name . hides which of its functions are called"})
		}
	}
	if pure {
		faults = append(faults, impureCalls(room, file)...)
	}
	if room == station {
		faults = append(faults, talking(room, file)...)
	}
	return faults
}

// talking finds in a room what speaks to people: the command line's library, stdout and
// stderr, and functions that print there.
func talking(room string, file *ast.File) []importFault {
	var faults []importFault
	packages := map[string]string{} // by the name it has in the file
	for _, spec := range file.Imports {
		path, _ := strconv.Unquote(spec.Path.Value)
		name := path[strings.LastIndex(path, "/")+1:]
		if spec.Name != nil {
			name = spec.Name.Name
		}
		packages[name] = path
		if strings.HasPrefix(path, "github.com/urfave/cli") || path == "log" || name == "." {
			faults = append(faults, importFault{spec.Pos(), fmt.Sprintf("%s may not import %s: commands and their words are above it", room, path)})
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		selector, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		from, ok := selector.X.(*ast.Ident)
		if !ok {
			return true
		}
		name := packages[from.Name] + "." + selector.Sel.Name
		if slices.Contains([]string{"os.Stdout", "os.Stderr", "os.Exit", "fmt.Print", "fmt.Println", "fmt.Printf"}, name) {
			faults = append(faults, importFault{n.Pos(), fmt.Sprintf("%s may not use %s; give the outcome back", room, name)})
		}
		return true
	})
	return faults
}

func allowedIn(room string) (allowed []string, known bool) {
	if room == "cmd/spatsheet" || room == station {
		for other := range mayImport {
			if !slices.Contains(testsOnly, other) {
				allowed = append(allowed, other)
			}
		}
		if room == "cmd/spatsheet" {
			allowed = append(allowed, station)
		}
		return allowed, true
	}
	allowed, known = mayImport[room]
	return allowed, known
}

func isWorldly(path string) bool {
	for _, w := range worldly {
		if path == w || strings.HasPrefix(path, w+"/") {
			return true
		}
	}
	return false
}

func isRandom(path string) bool { return path == "math/rand" || path == "math/rand/v2" }

// impureCalls finds uses of the clock and of package-level random numbers, under whatever name
// the package was imported.
func impureCalls(room string, file *ast.File) []importFault {
	clock, random := map[string]bool{}, map[string]bool{}
	for _, spec := range file.Imports {
		path, _ := strconv.Unquote(spec.Path.Value)
		name := strings.TrimSuffix(path, "/v2")
		name = name[strings.LastIndex(name, "/")+1:]
		if spec.Name != nil {
			name = spec.Name.Name
		}
		clock[name] = clock[name] || path == "time"
		random[name] = random[name] || isRandom(path)
	}
	var faults []importFault
	ast.Inspect(file, func(n ast.Node) bool {
		selector, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		from, ok := selector.X.(*ast.Ident)
		if !ok {
			return true
		}
		called := selector.Sel.Name
		if clock[from.Name] && slices.Contains(clockCalls, called) {
			faults = append(faults, importFault{n.Pos(), fmt.Sprintf("%s may not call time.%s; take the time as an argument", room, called)})
		}
		if random[from.Name] && !slices.Contains(ownRandom, called) && isFunctionName(called) {
			faults = append(faults, importFault{n.Pos(), fmt.Sprintf("%s may not call rand.%s; take a source as an argument", room, called)})
		}
		return true
	})
	return faults
}

// isFunctionName tells functions of math/rand from its types.
func isFunctionName(name string) bool {
	return !slices.Contains([]string{"Rand", "Source", "Source64", "Zipf", "PCG", "ChaCha8"}, name)
}

// goFiles lists the Go files of the repository that are no tests, relative to its top.
func goFiles(t *testing.T) []string {
	t.Helper()
	var names []string
	err := filepath.WalkDir("..", func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := entry.Name()
		if entry.IsDir() && (base == "testdata" || base == "vendor" || strings.HasPrefix(base, ".") && base != "..") {
			return fs.SkipDir
		}
		if !entry.IsDir() && strings.HasSuffix(base, ".go") && !strings.HasSuffix(base, "_test.go") {
			relative, err := filepath.Rel("..", path)
			names = append(names, relative)
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}

func parsed(t *testing.T, name string) (*ast.File, *token.FileSet) {
	t.Helper()
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, filepath.Join("..", name), nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	return file, fset
}

// TestImportRulesRefuse shows that each rule refuses what it is there for.
func TestImportRulesRefuse(t *testing.T) {
	cases := []struct{ name, room, source, want string }{
		{"a leaf on another", "calc/dose", `import _ "spatsheet/calc/stats"`, "calc/dose may not import calc/stats"},
		{"the command from below", "calc", `import _ "spatsheet/cmd/spatsheet"`, "calc may not import cmd/spatsheet"},
		{"paper on workbook", "render/benchsheet", `import _ "spatsheet/render/workbook"`, "render/benchsheet may not import render/workbook"},
		{"the fixture in a room", "render/labels", `import _ "spatsheet/calc/fixture"`, "render/labels may not import calc/fixture"},
		{"the folder in memory outside tests", "render/seasonlog", `import _ "spatsheet/render/scratch"`, "render/seasonlog may not import render/scratch"},
		{"the fixture in the command", "cmd/spatsheet", `import _ "spatsheet/calc/fixture"`, "cmd/spatsheet may not import calc/fixture"},
		{"files", "calc/check", `import _ "os"`, "calc/check may not import os"},
		{"a package under net", "protocols", `import _ "net/http"`, "protocols may not import net/http"},
		{"workbook library", "calc", `import _ "github.com/xuri/excelize/v2"`, "calc may not import github.com/xuri/excelize/v2"},
		{"a room without a line", "render/poster", ``, "render/poster is in no line"},
		{"the clock", "calc", "import \"time\"\nvar x = time.Now()", "calc may not call time.Now"},
		{"the clock by another name", "calc/season", "import clock \"time\"\nvar x = clock.Since", "calc/season may not call time.Since"},
		{"the clock without a name", "calc", "import . \"time\"\nvar x = Now()", "time under the name . hides"},
		{"chance", "protocols/formula", "import \"math/rand/v2\"\nvar x = rand.IntN(3)", "protocols/formula may not call rand.IntN"},
		{"time as a type", "calc", "import \"time\"\nvar x time.Time", ""},
		{"a source handed in", "calc", "import \"math/rand\"\nvar x *rand.Rand = rand.New(nil)", ""},
		{"the command from the station", station, `import _ "spatsheet/cmd/spatsheet"`, "cmd/station may not import cmd/spatsheet"},
		{"the command line in the station", station, `import _ "github.com/urfave/cli/v2"`, "cmd/station may not import github.com/urfave/cli/v2"},
		{"the screen in the station", station, "import \"os\"\nvar x = os.Stderr", "cmd/station may not use os.Stderr"},
		{"printing in the station", station, "import say \"fmt\"\nvar x = say.Println", "cmd/station may not use fmt.Println"},
		{"files in the station", station, "import \"os\"\nvar x = os.Open", ""},
		{"the station in the command", "cmd/spatsheet", `import _ "spatsheet/cmd/station"`, ""},
		{"the station from below", "render/report", `import _ "spatsheet/cmd/station"`, "render/report may not import cmd/station"},
		{"files in the command", "cmd/spatsheet", `import _ "os"`, ""},
		{"chance in the command", "cmd/spatsheet", "import \"time\"\nvar x = time.Now()", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			file, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x\n"+c.source, 0)
			if err != nil {
				t.Fatal(err)
			}
			var says []string
			for _, fault := range faultsOf(c.room, file) {
				says = append(says, fault.says)
			}
			got := strings.Join(says, "\n")
			if c.want == "" && got != "" || !strings.HasPrefix(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}
