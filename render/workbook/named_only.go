package workbook

import (
	"bytes"
	"math"
	"strings"
)

// placeSet holds places on a sheet.
type placeSet map[uint64]bool

// named says which cells of each sheet have a name of ours.
func (o *ours) named() map[string]placeSet {
	out := map[string]placeSet{}
	for _, n := range o.manifest.names {
		if t, ok := o.names[strings.ToLower(n.Name)]; ok {
			if out[t.sheet] == nil {
				out[t.sheet] = placeSet{}
			}
			out[t.sheet][placeOf(t.row, t.col)] = true
		}
	}
	return out
}

// namedOnly leaves the library less to take apart, since it takes longest over XML: of each
// sheet the named cells. The others were looked at by scan. The workbook cannot be saved
// after it.
func (o *ours) namedOnly(named map[string]placeSet) {
	for tab, wanted := range named {
		s := o.scans[tab]
		if s == nil {
			continue
		}
		if content, ok := o.Pkg.Load(s.part); ok {
			if text, isText := content.([]byte); isText {
				o.Pkg.Store(s.part, s.only(text, wanted))
			}
		}
	}
}

// only cuts out of the scanned part what is not read. What is not closed stays, for the
// library to tell; so does the first cell of a range that is merged over a wanted cell,
// which the library reads instead of that, and a cell whose formula others share.
func (s *scanned) only(part []byte, wanted placeSet) []byte {
	rows, end := bytes.Index(part, []byte("sheetData")), bytes.LastIndex(part, []byte("sheetData>"))
	if rows < 0 || end < rows {
		return part
	}
	head, tail, firsts := &scanner{text: part[:rows]}, &scanner{text: part, at: end + len("sheetData>")}, placeSet{}
	cuts := head.unread(func(name string) bool { return ofSheets[name] })
	after := tail.unread(func(name string) bool {
		if name == "mergeCell" {
			return wanted.merged(string(tail.value("ref")), firsts)
		}
		return ofSheets[name]
	})
	cuts = append(cuts, s.unwanted(end, wanted, firsts)...)
	return without(part, append(cuts, after...))
}

// ofSheets are the elements, beside the rows, that are read of a sheet, and those around
// them.
var ofSheets = map[string]bool{"worksheet": true, "sheetFormatPr": true, "cols": true, "col": true, "mergeCells": true}

// unwanted finds rows and cells to leave out, up to the end of the rows.
func (s *scanned) unwanted(end int, wanted, firsts placeSet) (cuts []stretch) {
	if s.unplaced { // the place of some depends on those before
		return nil
	}
	wantedRow := map[uint64]bool{}
	for at := range wanted {
		wantedRow[at>>32] = true
	}
	cells := s.placed
	for _, row := range s.rows {
		var inRow []stretch
		keep := wantedRow[row.at] || row.to == 0 || row.to > end
		for len(cells) > 0 && cells[0].from < row.to {
			c := cells[0]
			cells = cells[1:]
			if wanted[c.at] || firsts[c.at] || c.shares || c.to == 0 {
				keep = true
			} else {
				inRow = append(inRow, stretch{c.from, c.to})
			}
		}
		switch {
		case !keep:
			cuts = append(cuts, stretch{row.from, row.to})
		case row.to <= end:
			cuts = append(cuts, inRow...)
		}
	}
	return cuts
}

// merged says whether a merged range covers one of the places, and keeps its first cell.
func (p placeSet) merged(ref string, firsts placeSet) bool {
	first, last, _ := strings.Cut(ref, ":")
	m, ok := parseArea(first, last)
	if !ok { // the library tells
		return true
	}
	for at := range p {
		if m.covers(int(at>>32), int(at&math.MaxUint32)) {
			firsts[placeOf(m.top, m.left)] = true
			return true
		}
	}
	return false
}
