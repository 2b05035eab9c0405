package main

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"spatsheet/cmd/station"
	"spatsheet/templates"
)

// askMemory asks the program to say at its end how much memory it had in use at most.
const askMemory = "SPATSHEET_TELL_MEMORY"

// tellMemory prints VmHWM of this process, on Linux.
func tellMemory() {
	if os.Getenv(askMemory) == "" {
		return
	}
	if status, err := os.ReadFile("/proc/self/status"); err == nil {
		fmt.Fprintf(os.Stderr, "%s\n", memoryLine.Find(status))
	}
}

var memoryLine = regexp.MustCompile(`VmHWM:\s*([0-9]+) kB`)

// The bounds are generous: the figures are in the test's log, see testdata/README.md. What
// they keep out is growth without end.
const (
	mostMemoryMB = 1000
	mostSeconds  = 60
)

// TestHostileFilesTakeBoundedMemory reads the worst texts of the largest size taken, and
// workbooks that unpack to as much as is taken, each in a process of its own. Each must be
// answered with an exit code of ours, within bounds.
func TestHostileFilesTakeBoundedMemory(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("the memory of a process is read from /proc")
	}
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, station.SiteFile), templates.Site, 0o644); err != nil {
		t.Fatal(err)
	}
	for name, text := range hostileTexts() {
		t.Run("plan "+name, func(t *testing.T) {
			plan := filepath.Join(t.TempDir(), "plan.yaml")
			if err := os.WriteFile(plan, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
			bounded(t, len(text), "print", "-f", folder, plan)
		})
	}
	good := filledWith(t, hostileSheet(t, "memory"), nil)
	for name, change := range hostileWorkbooks() {
		t.Run("workbook "+name, func(t *testing.T) {
			book := filepath.Join(t.TempDir(), "book.xlsx")
			content := change(t, good)
			if err := os.WriteFile(book, content, 0o644); err != nil {
				t.Fatal(err)
			}
			bounded(t, len(content), "check", book)
		})
	}
}

// bounded runs the program and holds its memory and time against the bounds.
func bounded(t *testing.T, size int, arguments ...string) {
	t.Helper()
	c := exec.Command("spatsheet", arguments...)
	c.Env = append(os.Environ(), askMemory+"=1")
	start := time.Now()
	timer := time.AfterFunc(mostSeconds*time.Second, func() { _ = c.Process.Kill() })
	out, err := c.CombinedOutput()
	timer.Stop()
	m := memoryLine.FindSubmatch(out)
	code := codeOf(err)
	if m == nil || code < exitGood || code > exitLog {
		t.Fatalf("exit code %d after %v: %.500s", code, time.Since(start).Round(time.Second), out)
	}
	kb, err := strconv.Atoi(string(m[1]))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d kB of file: %d MB, %.1f s, exit code %d", size>>10, kb>>10, time.Since(start).Seconds(), code)
	if kb>>10 > mostMemoryMB {
		t.Errorf("took %d MB, more than %d", kb>>10, mostMemoryMB)
	}
}

// hostileTexts have a megabyte or as many lines as are taken, whichever comes first.
func hostileTexts() map[string]string {
	lines := func(line string) string { return strings.Repeat(line, min(9_990, 1_000_000/len(line))) }
	var keys, steps strings.Builder
	for n := range 9_990 {
		fmt.Fprintf(&keys, "k%d: 1\n", n)
	}
	for n := range 1_400 {
		steps.WriteString(strings.Repeat(" ", n) + "a:\n")
	}
	return map[string]string{
		"anchors":               "a: " + strings.Repeat("&x ", 300_000),
		"aliases":               "a: " + strings.Repeat("*a ", 300_000),
		"tags":                  "a: " + strings.Repeat("!x ", 300_000),
		"colons":                "a: " + strings.Repeat("a: ", 300_000),
		"questions":             strings.Repeat("? ", 500_000),
		"lists in lists":        strings.Repeat("- ", 500_000),
		"lists in many lines":   lines(strings.Repeat("- ", 39) + "a\n"),
		"brackets side by side": "a: " + strings.Repeat("[],", 300_000),
		"a long flow map":       "a: {" + strings.Repeat("k: 1, ", 160_000) + "}",
		"keys":                  keys.String(),
		"indentation":           steps.String(),
		"block text":            "a: |\n" + lines(" "+strings.Repeat("x", 90)+"\n"),
		"folded text":           "a: >\n" + lines(" "+strings.Repeat("x", 90)+"\n"),
		"quoted text":           "a: \"" + strings.Repeat("x", 1_000_000),
		"empty lines":           strings.Repeat("\n", 1_000_000),
		"comments":              lines("# " + strings.Repeat("x", 90) + "\n"),
	}
}

