package style

import (
	"encoding/binary"
	"math/bits"

	"github.com/jung-kurt/gofpdf"
)

// Letters are those that a document prints, by number; the first 256 are always with them.
type Letters struct{ has [0x10000]bool }

// Add adds the letters of a text.
func (l *Letters) Add(text string) {
	for _, r := range text {
		if int(r) < len(l.has) {
			l.has[r] = true
		}
	}
}

// basic are the letters that Cut keeps always: gofpdf tells their widths in every document.
const basic = 0x100

// AddFaces gives a document both faces with the letters that it will print, nil for all.
func AddFaces(pdf *gofpdf.Fpdf, letters *Letters) {
	pdf.AddUTF8FontFromBytes(Family, "", Regular().Cut(letters))
	pdf.AddUTF8FontFromBytes(Family, "B", Bold().Cut(letters))
}

// Cut gives a copy of the font file that knows letters only, or all of them for nil, for one
// document. gofpdf reads every letter of a font anew for every document, twice; most
// documents print a few dozen of six thousand. What is drawn is the same.
func (f *Face) Cut(letters *Letters) []byte {
	if letters == nil {
		return f.TTF()
	}
	var known []uint16 // ends with the mark of the last segment, as the format wants
	for r, glyph := range f.glyphs {
		if glyph != 0 && (r < basic || letters.has[r]) {
			known = append(known, uint16(r))
		}
	}
	cmap := f.cmapOf(append(known, 0xFFFF))
	at := (len(f.ttf) + 3) &^ 3
	cut := make([]byte, at, at+len(cmap))
	copy(cut, f.ttf)
	binary.BigEndian.PutUint32(cut[f.cmapEntry+8:], uint32(at))
	binary.BigEndian.PutUint32(cut[f.cmapEntry+12:], uint32(len(cmap)))
	return append(cut, cmap...)
}

// cmapOf writes the table cmap with one subtable of format 4, a segment for each letter: 16
// bytes and 8 for each, of 65,535 that the format holds.
// Source: OpenType specification 1.9, from memory.
func (f *Face) cmapOf(letters []uint16) []byte {
	n := len(letters)
	half := bits.Len(uint(n)) - 1
	words := []uint16{0, 1, 3, 1, 0, 12, // one subtable, Windows Unicode, 12 bytes on
		4, uint16(16 + 8*n), 0, uint16(2 * n), 2 << half, uint16(half), uint16(2*n - 2<<half)}
	words = append(words, letters...) // where segments end
	words = append(words, 0)
	words = append(words, letters...) // where they start
	for _, r := range letters {       // from letter to glyph, round the circle of 65,536; 0xFFFF gives 0
		words = append(words, f.glyphs[r]-r)
	}
	words = append(words, make([]uint16, n)...)
	var table []byte
	for _, w := range words {
		table = binary.BigEndian.AppendUint16(table, w)
	}
	return table
}
