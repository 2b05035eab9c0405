package workbook

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// tool finds an office program. Where these tests must run (CI is set) a missing one fails.
func tool(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s isn't installed", strings.Join(names, ", "))
	}
	t.Skipf("%s isn't installed", strings.Join(names, ", "))
	return ""
}

// python finds a Python that has a module: Debian's own, for openpyxl and uno.
func python(t *testing.T, module string) string {
	t.Helper()
	for _, name := range []string{"/usr/bin/python3", "python3"} {
		if path, err := exec.LookPath(name); err == nil && exec.Command(path, "-c", "import "+module).Run() == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("no python3 with %s", module)
	}
	t.Skipf("no python3 with %s", module)
	return ""
}

func run(t *testing.T, name string, args ...string) {
	t.Helper()
	command := exec.Command(name, args...)
	command.WaitDelay = time.Second
	if out, err := command.CombinedOutput(); err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
}

func throughLibreOffice(t *testing.T, dir, path string) string {
	out := filepath.Join(dir, "back.xlsx")
	officeScript(t, "en-US", "resave_uno.py", path, filepath.Join(dir, "between.ods"), out)
	return out
}

func throughGnumeric(t *testing.T, dir, path string) string {
	out := filepath.Join(dir, "gnumeric.xlsx")
	run(t, tool(t, "ssconvert"), "-T", "Gnumeric_Excel:xlsx2", path, out)
	return out
}

func throughOpenpyxl(t *testing.T, dir, path string) string {
	return byScript(t, python(t, "openpyxl"), dir, path, map[string]any{})
}

// byScript fills a workbook by defined names with openpyxl.
func byScript(t *testing.T, interpreter, dir, path string, values map[string]any) string {
	out := filepath.Join(dir, "openpyxl.xlsx")
	run(t, interpreter, "testdata/fill_openpyxl.py", path, out, jsonFile(t, dir, values))
	return out
}

func jsonFile(t *testing.T, dir string, values map[string]any) string {
	t.Helper()
	text, err := json.Marshal(values)
	must(t, err)
	path := filepath.Join(dir, "values.json")
	must(t, os.WriteFile(path, text, 0o644))
	return path
}

// byName turns keys into defined names and times into day numbers.
func byName(t *testing.T, content []byte, values map[calc.Key]any) map[string]any {
	t.Helper()
	f, err := open(content, toWrite)
	must(t, err)
	defer f.Close()
	m, _, err := locate(f)
	must(t, err)
	out := map[string]any{}
	for _, n := range m.names {
		if n.Kind != kindEntry {
			continue
		}
		v := values[calc.Key(n.Of)]
		if at, ok := v.(time.Time); ok {
			v = serial(at, false)
		}
		out[n.Name] = v
	}
	return out
}

// TestFilledSurvivesASave fills every box, has an office program save the workbook, and
// wants the same back: values, amounts, identity.
func TestFilledSurvivesASave(t *testing.T) {
	programs := map[string]func(t *testing.T, dir, path string) string{
		"LibreOffice, to .ods and back": throughLibreOffice, "Gnumeric": throughGnumeric, "openpyxl": throughOpenpyxl,
	}
	for program, save := range programs {
		for name := range plans {
			t.Run(program+", "+name, func(t *testing.T) {
				sheet := sample(t, name)
				values := everyBox(sheet)
				dir := t.TempDir()
				path := filepath.Join(dir, "filled.xlsx")
				must(t, os.WriteFile(path, noted(t, filledIn(t, written(t, sheet), values)), 0o644))
				saved, err := os.ReadFile(save(t, dir, path))
				must(t, err)
				checkSaved(t, sheet, saved, values)
				checkMarked(t, saved)
			})
		}
	}
}