// hostileWorkbooks change a good workbook.
func hostileWorkbooks() map[string]func(*testing.T, []byte) []byte {
	const part = 39 << 20 / 10 // a little less than a part may have
	sheet := "xl/worksheets/sheet2.xml"
	into := func(name, before, more string, bytes int) func(*testing.T, []byte) []byte {
		return func(t *testing.T, good []byte) []byte {
			return repacked(t, good, func(part, text string) string {
				if part != name {
					return text
				}
				if !strings.Contains(text, before) {
					t.Fatalf("%s has no %s", name, before)
				}
				return strings.Replace(text, before, strings.Repeat(more, bytes/len(more))+before, 1)
			})
		}
	}
	return map[string]func(*testing.T, []byte) []byte{
		"as it is":             func(_ *testing.T, good []byte) []byte { return good },
		"too much in a sheet":  into(sheet, "</sheetData>", `<row r="9999"><c r="A9999"><v>1</v></c></row>`, 15<<20),
		"spaces in a sheet":    into(sheet, "</worksheet>", " ", part),
		"rows in a sheet":      into(sheet, "</sheetData>", `<row r="9999"><c r="A9999"><v>1</v></c></row>`, part),
		"as many rows as may":  into(sheet, "</sheetData>", `<row r="9999"><c r="A9999"><v>1</v></c></row>`, 45*4_800),
		"cells in a row":       into(sheet, "</row>", `<c r="A9"><v>1</v></c>`, part),
		"empty rows":           into(sheet, "</sheetData>", `<row/>`, 95<<10),
		"the last cell":        into(sheet, "</sheetData>", `<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>`, 60),
		"shared strings":       into("xl/sharedStrings.xml", "</sst>", "<si><t>a</t></si>", part),
		"defined names":        into("xl/workbook.xml", "</definedNames>", `<definedName name="x">A!$A$1</definedName>`, part),
		"styles":               into("xl/styles.xml", "</cellXfs>", `<xf numFmtId="0"/>`, part),
		"merged cells":         into(sheet, "</worksheet>", `<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>`, part/20),
		"manifest's last cell": lastCellOfManifest,
		"many large parts": func(t *testing.T, good []byte) []byte {
			return repacked(t, good, func(name, text string) string {
				if strings.HasPrefix(name, "xl/worksheets/sheet") && strings.Contains(text, "</worksheet>") && len(name) < 26 && name <= "xl/worksheets/sheet4.xml" {
					return strings.Replace(text, "</sheetData>", strings.Repeat(`<row r="9999"><c r="A9999"><v>1</v></c></row>`, 7<<20/4/45)+"</sheetData>", 1)
				}
				return text
			})
		},
	}
}

// lastCellOfManifest puts a cell far out on the sheet that all rows are read of.
func lastCellOfManifest(t *testing.T, good []byte) []byte {
	return repacked(t, good, func(name, text string) string {
		if strings.HasPrefix(name, "xl/worksheets/sheet") && strings.Contains(text, "</sheetData>") {
			return strings.Replace(text, "</sheetData>", `<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>`, 1)
		}
		return text
	})
}

// repacked writes a workbook again with its parts changed.
func repacked(t *testing.T, content []byte, change func(name, text string) string) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	var buffer bytes.Buffer
	out := zip.NewWriter(&buffer)
	for _, p := range in.File {
		r, err := p.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		w, err := out.Create(p.Name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, change(p.Name, string(text))); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	return buffer.Bytes()
}
