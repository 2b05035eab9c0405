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
// others, each as wide as in the whole font.
func TestCutKnowsItsLetters(t *testing.T) {
	for _, face := range []*Face{Regular(), Bold()} {
		letters := &Letters{}
		letters.Add(sample + "昆🦑")
		kept := cutKeeps(t, face, letters)
		if kept < 190 || kept > 260 { // Latin-1 without control characters, and some of sample
			t.Errorf("%d letters kept", kept)
		}
		if size := len(face.Cut(letters)); size > 60_000 { // of 680,264 and 665,028; 34,824 and 35,872 measured
			t.Errorf("%d bytes", size)
		}
	}
}

// TestCutOfAllLetters is the whole font.
func TestCutOfAllLetters(t *testing.T) {
	letters := &Letters{}
	for r := range letters.has {
		letters.has[r] = true
	}
	if kept := cutKeeps(t, Regular(), letters); kept < 5000 {
		t.Errorf("%d letters kept", kept)
	}
}

// cutKeeps cuts a face, holds each letter against the whole face, and counts them.
func cutKeeps(t *testing.T, face *Face, letters *Letters) int {
	t.Helper()
	cut, err := readFace(face.Cut(letters))
	if err != nil {
		t.Fatal(err)
	}
	kept := 0
	for r, glyph := range face.glyphs {
		want := glyph != 0 && (r < basic || letters.has[r])
		if cut.Has(rune(r)) != want {
			t.Fatalf("%c (U+%04X): there is %v, want %v", r, r, cut.Has(rune(r)), want)
		}
		if !want {
			continue
		}
		kept++
		if got, whole := cut.metrics(int(cut.glyphs[r])), face.metrics(int(glyph)); !bytes.Equal(got, whole) {
			t.Errorf("%c (U+%04X): metrics %v, want %v", r, r, got, whole)
		}
		if got, whole := cut.outline(cut.glyphs[r]), face.outline(glyph); len(got) != len(whole) || len(parts(got)) != len(parts(whole)) {
			t.Errorf("%c (U+%04X): outline of %d bytes, want %d", r, r, len(got), len(whole))
		}
	}
	return kept
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
