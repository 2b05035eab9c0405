// Package referencetest reads the outside check values of testdata/reference for the
// tests of the science packages. Nothing but tests imports it.
package referencetest

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"testing"
)

// Row is one line of a table: its cells by column name.
type Row struct {
	Line  int // from 1, the headings being line 1
	Cells map[string]string
}

// Origin is what a failing row prints, so that the reader knows whom to doubt.
func (r Row) Origin() string {
	return "source: " + r.Cells["source"] + "; method: " + r.Cells["method"]
}

// Read reads a table of testdata/reference and insists on source and method in every row.
func Read(t *testing.T, file string) []Row {
	t.Helper()
	f, err := os.Open(filepath.Join(folder(t), file))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []Row
	for i, line := range lines[1:] {
		row := Row{Line: i + 2, Cells: map[string]string{}}
		for c, name := range lines[0] {
			row.Cells[name] = line[c]
		}
		if row.Cells["source"] == "" || row.Cells["method"] == "" {
			t.Fatalf("%s:%d: source or method is empty", file, row.Line)
		}
		rows = append(rows, row)
	}
	return rows
}

// folder finds testdata/reference from a package's folder, where tests run.
func folder(t *testing.T) string {
	t.Helper()
	for dir := ".."; len(dir) < 20; dir = filepath.Join(dir, "..") {
		if found := filepath.Join(dir, "testdata", "reference"); isFolder(found) {
			return found
		}
	}
	t.Fatal("testdata/reference is not above this package")
	return ""
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}
