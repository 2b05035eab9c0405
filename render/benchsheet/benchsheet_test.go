package benchsheet

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

// samples are the plans under testdata, by name.
var (
	samples   = []string{"spawn", "diatom"}
	paperSize = []string{"A4", "Letter"}
)

// scaled scales a plan of testdata at the invented station of testdata/site.yaml. change,
// if any, edits the protocol before scaling.
func scaled(t testing.TB, plan, paper string, change func(*protocols.Protocol)) *calc.Sheet {
	t.Helper()
	name := "testdata/" + plan + ".yaml"
	p, err := calc.ReadPlan(name, read(t, name))
	if err != nil {
		t.Fatal(err)
	}
	site, err := calc.ReadSite("testdata/site.yaml", read(t, "testdata/site.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	site.Paper = paper
	protocol, err := library.Load(p.Protocol, functions.All())
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(protocol)
	}
	sheet, err := calc.Scale(protocol, site, p)
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func printPDF(t testing.TB, sheet *calc.Sheet) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, sheet); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// tool finds a program the tests look at PDFs with: its absence fails where CI is set.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is missing; install it (Debian: poppler-utils, qpdf, zbar-tools)", name)
	}
	t.Skipf("%s is not installed: this test did not run", name)
	return ""
}

// saved puts a PDF where a program can open it.
func saved(t *testing.T, pdf []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(name, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func run(t *testing.T, name string, arguments ...string) string {
	t.Helper()
	var out, talk bytes.Buffer
	cmd := exec.Command(name, arguments...)
	cmd.Stdout, cmd.Stderr = &out, &talk
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %s: %v\n%s%s", name, strings.Join(arguments, " "), err, &out, &talk)
	}
	return out.String()
}

// sums is one line with the digest of every sample's PDF.
func sums(t testing.TB) string {
	var all []string
	for _, name := range samples {
		for _, paper := range paperSize {
			all = append(all, fmt.Sprintf("%x", sha256.Sum256(printPDF(t, scaled(t, name, paper, nil)))))
		}
	}
	return "sums " + strings.Join(all, " ")
}

// TestSameBytes prints every sample twice here and once in another process.
func TestSameBytes(t *testing.T) {
	first := sums(t)
	if os.Getenv("BENCHSHEET_OTHER_PROCESS") != "" {
		fmt.Println(first)
		return
	}
	if again := sums(t); again != first {
		t.Errorf("two prints in one process differ:\n%s\n%s", first, again)
	}
	other := exec.Command(os.Args[0], "-test.run=^TestSameBytes$", "-test.count=1")
	other.Env = append(os.Environ(), "BENCHSHEET_OTHER_PROCESS=1")
	out, err := other.Output()
	if err != nil {
		t.Fatalf("the other process: %v\n%s", err, out)
	}
	if !strings.Contains(string(out), first) {
		t.Errorf("another process prints other bytes:\n%s\n%s", first, out)
	}
}

// TestDifferentSheetsDiffer guards TestSameBytes against comparing nothing.
func TestDifferentSheetsDiffer(t *testing.T) {
	a, b := scaled(t, "spawn", "A4", nil), scaled(t, "spawn", "A4", nil)
	b.Plan.Note = "second tide"
	if bytes.Equal(printPDF(t, a), printPDF(t, b)) {
		t.Error("a note in the plan does not change the print")
	}
}

// TestSoundPDF has qpdf check the structure of every sample.
func TestSoundPDF(t *testing.T) {
	qpdf := tool(t, "qpdf")
	for _, name := range samples {
		for _, paper := range paperSize {
			run(t, qpdf, "--check", saved(t, printPDF(t, scaled(t, name, paper, nil))))
		}
	}
}

// TestPageCount keeps sheets from growing unnoticed; counted by eye on 2026-11-25.
func TestPageCount(t *testing.T) {
	for _, c := range []struct {
		plan     string
		from, to int
	}{{"spawn", 14, 19}, {"diatom", 9, 13}} {
		for _, paper := range paperSize {
			done := laidOut(t, scaled(t, c.plan, paper, nil))
			if len(done) < c.from || len(done) > c.to {
				t.Errorf("%s on %s: %d pages, expected %d to %d", c.plan, paper, len(done), c.from, c.to)
			}
		}
	}
}

// TestRefuses names what cannot be printed.
func TestRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*calc.Sheet)
		want   string
	}{
		{"paper", func(s *calc.Sheet) { s.Site.Paper = "A3" }, `there is no paper "A3"; write A4 or Letter`},
		{"endless name of a box", func(s *calc.Sheet) {
			s.Steps[0].Definition.Entries[0].Label = strings.Repeat("very long ", 3000)
		}, "does not fit on a page of A4; shorten the text"},
	} {
		t.Run(c.name, func(t *testing.T) {
			sheet := scaled(t, "spawn", "A4", nil)
			c.change(sheet)
			err := Write(&bytes.Buffer{}, sheet)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}
