package workbook

import (
	"bytes"
	"flag"
	"fmt"
	"html"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc/fixture"
)

var update = flag.Bool("update", false, "write the golden listings again")

// listing tells everything of a workbook that people see or type into, one line for each
// cell: sheet, cell, kind, value, number format, whether it is open, validation.
func listing(t *testing.T, content []byte) string {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(content), excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := newReader(f)
	var out strings.Builder
	for _, sheet := range f.GetSheetList() {
		listSheet(t, &out, r, sheet)
	}
	for _, n := range f.GetDefinedName() {
		fmt.Fprintf(&out, "name\t%s\t%s\t%s\n", n.Name, n.Scope, n.RefersTo)
	}
	return out.String()
}

func listSheet(t *testing.T, out *strings.Builder, r *reader, sheet string) {
	t.Helper()
	visible, err := r.file.GetSheetVisible(sheet)
	must(t, err)
	dimension, err := r.file.GetSheetDimension(sheet)
	must(t, err)
	layout, err := r.file.GetPageLayout(sheet)
	must(t, err)
	words, err := r.file.GetHeaderFooter(sheet)
	must(t, err)
	fmt.Fprintf(out, "sheet\t%s\tvisible %t\t%s\tpaper %v\t%s\t%+v\n", sheet, visible, dimension, value(layout.Size),
		value(layout.Orientation), wordsOfPage(words))
	checks := validations(t, r.file, sheet)
	if sheet == manifestSheet { // TestBlankComesBack holds what it says
		return
	}
	listMarks(t, out, r.file, sheet)
	end, ok := parseArea("A1", dimension[strings.Index(dimension, ":")+1:])
	if !ok {
		t.Fatalf("dimension %q of %s", dimension, sheet)
	}
	for row := 1; row <= end.bottom; row++ {
		for col := 1; col <= end.right; col++ {
			listCell(t, out, r, target{sheet: sheet, ref: fmt.Sprint(column(col), row), row: row, col: col}, checks)
		}
	}
}

// listMarks tells which looks come and go where, by what formula.
func listMarks(t *testing.T, out *strings.Builder, f *excelize.File, sheet string) {
	t.Helper()
	marks, err := f.GetConditionalFormats(sheet)
	must(t, err)
	for _, cells := range slices.Sorted(maps.Keys(marks)) {
		for _, m := range marks[cells] {
			fmt.Fprintf(out, "%s\tmark %d\t%s\t%s%s\n", sheet, value(m.Format), cells, m.Criteria, m.Value)
		}
	}
}

func listCell(t *testing.T, out *strings.Builder, r *reader, at target, checks map[string]string) {
	t.Helper()
	if r.covered(t, at) {
		return
	}
	cell, err := r.cell(at)
	must(t, err)
	id, err := r.file.GetCellStyle(at.sheet, at.ref)
	must(t, err)
	style, err := r.file.GetStyle(id)
	must(t, err)
	open := style.Protection != nil && !style.Protection.Locked
	if cell.Text == "" && !open {
		return
	}
	state := map[bool]string{true: "open", false: "locked"}[open]
	kind := [...]string{"blank", "number", "text", "truth", "error"}[cell.Kind]
	formula := ""
	if cell.Formula != "" {
		formula = "\t=" + cell.Formula
	}
	fmt.Fprintf(out, "%s\t%s\t%s\t%q\t%s\t%s\t%s%s\n", at.sheet, at.ref, kind, cell.Text, cell.Format, state, checks[at.ref], formula)
}

// covered says whether a cell lies under another of its merged range.
func (r *reader) covered(t *testing.T, at target) bool {
	t.Helper()
	merged, err := r.isMerged(at)
	must(t, err)
	for _, a := range r.merged[at.sheet] {
		if merged && a.top == at.row && a.left == at.col {
			return false
		}
	}
	return merged
}

// validations tells each cell's validation.
func validations(t *testing.T, f *excelize.File, sheet string) map[string]string {
	t.Helper()
	all, err := f.GetDataValidations(sheet)
	must(t, err)
	out := map[string]string{}
	for _, v := range all {
		words := fmt.Sprintf("%s %s %q %q; %s %q; prompt %q", v.Type, v.Operator, html.UnescapeString(v.Formula1),
			v.Formula2, value(v.ErrorStyle), value(v.Error), value(v.Prompt))
		for part := range strings.FieldsSeq(v.Sqref) {
			from, to, isRange := strings.Cut(part, ":")
			if !isRange {
				to = from
			}
			a, ok := parseArea(from, to)
			if !ok {
				t.Fatalf("validation over %q", v.Sqref)
			}
			for row := a.top; row <= a.bottom; row++ {
				for col := a.left; col <= a.right; col++ {
					out[fmt.Sprint(column(col), row)] = words
				}
			}
		}
	}
	return out
}

