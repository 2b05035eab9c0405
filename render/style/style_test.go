package style

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/jung-kurt/gofpdf"
	"pgregory.net/rapid"
)

// sample has every kind of letter that protocols use.
const sample = "Seawater 1 200 000 eggs/mL, 40 µm ≤ 18 °C ± 0.5; 10⁹ × 3 ÷ 4 − 1, mL⁻¹, cm² ● ⚠ □ ☐ Öffnung ʻopihi"

// TestWidthAgainstGofpdf compares measuring with the library that prints: it rounds each
// letter to a thousandth of the size, so half of that a letter is allowed.
func TestWidthAgainstGofpdf(t *testing.T) {
	pdf := gofpdf.New("P", "mm", "A4", "")
	pdf.AddUTF8FontFromBytes(Family, "", Regular().TTF())
	pdf.AddUTF8FontFromBytes(Family, "B", Bold().TTF())
	for _, c := range []struct {
		weight string
		face   *Face
	}{{"", Regular()}, {"B", Bold()}} {
		pdf.SetFont(Family, c.weight, 10)
		got, want := c.face.Width(sample, 10), pdf.GetStringWidth(sample)
		slack := 0.0005 * 10 * PointMM * float64(utf8.RuneCountInString(sample))
		if math.Abs(got-want) > slack || want < 50 {
			t.Errorf("%q: %g mm, gofpdf %g mm", c.weight, got, want)
		}
	}
}

// TestFacesHaveTheLetters of the sheet itself.
func TestFacesHaveTheLetters(t *testing.T) {
	if text, replaced := Printable(sample); replaced || text != sample {
		t.Errorf("%q became %q", sample, text)
	}
	for r := ' '; r <= '~'; r++ { // Printable does not ask
		if !Regular().Has(r) || !Bold().Has(r) {
			t.Errorf("no %q", r)
		}
	}
}

// TestTTFIsACopy because gofpdf writes into what it is given.
func TestTTFIsACopy(t *testing.T) {
	first := Regular().TTF()
	first[100]++
	if bytes.Equal(first, Regular().TTF()) {
		t.Error("a change of one copy changes the font")
	}
}

func TestPrintable(t *testing.T) {
	for _, c := range []struct {
		name, text, want string
		replaced         bool
	}{
		{"plain", "eggs", "eggs", false},
		{"line break and tab", "a\nb\tc", "a b c", false},
		{"above U+FFFF", "a🦑b", "a□b", true},
		{"not in the faces", "昆布", "□□", true},
		{"control", "a\x00b", "a□b", true},
		{"no shape", "a\u200db", "a□b", true},
		{"direction", "a\u202eb", "a□b", true},
		{"invalid bytes", "a\xffb", "a□b", true},
		{"the mark itself", "□", "□", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, replaced := Printable(c.text)
			if got != c.want || replaced != c.replaced {
				t.Errorf("got %q, %v; want %q, %v", got, replaced, c.want, c.replaced)
			}
		})
	}
}

// TestWrap loses no letter and keeps to the width, whatever the text.
func TestWrap(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text, _ := Printable(rapid.String().Draw(r, "text"))
		width := rapid.Float64Range(1, 100).Draw(r, "width")
		lines := Regular().Wrap(text, 10, width)
		bare := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if bare(strings.Join(lines, "")) != bare(text) {
			r.Errorf("%q became %q", text, lines)
		}
		for _, l := range lines {
			if Regular().Width(l, 10) > width && utf8.RuneCountInString(l) > 1 {
				r.Errorf("%q is wider than %g mm", l, width)
			}
		}
	})
}

func TestWrapKeepsNumbersWithUnits(t *testing.T) {
	for _, c := range []struct{ text, fits, last string }{
		{"bring them to 48 L", "bring them to 48", "48 L"},
		{"squares × 10 000", "squares × 10", "10 000"},
	} {
		got := Regular().Wrap(c.text, 10, Regular().Width(c.fits, 10)+0.1)
		if len(got) != 2 || got[1] != c.last {
			t.Errorf("%q: got %q", c.text, got)
		}
	}
}

// TestShorten keeps to the width and marks what it cut, and nothing else.
func TestShorten(t *testing.T) {
	width := Regular().Width("Seawater, fil…", 10)
	for _, c := range []struct{ text, want string }{
		{"Seawater", "Seawater"}, {"Seawater, filtered", "Seawater, fil…"}, {"", ""},
	} {
		if got := Regular().Shorten(c.text, 10, width); got != c.want {
			t.Errorf("%q: got %q, want %q", c.text, got, c.want)
		}
	}
	if got := Regular().Shorten("Seawater, filtered", 10, Regular().Width("Seawater,…", 10)); got != "Seawater…" { // no comma before the mark
		t.Errorf("got %q", got)
	}
}

func TestPaperOf(t *testing.T) {
	for name, width := range map[string]float64{"A4": 210, "Letter": 215.9} { // ISO 216; 8.5 inches
		p, err := PaperOf(name)
		if err != nil || p.Width != width || p.TextWidth() <= 150 {
			t.Errorf("%s: %+v, %v", name, p, err)
		}
	}
	if _, err := PaperOf("a4"); err == nil || !strings.Contains(err.Error(), "write A4 or Letter") {
		t.Errorf("got %v", err)
	}
}

// TestReadFaceRefuses a font without a table of letters.
func TestReadFaceRefuses(t *testing.T) {
	ttf := Regular().TTF()
	at := bytes.Index(ttf, []byte("cmap"))
	if at < 0 {
		t.Fatal("no cmap")
	}
	offset := int(ttf[at+8])<<24 | int(ttf[at+9])<<16 | int(ttf[at+10])<<8 | int(ttf[at+11])
	ttf[offset+2], ttf[offset+3] = 0, 0 // no subtables
	if _, err := readFace(ttf); err == nil {
		t.Error("a font without letters was read")
	}
}
