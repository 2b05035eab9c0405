package style

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"sync"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
)

// Family is the name the faces go by in a document.
const Family = "dejavu"

// Face is one embedded typeface: which letters it has and how wide they are.
type Face struct {
	ttf        []byte
	glyphs     []uint16 // by letter, up to U+FFFF
	advances   []uint16 // in font units, by glyph
	cmapEntry  int      // where in ttf the entry of the table cmap stands
	unitsPerEm float64
}

// Regular and Bold are the two faces in use, read once.
var (
	Regular = sync.OnceValue(func() *Face { return mustFace(dejavusanscondensed.TTF) })
	Bold    = sync.OnceValue(func() *Face { return mustFace(dejavusanscondensedbold.TTF) })
)

// TTF gives a copy of the font file: gofpdf writes into what it is given.
func (f *Face) TTF() []byte { return bytes.Clone(f.ttf) }

// Has tells whether the face can print a letter.
func (f *Face) Has(r rune) bool { return f.glyph(r) != 0 }

func (f *Face) glyph(r rune) uint16 {
	if r < 0 || int(r) >= len(f.glyphs) {
		return 0
	}
	return f.glyphs[r]
}

// Width measures text set at sizePt points; the result is in mm. A letter the face lacks
// counts as the mark that Printable puts in its place.
func (f *Face) Width(text string, sizePt float64) float64 {
	return f.wide(f.units(text), sizePt)
}

// units is the width of a text in font units.
func (f *Face) units(text string) int {
	units := 0
	for _, r := range text {
		glyph := f.glyph(r)
		if glyph == 0 {
			glyph = f.glyphs[Unprintable]
		}
		units += int(f.advances[min(int(glyph), len(f.advances)-1)])
	}
	return units
}

// wide turns font units into mm at a size in points.
func (f *Face) wide(units int, sizePt float64) float64 {
	return float64(units) / f.unitsPerEm * sizePt * PointMM
}

func mustFace(ttf []byte) *Face {
	f, err := readFace(ttf)
	if err != nil { // the fonts are embedded and do not change
		panic(err)
	}
	return f
}

// readFace reads the tables head, hhea, hmtx and cmap of a TrueType font.
// Source: OpenType specification 1.9, from memory.
func readFace(ttf []byte) (*Face, error) {
	tables, cmapEntry := map[string][]byte{}, 0
	for i := range int(binary.BigEndian.Uint16(ttf[4:])) {
		entry := ttf[12+16*i:]
		at, size := binary.BigEndian.Uint32(entry[8:]), binary.BigEndian.Uint32(entry[12:])
		tables[string(entry[:4])] = ttf[at : at+size]
		if string(entry[:4]) == "cmap" {
			cmapEntry = 12 + 16*i
		}
	}
	f := &Face{ttf: ttf, cmapEntry: cmapEntry, unitsPerEm: float64(binary.BigEndian.Uint16(tables["head"][18:]))}
	count := int(binary.BigEndian.Uint16(tables["hhea"][34:]))
	f.advances = make([]uint16, 0, count)
	for i := range count {
		f.advances = append(f.advances, binary.BigEndian.Uint16(tables["hmtx"][4*i:]))
	}
	cmap := tables["cmap"]
	for i := range int(binary.BigEndian.Uint16(cmap[2:])) {
		sub := cmap[binary.BigEndian.Uint32(cmap[4+8*i+4:]):]
		if binary.BigEndian.Uint16(sub) == 4 {
			f.glyphs = segments(sub)
			return f, nil
		}
	}
	return nil, fmt.Errorf("the font has no cmap of format 4")
}

// segments reads a cmap subtable of format 4, the letters up to U+FFFF.
func segments(sub []byte) []uint16 {
	at := func(i int) int { return int(binary.BigEndian.Uint16(sub[i:])) }
	count := at(6) / 2
	ends, starts := 14, 16+2*count
	deltas, offsets := starts+2*count, starts+4*count
	glyphs := make([]uint16, 0x10000)
	for s := range count {
		for r := at(starts + 2*s); r <= at(ends+2*s) && r < 0xFFFF; r++ {
			glyph := r
			if offset := at(offsets + 2*s); offset != 0 {
				glyph = at(offsets + 2*s + offset + 2*(r-at(starts+2*s)))
				if glyph == 0 {
					continue
				}
			}
			glyphs[r] = uint16(glyph + at(deltas+2*s))
		}
	}
	return glyphs
}

// FaceOf is the bold face or the regular one.
func FaceOf(bold bool) *Face {
	if bold {
		return Bold()
	}
	return Regular()
}

// LineMM is the distance of baselines at a type size in points, in mm.
func LineMM(sizePt float64) float64 { return sizePt * PointMM * Leading }

// AscentMM is how far below a line's upper edge its baseline stands, in mm.
func AscentMM(sizePt float64) float64 { return sizePt * PointMM * AscentShare }