func value[T any](p *T) T {
	var zero T
	if p == nil {
		return zero
	}
	return *p
}

func wordsOfPage(h *excelize.HeaderFooterOptions) [2]string {
	if h == nil {
		return [2]string{}
	}
	return [2]string{h.OddHeader, h.OddFooter}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestGoldenListing(t *testing.T) {
	for name := range plans {
		t.Run(name, func(t *testing.T) {
			sheet := sample(t, name)
			got := strings.ReplaceAll(listing(t, written(t, sheet)), sheet.Digest, "DIGEST")
			path := "../../testdata/golden/workbook/" + name + ".txt"
			if *update {
				must(t, os.MkdirAll("../../testdata/golden/workbook", 0o755))
				must(t, os.WriteFile(path, []byte(got), 0o644))
			}
			want, err := os.ReadFile(path)
			must(t, err)
			gotLines, wantLines := strings.Split(got, "\n"), strings.Split(string(want), "\n")
			for i := range max(len(gotLines), len(wantLines)) {
				if line(gotLines, i) != line(wantLines, i) {
					t.Fatalf("%s:%d: got\n%s\nwant\n%s\n(go test -update writes it again; look at the change)", path, i+1, line(gotLines, i), line(wantLines, i))
				}
			}
		})
	}
}

func line(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return "(nothing)"
}

// What every printed workbook must hold, beside looking as it did.
func TestOnlyBoxesAreOpenAndNothingIsRefused(t *testing.T) {
	for name := range plans {
		t.Run(name, func(t *testing.T) {
			sheet := sample(t, name)
			open := 0
			for text := range strings.Lines(listing(t, written(t, sheet))) {
				if strings.Contains(text, "\topen\t") {
					open++
					if !strings.Contains(text, "prompt \"") || strings.Contains(text, "; stop") {
						t.Errorf("a box without a prompt, or that refuses: %s", text)
					}
				}
			}
			if open != len(sheet.Boxes()) {
				t.Errorf("got %d open cells, want the %d boxes", open, len(sheet.Boxes()))
			}
		})
	}
}

// TestParentsStandOnTheFirstSheet, and the workbook comes back as without.
func TestParentsStandOnTheFirstSheet(t *testing.T) {
	for n, want := range map[int]string{0: "", 1: `"GC-26-01, revision 1"`, 2: `"GC-26-01, revision 1; GC-26-02, revision 2"`,
		9: `"GC-26-01, revision 1; GC-26-02, revision 2; GC-26-03, revision 3; GC-26-04, revision 4; ` +
			`GC-26-05, revision 5; GC-26-06, revision 6; GC-26-07, revision 7; GC-26-08, revision 8; 1 more: see the plan"`} {
		plan := plans["spawning"]
		var parents []string
		for i := range n {
			parents = append(parents, fmt.Sprintf("{batch: GC-26-0%d, revision: %d}", i+1, i+1))
		}
		if n > 0 {
			plan = plan.With("parents", "["+strings.Join(parents, ", ")+"]")
		}
		sheet := fixture.ShippedSheet(t, plan)
		content := written(t, sheet)
		got := ""
		for line := range strings.Lines(listing(t, content)) {
			if cells := strings.Split(line, "\t"); len(cells) > 3 && cells[0] == startSheet {
				if cells[3] == `"From"` {
					got = "next"
				} else if got == "next" {
					got = cells[3]
				}
			}
		}
		if got != want {
			t.Errorf("%d parents: got %s, want %s", n, got, want)
		}
		if filled := read(t, content); filled.Manifest.Digest != sheet.Digest || len(filled.Cells) != len(sheet.Boxes()) || len(filled.Lost)+len(filled.Changes) > 0 {
			t.Errorf("%d parents: read back %d boxes of %d, lost %v, changed %v", n, len(filled.Cells), len(sheet.Boxes()), filled.Lost, filled.Changes)
		}
	}
}