func checkSaved(t *testing.T, sheet *calc.Sheet, saved []byte, values map[calc.Key]any) {
	t.Helper()
	filled := read(t, saved)
	checkCells(t, filled, values)
	checkLocked(t, sheet, filled)
	if filled.Manifest.Plan != string(sheet.Plan.Text) || filled.Manifest.Site != string(sheet.Site.Text) || filled.Manifest.Digest != sheet.Digest {
		t.Error("the manifest did not come back as it was")
	}
	if len(filled.Changes) > 0 {
		t.Errorf("%d changes of what is printed that nobody made, the first: %+v", len(filled.Changes), filled.Changes[0])
	}
	for _, b := range sheet.Boxes() {
		cell := filled.Cells[b.Key]
		if isDate := b.Entry.Kind == "date" || b.Entry.Kind == "time"; cell.DateLike != isDate || cell.Percent || cell.Merged || cell.Hidden {
			t.Errorf("%s came back as %+v", b.Key, cell)
		}
	}
}

// ownNote is what a person wrote on two cells: one that gets a finding and one that doesn't.
const ownNote = "thermometer 2 & 3"

func noted(t *testing.T, content []byte) []byte {
	t.Helper()
	cell := read(t, content).Cells["water_salinity"]
	return edited(t, content, func(f *excelize.File) error {
		for _, at := range []string{cell.Ref, "A1"} {
			if err := f.AddComment(cell.Sheet, excelize.Comment{Cell: at, Author: "AB", Text: ownNote}); err != nil {
				return err
			}
		}
		return nil
	})
}

// checkMarked wants findings noted in what a program saved, and the person's notes kept.
func checkMarked(t *testing.T, saved []byte) {
	t.Helper()
	before := read(t, saved)
	cell := before.Cells["water_salinity"]
	finding := check.Finding{Level: "warning", Sheet: cell.Sheet, Ref: cell.Ref, Says: "out of range", Remedy: "look again"}
	marked, err := Annotate(saved, []check.Finding{finding})
	must(t, err)
	notes := notesOf(t, marked)
	if got := notes[finding.Place()]; !strings.Contains(got, "out of range") || !strings.Contains(got, ownNote) {
		t.Errorf("got note %q, want the finding and %q", got, ownNote)
	}
	if got := notes[cell.Sheet+"!A1"]; !strings.Contains(got, ownNote) || len(notes) != 2 {
		t.Errorf("got %d notes %q, want two", len(notes), notes)
	}
	if after := read(t, marked); !reflect.DeepEqual(after, before) {
		t.Errorf("the copy reads otherwise than what it was made of")
	}
}

// TestFilledByOpenpyxl fills a blank workbook with a script that knows only the names.
func TestFilledByOpenpyxl(t *testing.T) {
	interpreter := python(t, "openpyxl")
	sheet := sample(t, "spawning")
	values := everyBox(sheet)
	blank := written(t, sheet)
	dir := t.TempDir()
	path := filepath.Join(dir, "blank.xlsx")
	must(t, os.WriteFile(path, blank, 0o644))
	saved, err := os.ReadFile(byScript(t, interpreter, dir, path, byName(t, blank, values)))
	must(t, err)
	checkSaved(t, sheet, saved, values)
}

// TestFilledInLibreOffice fills the boxes in LibreOffice itself, where rows and a column
// are inserted, a sheet is renamed and another is moved before the workbook is saved.
func TestFilledInLibreOffice(t *testing.T) {
	dir := t.TempDir()
	sheet := sample(t, "spawning")
	values := everyBox(sheet)
	blank := written(t, sheet)
	in, out := filepath.Join(dir, "blank.xlsx"), filepath.Join(dir, "filled.xlsx")
	must(t, os.WriteFile(in, blank, 0o644))
	officeScript(t, "en-US", "fill_uno.py", in, out, jsonFile(t, dir, byName(t, blank, values)))
	saved, err := os.ReadFile(out)
	must(t, err)
	checkSaved(t, sheet, saved, values)
	for _, text := range told(t, saved) { // also with rows and a column inserted
		if n, all, _ := strings.Cut(text, " of "); !strings.HasPrefix(all, n+" filled, ") || !strings.HasSuffix(text, ", done") {
			t.Errorf("got progress %q, want all filled and done", text)
		}
	}
	if got := read(t, saved).Cells["water_ph"].Sheet; got != "beakers, Ann's" {
		t.Errorf("got sheet %q, want the new name", got)
	}
}
