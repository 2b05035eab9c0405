package labels

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/render/style"
)

// sums is the bytes of every plan on two stocks, in short.
func sums(t *testing.T) string {
	var all []string
	for _, name := range slices.Sorted(maps.Keys(plans)) {
		for _, stock := range []int{0, 3} {
			pdf, _ := printPDF(t, scaled(t, name), stocks[stock], 2)
			all = append(all, fmt.Sprintf("%d:%x", len(pdf), sum(pdf)))
		}
	}
	return "sums " + strings.Join(all, " ")
}

// sum is FNV-1a, from memory: only equality counts.
func sum(b []byte) uint64 {
	h := uint64(14695981039346656037)
	for _, x := range b {
		h = (h ^ uint64(x)) * 1099511628211
	}
	return h
}

// TestSameBytes prints twice here and once in another process.
func TestSameBytes(t *testing.T) {
	first := sums(t)
	if os.Getenv("LABELS_OTHER_PROCESS") != "" {
		fmt.Println(first)
		return
	}
	if again := sums(t); again != first {
		t.Errorf("two prints in one process differ:\n%s\n%s", first, again)
	}
	other := exec.Command(os.Args[0], "-test.run=^TestSameBytes$", "-test.count=1")
	other.Env = append(os.Environ(), "LABELS_OTHER_PROCESS=1")
	out, err := other.Output()
	if err != nil || !strings.Contains(string(out), first) {
		t.Errorf("another process: %v\n%s\n%s", err, first, out)
	}
}

func TestPrintedTellsTheNextLabel(t *testing.T) {
	sheet := scaled(t, "gonads") // 2 of the batch; the animals to open below
	n := batchLabels + len(sheet.Vessels())
	for _, c := range []struct{ start, sheets, next int }{
		{1, 1, n + 1}, {24 - n + 1, 1, 1}, {24 - n + 2, 2, 2}, {24, 2, n},
	} {
		_, got := printPDF(t, sheet, stocks[0], c.start)
		if want := (Printed{n, c.sheets, c.next}); got != want {
			t.Errorf("from label %d: got %+v, want %+v", c.start, got, want)
		}
	}
}

// word is a word of a page as pdftotext finds it, in mm.
type word struct {
	text                     string
	left, top, right, bottom float64
}

