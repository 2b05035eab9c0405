package style

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
	"testing"
	"time"

	"github.com/jung-kurt/gofpdf"
)

// TestCutKnowsItsLetters reads a cut font back: the letters asked for, the first 256, and no
// others, each with the glyph that it has in the whole font.
func TestCutKnowsItsLetters(t *testing.T) {
	for _, face := range []*Face{Regular(), Bold()} {
		letters := &Letters{}
		letters.Add(sample + "昆🦑")
		cut, err := readFace(face.Cut(letters))
		if err != nil {
			t.Fatal(err)
		}
		kept := 0
		for r, glyph := range face.glyphs {
			want := glyph
			if r >= basic && !letters.has[r] {
				want = 0
			}
			if cut.glyphs[r] != want {
				t.Errorf("%c (U+%04X): glyph %d, want %d", r, r, cut.glyphs[r], want)
			}
			if want != 0 {
				kept++
			}
		}
		if kept < 190 || kept > 260 { // Latin-1 without control characters, and some of sample
			t.Errorf("%d letters kept", kept)
		}
	}
}

// TestCutOfAllLetters is the whole font.
func TestCutOfAllLetters(t *testing.T) {
	letters := &Letters{}
	for r := range letters.has {
		letters.has[r] = true
	}
	cut, err := readFace(Regular().Cut(letters))
	if err != nil {
		t.Fatal(err)
	}
	for r, glyph := range Regular().glyphs {
		if cut.glyphs[r] != glyph {
			t.Fatalf("%c (U+%04X): glyph %d, want %d", r, r, cut.glyphs[r], glyph)
		}
	}
}

// TestCutPrintsTheSame as the whole font, byte for byte, save the names that gofpdf gives
// fonts, a digest of all their widths.
func TestCutPrintsTheSame(t *testing.T) {
	printed := func(add func(pdf *gofpdf.Fpdf)) []byte {
		pdf := gofpdf.New("P", "mm", "A4", "")
		pdf.SetCatalogSort(true)
		pdf.SetCreationDate(time.Unix(0, 0))
		pdf.SetModificationDate(time.Unix(0, 0))
		add(pdf)
		pdf.AddPage()
		for i, weight := range []string{"", "B"} {
			pdf.SetFont(Family, weight, 12)
			pdf.Text(20, float64(20+10*i), sample)
		}
		var out bytes.Buffer
		if err := pdf.Output(&out); err != nil {
			t.Fatal(err)
		}
		return namelessFonts(t, out.Bytes())
	}
	letters := &Letters{}
	letters.Add(sample)
	cut := printed(func(pdf *gofpdf.Fpdf) { AddFaces(pdf, letters) })
	whole := printed(func(pdf *gofpdf.Fpdf) {
		pdf.AddUTF8FontFromBytes(Family, "", Regular().TTF())
		pdf.AddUTF8FontFromBytes(Family, "B", Bold().TTF())
	})
	if !bytes.Equal(cut, whole) {
		t.Errorf("%d bytes with the cut font, %d with the whole one, or others", len(cut), len(whole))
	}
	letters = &Letters{} // a letter left out is seen
	letters.Add("Seawater")
	if bytes.Equal(whole, printed(func(pdf *gofpdf.Fpdf) { AddFaces(pdf, letters) })) {
		t.Error("a font without the letters printed them")
	}
}

var (
	streams   = regexp.MustCompile(`(?s)stream\n(.*?)\nendstream`)
	fontNames = regexp.MustCompile(`/F[0-9a-f]{40}`)
	numbers   = regexp.MustCompile(`(?m)^\d{10} 00000 n|Length \d+|^\d+$`) // places and lengths
)

// namelessFonts unpacks a document's streams and takes out the names of fonts, and the
// lengths that hang on them.
func namelessFonts(t *testing.T, pdf []byte) []byte {
	t.Helper()
	unpacked := 0
	pdf = streams.ReplaceAllFunc(pdf, func(stream []byte) []byte {
		r, err := zlib.NewReader(bytes.NewReader(streams.FindSubmatch(stream)[1]))
		if err != nil {
			return stream // stands as it is
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		unpacked++
		return text
	})
	if unpacked != 5 { // a page; two fonts, each with a table from letters to glyphs
		t.Fatalf("%d packed streams", unpacked)
	}
	return numbers.ReplaceAll(fontNames.ReplaceAll(pdf, []byte("/F")), nil)
}
