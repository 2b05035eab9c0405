package style

import (
	"bytes"
	"encoding/binary"
	"maps"
	"math/bits"
	"slices"

	"github.com/jung-kurt/gofpdf"
)

// Letters are those that a document prints, by number.
type Letters struct{ has [0x10000]bool }

// Add adds the letters of a text.
func (l *Letters) Add(text string) {
	for _, r := range text {
		if int(r) < len(l.has) {
			l.has[r] = true
		}
	}
}

// AddFaces gives a document both faces with the letters that it will print.
func AddFaces(pdf *gofpdf.Fpdf, letters *Letters) {
	pdf.AddUTF8FontFromBytes(Family, "", Regular().Cut(letters))
	pdf.AddUTF8FontFromBytes(Family, "B", Bold().Cut(letters))
}

// basic are the letters that Cut keeps always: gofpdf tells their widths in every document.
const basic = 0x100

// Cut gives a font file with letters and the first 256 only, for one document. gofpdf takes
// in a font whole for every document, twice, before it cuts it itself; most documents print
// a few dozen of six thousand letters. What gofpdf writes is the same.
// Source: OpenType specification 1.9, from memory.
func (f *Face) Cut(letters *Letters) []byte {
	var known []uint16
	glyphs := []uint16{0}
	for r, glyph := range f.glyphs {
		if glyph != 0 && (r < basic || letters.has[r]) {
			known = append(known, uint16(r))
			glyphs = append(glyphs, glyph)
		}
	}
	glyphs, number := f.withParts(glyphs)
	n := uint16(len(glyphs))
	tables := map[string][]byte{"cmap": f.cmapOf(known, number)}
	for _, name := range []string{"OS/2", "cvt ", "fpgm", "gasp", "name", "prep"} {
		tables[name] = f.tables[name]
	}
	tables["post"] = f.tables["post"][:32] // its head; the names of glyphs follow, which gofpdf leaves out
	tables["glyf"], tables["loca"] = f.outlines(glyphs, number)
	for _, glyph := range glyphs {
		tables["hmtx"] = append(tables["hmtx"], f.metrics(int(glyph))...)
	}
	tables["head"] = changed(f.tables["head"], 50, 1) // loca in four bytes each
	tables["hhea"] = changed(f.tables["hhea"], 34, n)
	tables["maxp"] = changed(f.tables["maxp"], 4, n)
	return assembled(tables)
}

// withParts sorts glyphs, adds those that they are put together from, and numbers them.
func (f *Face) withParts(glyphs []uint16) (all []uint16, number map[uint16]uint16) {
	number = map[uint16]uint16{}
	for i := 0; i < len(glyphs); i++ {
		if _, seen := number[glyphs[i]]; seen {
			continue
		}
		number[glyphs[i]] = 0
		for _, at := range parts(f.outline(glyphs[i])) {
			glyphs = append(glyphs, binary.BigEndian.Uint16(f.outline(glyphs[i])[at:]))
		}
	}
	all = slices.Sorted(maps.Keys(number))
	for i, glyph := range all {
		number[glyph] = uint16(i)
	}
	return all, number
}

// outline is a glyph's part of the table glyf; blank for a space.
func (f *Face) outline(glyph uint16) []byte {
	loca, g := f.tables["loca"], int(glyph)
	if binary.BigEndian.Uint16(f.tables["head"][50:]) == 0 {
		return f.tables["glyf"][2*int(binary.BigEndian.Uint16(loca[2*g:])) : 2*int(binary.BigEndian.Uint16(loca[2*g+2:]))]
	}
	return f.tables["glyf"][binary.BigEndian.Uint32(loca[4*g:]):binary.BigEndian.Uint32(loca[4*g+4:])]
}

// parts tells where an outline that is put together names its parts.
func parts(outline []byte) []int {
	const words, scale, more, scales, matrix = 0x01, 0x08, 0x20, 0x40, 0x80
	if len(outline) < 2 || int16(binary.BigEndian.Uint16(outline)) >= 0 {
		return nil
	}
	var places []int
	for at, flags := 10, uint16(more); flags&more != 0; {
		flags = binary.BigEndian.Uint16(outline[at:])
		places = append(places, at+2)
		at += 6
		if flags&words != 0 {
			at += 2
		}
		switch {
		case flags&scale != 0:
			at += 2
		case flags&scales != 0:
			at += 4
		case flags&matrix != 0:
			at += 8
		}
	}
	return places
}

// outlines writes the tables glyf and loca.
func (f *Face) outlines(glyphs []uint16, number map[uint16]uint16) (glyf, loca []byte) {
	for _, glyph := range glyphs {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		outline := f.outline(glyph)
		start := len(glyf)
		glyf = append(glyf, outline...)
		for _, at := range parts(outline) {
			binary.BigEndian.PutUint16(glyf[start+at:], number[binary.BigEndian.Uint16(outline[at:])])
		}
	}
	return glyf, binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
}

// metrics are a glyph's width and left edge; the last glyphs of a font share a width.
func (f *Face) metrics(glyph int) []byte {
	hmtx, last := f.tables["hmtx"], len(f.advances)-1
	if glyph <= last {
		return hmtx[4*glyph : 4*glyph+4]
	}
	edge := 4*len(f.advances) + 2*(glyph-last-1)
	return slices.Concat(hmtx[4*last:4*last+2], hmtx[edge:edge+2])
}

// cmapOf writes the table cmap with one subtable of format 4, a segment for each letter: 16
// bytes and 8 for each, of 65,535 that the format holds.
func (f *Face) cmapOf(letters []uint16, number map[uint16]uint16) []byte {
	letters = append(letters, 0xFFFF) // the last segment, as the format wants
	n := len(letters)
	half := bits.Len(uint(n)) - 1
	words := []uint16{0, 1, 3, 1, 0, 12, // one subtable, Windows Unicode, 12 bytes on
		4, uint16(16 + 8*n), 0, uint16(2 * n), 2 << half, uint16(half), uint16(2*n - 2<<half)}
	words = append(words, letters...) // where segments end
	words = append(words, 0)
	words = append(words, letters...) // where they start
	for _, r := range letters {       // from letter to glyph, round the circle of 65,536; 0xFFFF gives 0
		words = append(words, number[f.glyphs[r]]-r)
	}
	words = append(words, make([]uint16, n)...)
	var table []byte
	for _, w := range words {
		table = binary.BigEndian.AppendUint16(table, w)
	}
	return table
}

// changed is a copy of a table with another number at a place.
func changed(table []byte, at int, number uint16) []byte {
	table = bytes.Clone(table)
	binary.BigEndian.PutUint16(table[at:], number)
	return table
}

// assembled puts tables together into a font file, without checksums: gofpdf reads none and
// writes its own.
func assembled(tables map[string][]byte) []byte {
	names := slices.Sorted(maps.Keys(tables))
	n := uint16(len(names))
	half := bits.Len16(n) - 1
	file := []byte{0, 1, 0, 0}
	for _, w := range []uint16{n, 16 << half, uint16(half), 16*n - 16<<half} {
		file = binary.BigEndian.AppendUint16(file, w)
	}
	at := len(file) + 16*len(names)
	for _, name := range names {
		file = append(file, name...)
		for _, w := range []int{0, at, len(tables[name])} {
			file = binary.BigEndian.AppendUint32(file, uint32(w))
		}
		at += (len(tables[name]) + 3) &^ 3
	}
	for _, name := range names {
		file = append(file, tables[name]...)
		file = append(file, make([]byte, -len(file)&3)...)
	}
	return file
}