var bbox = regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*)</word>`)

// TestWordsStayInTheirLabels reads the PDF back: every word stands inside one label, and
// every label says its batch.
func TestWordsStayInTheirLabels(t *testing.T) {
	for _, stock := range stocks {
		pdf, printed := printPDF(t, scaled(t, "spawning"), stock, 1)
		area := areaOf(stock)
		batches := 0
		for _, w := range wordsOf(t, pdf) {
			if w.text == "KS-26-01" {
				batches++
			}
			if !inOne(stock, area, w) {
				t.Errorf("%s: %q at %.1f to %.1f mm across, %.1f to %.1f mm down is in no label", stock.Name, w.text, w.left, w.right, w.top, w.bottom)
			}
		}
		if batches != printed.Labels {
			t.Errorf("%s: the batch stands on %d of %d labels", stock.Name, batches, printed.Labels)
		}
	}
}

func wordsOf(t *testing.T, pdf []byte) []word {
	var list []word
	for _, m := range bbox.FindAllStringSubmatch(call(t, tool(t, "pdftotext"), "-bbox", saved(t, pdf), "-"), -1) {
		var n [4]float64
		for i := range n {
			x, err := strconv.ParseFloat(m[i+1], 64)
			if err != nil {
				t.Fatal(err)
			}
			n[i] = x * style.PointMM
		}
		list = append(list, word{m[5], n[0], n[1], n[2], n[3]})
	}
	return list
}

// inOne tells whether a word stands inside the printed part of a label. pdftotext takes the
// height of the font for that of a word: a quarter of it is allowed above and below.
func inOne(stock calc.LabelStock, a area, w word) bool {
	slack := (w.bottom - w.top) / 4
	for n := range stock.Labels() {
		x, y := place(stock, n)
		if w.left >= x+a.acrossFree-0.1 && w.right <= x+a.width-a.acrossFree+0.1 &&
			w.top+slack >= y+a.aboveFree && w.bottom-slack <= y+a.height-a.aboveFree {
			return true
		}
	}
	return false
}

// TestCodesAreRead renders sheets as a printer of 300 dots an inch would, cuts the labels
// apart and has a decoder read each.
func TestCodesAreRead(t *testing.T) {
	render, decode := tool(t, "pdftoppm"), tool(t, "zbarimg")
	sheet := scaled(t, "spawning")
	var want []string
	for range batchLabels {
		want = append(want, "KS-26-01 "+sheet.Digest)
	}
	for _, v := range sheet.Vessels() {
		want = append(want, fmt.Sprintf("KS-26-01 %s %s.%d", sheet.Digest, v.Count, v.Number))
	}
	for _, stock := range []calc.LabelStock{stocks[0], stocks[3]} { // the one without gaps, the lowest
		const start = 5
		pdf, _ := printPDF(t, sheet, stock, start)
		folder := t.TempDir()
		call(t, render, "-r", "300", "-gray", "-png", saved(t, pdf), filepath.Join(folder, "page"))
		cuts := []string{"-q", "--raw", "-Sdisable", "-Sqrcode.enable"}
		for i := range want {
			at := start - 1 + i
			cuts = append(cuts, cutOut(t, filepath.Join(folder, fmt.Sprintf("page-%d.png", at/stock.Labels()+1)), stock, at%stock.Labels()))
		}
		got := strings.Split(strings.TrimSpace(call(t, decode, cuts...)), "\n")
		if !slices.Equal(got, want) {
			t.Errorf("%s: got\n%s\nwant\n%s", stock.Name, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// pages keeps decoded pages by file name.
var pages = map[string]image.Image{}

// cutOut saves the picture of one label of a page of 300 dots an inch.
func cutOut(t *testing.T, page string, stock calc.LabelStock, n int) string {
	t.Helper()
	if pages[page] == nil {
		f, err := os.Open(page)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if pages[page], err = png.Decode(f); err != nil {
			t.Fatal(err)
		}
	}
	dots := func(mm float64) int { return int(math.Round(mm / 25.4 * 300)) }
	x, y := place(stock, n)
	area := image.Rect(dots(x), dots(y), dots(x+stock.Width), dots(y+stock.Height))
	name := fmt.Sprintf("%s-%d.png", page, n)
	out, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	fast := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := fast.Encode(out, pages[page].(interface {
		SubImage(image.Rectangle) image.Image
	}).SubImage(area)); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestWriteRefuses(t *testing.T) {
	small := calc.LabelStock{Name: "dots", Paper: "A4", Columns: 5, Rows: 13, Width: 20, Height: 12, Left: 5, Top: 5, Across: 20, Down: 12}
	wide := stocks[0]
	wide.Across, wide.Place = 71, "site.yaml:80:5"
	narrow := stocks[1]
	narrow.Columns, narrow.Width = 1, 34
	for _, c := range []struct {
		name  string
		stock calc.LabelStock
		start int
		want  string
	}{
		{"start below 1", stocks[0], 0, "labels 1 to 24, there is no label 0 to start at"},
		{"start past the sheet", stocks[0], 25, "labels 1 to 24, there is no label 25"},
		{"past the paper", wide, 1, "site.yaml:80:5: the labels of a4-3x8 reach 212 mm to the right and 296.5 mm down, A4 has 210 x 297 mm"},
		{"too small for the code", small, 1, "too small for its QR code"},
		{"too narrow for the text", narrow, 1, "take a larger one"},
		{"another paper", calc.LabelStock{Paper: "A3", Columns: 1, Rows: 1}, 1, "write A4 or Letter"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out bytes.Buffer
			_, err := Write(&out, scaled(t, "spawning"), c.stock, c.start)
			if err == nil || !strings.Contains(err.Error(), c.want) || out.Len() > 0 {
				t.Errorf("got %v and %d bytes, want %q", err, out.Len(), c.want)
			}
		})
	}
}

func TestFindPrefersTheSitesOwn(t *testing.T) {
	own := calc.Site{Labels: []calc.LabelStock{{Name: "a4-3x8", Paper: "A4", Columns: 1, Rows: 2, Width: 99, Height: 50.5}, {Name: "tank-tags"}}}
	got, err := Find("a4-3x8", own)
	if err != nil || Describe(got) != "A4, 1 x 2 labels of 99 x 50.5 mm" {
		t.Errorf("got %s, %v", Describe(got), err)
	}
	if _, err := Find("a4-9x9", own); err == nil || !strings.Contains(err.Error(), "there are: a4-3x8, tank-tags, a4-3x8, a4-3x7") {
		t.Errorf("got %v", err)
	}
	if n := len(Stocks(own)); n != len(stocks)+2 {
		t.Errorf("%d stocks", n)
	}
}
