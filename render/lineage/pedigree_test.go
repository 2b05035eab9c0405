package lineage

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"spatsheet/calc/pedigree"
	"spatsheet/render/page"
)

func drawing(t *testing.T, list []planned, code string) *Drawing {
	t.Helper()
	l := traced(t, list)
	lots, marked := l.Lots, (*pedigree.Lot)(nil)
	if code != "" {
		marked, _ = l.Lot(code)
		lots = l.Relatives(marked)
	}
	d, err := Draw(l, lots, marked)
	if err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("PEDIGREE_OUT"); dir != "" { // to look at it
		keep(t, filepath.Join(dir, strings.ReplaceAll(t.Name(), "/", "_")), d)
	}
	return d
}

func keep(t *testing.T, name string, d *Drawing) {
	name = filepath.Join(filepath.Dir(name), strings.ReplaceAll(filepath.Base(name), " ", "_"))
	if err := os.WriteFile(name+".svg", []byte(svgOf(t, d)), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name+".pdf", pdfOf(t, d, "A4"), 0o644); err != nil {
		t.Fatal(err)
	}
}

func pdfOf(t *testing.T, d *Drawing, paper string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := d.WritePDF(&b, paper); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func svgOf(t *testing.T, d *Drawing) string {
	t.Helper()
	var b strings.Builder
	if err := d.WriteSVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestParentsStandLeft(t *testing.T) {
	d := drawing(t, twoGenerations(), "")
	for i, column := range d.lay.columns {
		for _, n := range column {
			for _, e := range n.from {
				if e.a.column != i-1 {
					t.Errorf("a line enters %s in column %d from column %d", n.code, i, e.a.column)
				}
			}
		}
	}
	last := ""
	for _, dates := range d.lay.dates {
		if first, _, _ := strings.Cut(dates, " to "); first != "" && first < last {
			t.Errorf("%s stands right of %s", first, last)
		} else {
			last = first
		}
	}
	if codes := strings.Join(codesOf(d), " "); !strings.Contains(codes, "(KS-24-G9)") || len(strings.Fields(codes)) != 23 {
		t.Errorf("drawn: %s", codes)
	}
}

// TestNothingOverlaps: no two boxes, and no box outside the drawing.
func TestNothingOverlaps(t *testing.T) {
	for _, code := range []string{"", "KS-26-R2", "KS-24-C1"} {
		t.Run("of "+code, func(t *testing.T) {
			d := drawing(t, twoGenerations(), code)
			for _, column := range d.lay.columns {
				for i, n := range column {
					if i > 0 && n.y-n.height/2 < column[i-1].y+column[i-1].height/2+rowGap-0.05 {
						t.Errorf("%q and %q overlap", column[i-1].code, n.code)
					}
				}
			}
			for _, m := range d.scene {
				if l, top, r, bottom := m.Extent(); l < 0 || top < 0 || r > d.width || bottom > d.height {
					t.Errorf("%+v lies outside %g x %g mm", m, d.width, d.height)
				}
			}
		})
	}
}

// TestShapesDiffer: each group by its outline or its stroke, with all colour taken away.
func TestShapesDiffer(t *testing.T) {
	seen := map[string]pedigree.Group{}
	for _, g := range groups {
		n := &node{height: 15}
		if g.group != "" {
			n.lot = &pedigree.Lot{Group: g.group}
		}
		shape := n.box(0, 0)[0].(page.Path)
		key := fmt.Sprint(shape.Points, shape.Pen.Dash)
		if other, twice := seen[key]; twice {
			t.Errorf("%q is drawn like %q", g.group, other)
		}
		seen[key] = g.group
	}
	dashes := map[string]bool{}
	for _, dash := range strokes {
		dashes[fmt.Sprint(dash)] = true
	}
	if len(dashes) != 3 || len(seen) != 8 {
		t.Errorf("%d strokes of 3, %d shapes of 8", len(dashes), len(seen))
	}
}

func TestSameBytes(t *testing.T) {
	a, b := drawing(t, twoGenerations(), "KS-26-R2"), drawing(t, twoGenerations(), "KS-26-R2")
	if svgOf(t, a) != svgOf(t, b) {
		t.Error("two drawings of one lineage differ as SVG")
	}
	for _, paper := range []string{"A4", "Letter"} {
		first := pdfOf(t, a, paper)
		if !bytes.Equal(first, pdfOf(t, a, paper)) || !bytes.Equal(first, pdfOf(t, b, paper)) {
			t.Errorf("two drawings of one lineage differ as PDF on %s", paper)
		}
	}
	if err := a.WritePDF(io.Discard, "A5"); err == nil {
		t.Error("A5 was taken")
	}
}

// TestSVGIsXML also holds that names with signs of XML come through as they are, that the
// picture names nothing outside itself, and that all is black, white or the one grey.
func TestSVGIsXML(t *testing.T) {
	d := drawing(t, twoGenerations(), "KS-24-C1")
	l := traced(t, twoGenerations()[:3])
	lot, _ := l.Lot("KS-24-C1")
	lot.Founding.Site = `<b>"A & B's`
	hostile, err := Draw(l, l.Lots, lot)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		d    *Drawing
		want string
	}{{d, "KS-26-R2"}, {hostile, `<b>"A & B's`}} {
		var words strings.Builder
		decoder := xml.NewDecoder(strings.NewReader(svgOf(t, c.d)))
		for {
			token, err := decoder.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			switch token := token.(type) {
			case xml.CharData:
				words.Write(token)
			case xml.StartElement:
				for _, a := range token.Attr {
					if strings.HasSuffix(a.Name.Local, "href") || strings.Contains(a.Value, "url(") {
						t.Errorf("names something outside: %v", a)
					}
					if (a.Name.Local == "fill" || a.Name.Local == "stroke") && !slices.Contains([]string{"#000000", "#ffffff", "none", "#e2e2e2"}, a.Value) {
						t.Errorf("colour %v", a.Value)
					}
				}
			}
		}
		if !strings.Contains(words.String(), c.want) {
			t.Errorf("%q is not in the picture", c.want)
		}
	}
	if numbers := regexp.MustCompile(`NaN|Inf`).FindString(svgOf(t, d)); numbers != "" {
		t.Errorf("%s in the picture", numbers)
	}
}

func TestFewBatchesTakeOnePage(t *testing.T) {
	one := drawing(t, line(2024, 1)[:5], "")
	if _, tiles := one.tiles(297, 210); len(tiles) != 1 {
		t.Errorf("five batches take %d tiles", len(tiles))
	}
}

// TestTextsOfABoxAreWhole: long texts go on in the next line, codes are never cut, and no
// line leaves its box.
func TestTextsOfABoxAreWhole(t *testing.T) {
	long := "2026-02-14  F1 if the first parents were wild  rev. 2"
	for _, c := range []struct {
		group       pedigree.Group
		code        string
		lines, want []string
		pt          float64
	}{
		{pedigree.Kept, "KS-26-01", []string{long}, []string{"KS-26-01", "2026-02-14 F1 if the first", "parents were wild rev. 2"}, codePt},
		{pedigree.Spawned, "KS-26-01", []string{long}, []string{"KS-26-01", "2026-02-14 F1 if the first", "parents were wild rev. 2"}, codePt},
		{pedigree.Kept, "HL-27-01-ACCLIMATION", []string{"broodstock-acclimation@1.10.100"},
			[]string{"HL-27-01-ACCLIMATION", "broodstock-acclimation", "@1.10.100"}, codePt},
		{pedigree.Released, "HL-27-01-COLLECTION", nil, []string{"HL-27-01-COLLECTION"}, leastCodePt},
		{pedigree.Released, "HL-27-01-ACCLIMATION", []string{"broodstock-acclimation@1.10.100"},
			[]string{"HL-27-01-", "ACCLIMATION", "broodstock-acclimation", "@1.10.100"}, leastCodePt},
		{pedigree.Kept, "WWWWWWWWWWWWWWWWWWWW", nil, []string{"WWWWWWWWWWWWWW", "WWWWWW"}, leastCodePt},
		{pedigree.Kept, "KS-26-01", []string{strings.Repeat("a shore of many coves ", 9)},
			[]string{"KS-26-01", "a shore of many coves a shore", "of many coves a shore of many", "coves a shore of many coves…"}, codePt},
	} {
		n := &node{lot: &pedigree.Lot{Group: c.group}, code: c.code, lines: slices.Clone(c.lines)}
		n.sized()
		var got []string
		for _, m := range n.box(0, 0) {
			if w, ok := m.(page.Words); ok {
				got = append(got, w.Text)
				if l, top, r, bottom := m.Extent(); l < n.inset() || r > boxWidth-n.inset() || top < 0 || bottom > n.height {
					t.Errorf("%q leaves a box of %g mm: %g to %g mm", w.Text, n.height, top, bottom)
				}
			}
		}
		if !slices.Equal(got, c.want) || n.headPt != c.pt {
			t.Errorf("got %q at %g pt, want %q at %g pt", got, n.headPt, c.want, c.pt)
		}
	}
}

// TestTextOfPDF reads the page back, where the program for it is there.
func TestTextOfPDF(t *testing.T) {
	program, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("pdftotext is missing")
		}
		t.Skip("pdftotext is not here")
	}
	d := drawing(t, twoGenerations(), "KS-25-R1")
	name := filepath.Join(t.TempDir(), "p.pdf")
	if err := os.WriteFile(name, pdfOf(t, d, "A4"), 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(program, "-layout", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Lineage of KS-25-R1", "KS-24-C1", "shore-collection@1.0.0", "not collected", "from the shore",
		"page 1 of", "2024-01-04", "what the parent had left", "4.015 × 10¹⁰ cells"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("%q is not on the page", want)
		}
	}
}

func TestDrawRefusesNothing(t *testing.T) {
	if _, err := Draw(&pedigree.Lineage{}, nil, nil); err == nil || !strings.Contains(err.Error(), "no batch to draw") {
		t.Errorf("got %v", err)
	}
	if w := math.Round(legendWidth); w > 279 { // Letter, landscape
		t.Errorf("the legend is %g mm wide", w)
	}
}

// codesOf lists the batches drawn, by column from the left and row from the top; a batch
// named and not collected stands in brackets.
func codesOf(d *Drawing) []string {
	var out []string
	for _, column := range d.lay.columns {
		var codes []string
		for _, n := range column {
			if !n.bend {
				codes = append(codes, n.name())
			}
		}
		out = append(out, strings.Join(codes, " "))
	}
	return out
}

// name is the batch's code, in brackets when it is not collected.
func (n *node) name() string {
	if n.lot == nil {
		return "(" + n.code + ")"
	}
	return n.code
}
