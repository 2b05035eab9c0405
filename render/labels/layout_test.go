package labels

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/render/style"
)

// TestStocksFitTheirPaper holds the geometry of every stock: labels inside the paper, none
// over another.
func TestStocksFitTheirPaper(t *testing.T) {
	for _, s := range stocks {
		paper, err := fits(s)
		if err != nil {
			t.Error(err)
		}
		for n := range s.Labels() {
			x, y := place(s, n)
			if x < 0 || y < 0 || x+s.Width > paper.Width+0.01 || y+s.Height > paper.Height+0.01 {
				t.Errorf("%s: label %d is not on the paper", s.Name, n+1)
			}
			for m := range n {
				u, v := place(s, m)
				if math.Abs(x-u) < s.Width-1e-9 && math.Abs(y-v) < s.Height-1e-9 {
					t.Errorf("%s: label %d lies over label %d", s.Name, n+1, m+1)
				}
			}
		}
		right := paper.Width - s.Left - float64(s.Columns-1)*s.Across - s.Width
		if math.Abs(right-s.Left) > 0.02 { // sheets are symmetrical
			t.Errorf("%s: %g mm left of the labels, %g mm right", s.Name, s.Left, right)
		}
	}
}

type errorer interface {
	fataler
	Errorf(string, ...any)
}

// checkLabels holds every label to the rules: 2 mm free at its edges, 4 modules around its
// code, no line over another, the batch the largest.
func checkLabels(t errorer, sheet *calc.Sheet, stock calc.LabelStock) {
	cells, err := cellsOf(sheet, stock, 1)
	if err != nil {
		t.Fatal(err)
	}
	paper, err := style.PaperOf(stock.Paper)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cells {
		for _, r := range c.runs { // printers leave the paper's edge blank
			if c.x+r.x < 4.5-1e-9 || c.x+r.right() > paper.Width-4.5+1e-9 || c.y+r.y > paper.Height-4.5 {
				t.Errorf("%s: %q is too near to the paper's edge", stock.Name, r.text)
			}
		}
		if quiet := c.code.Border(c.side); c.x+c.codeX+c.side-quiet > paper.Width-4.5+1e-9 || c.y+c.codeY+quiet < 4.5-1e-9 {
			t.Errorf("%s: the code is too near to the paper's edge", stock.Name)
		}
		a, quiet := areaOf(stock), c.code.Border(c.side)
		if c.codeX < -1e-9 || c.codeY < -1e-9 || c.codeX+c.side > a.width+1e-9 || c.codeY+c.side > a.height+1e-9 || quiet < 4*leastModule-1e-9 {
			t.Errorf("%s: the code or its border leaves the label", stock.Name)
		}
		if c.codeX+quiet < 2 || c.codeX+c.side-quiet > a.width-2+1e-9 || c.codeY+quiet < 2 || c.codeY+c.side-quiet > a.height-2+1e-9 {
			t.Errorf("%s: the code is nearer than 2 mm to the edge", stock.Name)
		}
		for i, r := range c.runs {
			size := r.sizePt * style.PointMM
			if r.x < 2-1e-9 || r.right() > c.codeX+1e-6 || r.y-capital*size < 2-1e-9 || r.y+below*size > a.height-2+1e-6 {
				t.Errorf("%s: %q leaves its place", stock.Name, r.text)
			}
			if r.sizePt < 5 || i > 0 && r.sizePt > c.runs[0].sizePt && r.sizePt > titleSize.least+1e-9 {
				t.Errorf("%s: %q of %g points, the batch has %g", stock.Name, r.text, r.sizePt, c.runs[0].sizePt)
			}
			for _, o := range c.runs[:i] {
				if o.y != r.y && math.Abs(o.y-r.y) < capital*size {
					t.Errorf("%s: %q lies over %q", stock.Name, r.text, o.text)
				}
			}
		}
		if !strings.HasPrefix(c.runs[0].text, sheet.Plan.Batch) {
			t.Errorf("the first line is %q", c.runs[0].text)
		}
	}
}

func TestLayoutOfSamples(t *testing.T) {
	for name := range plans {
		for _, stock := range stocks {
			checkLabels(t, scaled(t, name), stock)
		}
	}
}

// TestLayoutOfAnyText has texts of any length wherever a protocol's or plan's author writes,
// and the longest batch codes.
func TestLayoutOfAnyText(t *testing.T) {
	text := rapid.StringOfN(rapid.RuneFrom([]rune("aeginrstMWµ²Ö -")), 1, 90, -1)
	spawning := scaled(t, "spawning")
	rapid.Check(t, func(r *rapid.T) {
		sheet := *spawning
		protocol := *sheet.Protocol
		sheet.Protocol = &protocol
		sheet.Plan.Batch = rapid.StringMatching(`[A-Z0-9W]{3,20}`).Draw(r, "batch")
		sheet.Plan.Species = text.Draw(r, "species")
		protocol.Stage, protocol.Title = text.Draw(r, "stage"), text.Draw(r, "title")
		sheet.Amounts = append([]calc.Amount(nil), spawning.Amounts...)
		for i := range sheet.Amounts {
			def := *sheet.Amounts[i].Definition
			def.Label = text.Draw(r, "label")
			sheet.Amounts[i].Definition = &def
		}
		checkLabels(r, &sheet, rapid.SampledFrom(stocks).Draw(r, "stock"))
	})
}

// TestShortenedIsMarked shortens what may be, and never a number, a version or a batch.
func TestShortenedIsMarked(t *testing.T) {
	sheet := scaled(t, "spawning")
	protocol := *sheet.Protocol
	sheet.Protocol = &protocol
	protocol.ID = strings.Repeat("limpet-", 30) + "spawning"
	sheet.Plan.Species = "Patella " + strings.Repeat("vulgatissima", 8)
	cells, err := cellsOf(sheet, stocks[3], 1)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, r := range cells[batchLabels].runs {
		all = append(all, r.text)
	}
	said := strings.Join(all, "|")
	for _, want := range []string{"KS-26-01|", "|Beaker 1 of 10|", "|1.5 L|", "|2026-02-14 18:00|", "…@1.0.0", "Patella vulgatissimavulg…"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not in %q", want, said)
		}
	}
}

// TestLeftOutIsSaid has five amounts on a low label.
func TestLeftOutIsSaid(t *testing.T) {
	sheet := scaled(t, "seeding")
	five := len(sheet.Vessels()[0].Amounts)
	cells, err := cellsOf(sheet, stocks[3], 1)
	if err != nil {
		t.Fatal(err)
	}
	printed := 0
	for _, r := range cells[batchLabels].runs {
		if r.bold && strings.ContainsAny(r.text, "L") && strings.ContainsAny(r.text[:1], "0123456789") || r.text == "39 plates" {
			printed++
		}
		if strings.HasPrefix(r.text, "+ ") {
			if want := "+ " + string(rune('0'+five-printed)) + " on the bench sheet"; r.text != want {
				t.Errorf("got %q after %d of %d", r.text, printed, five)
			}
			return
		}
	}
	t.Error("nothing says that amounts were left out")
}
