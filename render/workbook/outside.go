package workbook

import (
	"fmt"
	"html"
	"path"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// outside finds what stands outside the boxes of a workbook and was not printed there.
type outside struct {
	file   *excelize.File
	names  map[string]target
	sheets map[string]*scanned // by the sheet's name
	boxes  map[string]placeSet // and the other named cells
}

// changes compares every sheet with what the manifest says was printed on it. Workbooks of
// before 2026-11-25 do not say.
func (r *reader) changes(m *manifest, names map[string]target, boxes map[string]placeSet) ([]calc.Change, error) {
	o := &outside{file: r.file, names: names, sheets: r.scans, boxes: boxes}
	if len(m.printed) == 0 {
		return nil, nil
	}
	var out []calc.Change
	seen := map[string]bool{names[findingsName].sheet: true, o.manifestTab(): true}
	for _, p := range m.printed {
		tab, ok := o.tabOf(p, seen)
		if !ok { // a sheet that is gone: its boxes are told as lost
			continue
		}
		seen[tab] = true
		found, err := o.found(tab)
		if err != nil {
			return nil, err
		}
		changes := compared(tab, p.texts, found)
		if err := p.recognised(tab, changes); err != nil {
			return nil, err
		}
		out = append(out, changes...)
	}
	added, err := o.added(seen)
	return append(out, added...), err
}

// recognised refuses a step's sheet of which more than half is not as printed: its boxes
// may hold anything.
func (p *printedSheet) recognised(tab string, changes []calc.Change) error {
	other := 0
	for _, c := range changes {
		if c.Kind != calc.TypedOutside {
			other++
		}
	}
	if isStep := p.tab != startSheet && p.tab != workingSheet; isStep && 2*other > len(p.texts) {
		return fmt.Errorf("%w: sheet %q is not as printed, %d of %d printed cells are changed or gone; copy the "+
			"readings into a freshly printed workbook of the same plan", ErrDamaged, tab, other, len(p.texts))
	}
	return nil
}

func (o *outside) manifestTab() string {
	if t, ok := o.names[manifestName]; ok {
		return t.sheet
	}
	return manifestSheet
}

// tabOf finds a printed sheet: by its name, or else by a defined name on it, or else by
// what stands in its first cell.
func (o *outside) tabOf(p printedSheet, seen map[string]bool) (string, bool) {
	if o.sheets[p.tab] != nil && !seen[p.tab] {
		return p.tab, true
	}
	if t, ok := o.names[strings.ToLower(p.name)]; ok && !seen[t.sheet] {
		return t.sheet, o.sheets[t.sheet] != nil
	}
	for _, tab := range o.file.GetSheetList() {
		if o.sheets[tab] == nil || seen[tab] || len(p.texts) == 0 {
			continue
		}
		if cells, err := o.found(tab); err == nil && len(cells) > 0 && cells[0].compared == p.texts[0] {
			return tab, true
		}
	}
	return "", false
}

// added tells sheets that were not printed, each by its first cell.
func (o *outside) added(seen map[string]bool) ([]calc.Change, error) {
	var out []calc.Change
	for _, tab := range o.file.GetSheetList() {
		if seen[tab] || o.sheets[tab] == nil {
			continue
		}
		found, err := o.found(tab)
		if err != nil {
			return nil, err
		}
		if len(found) > 0 {
			out = append(out, calc.Change{Kind: calc.SheetAdded, Cell: found[0].cell(tab), Cells: len(found)})
		}
	}
	return out, nil
}

// foundCell is a cell outside the boxes that holds something.
type foundCell struct {
	*scannedCell
	text     string
	compared string
}

// cell is where it is, for a change to tell.
func (c *foundCell) cell(tab string) calc.Cell {
	text := c.text
	if c.formula {
		text = "=" + html.UnescapeString(string(c.written))
	}
	return calc.Cell{Sheet: tab, Ref: c.ref(), Kind: calc.CellText, Text: text}
}

func (o *outside) found(tab string) ([]foundCell, error) {
	cells := o.sheets[tab].cells
	out := make([]foundCell, 0, len(cells))
	for i := range cells {
		c := &cells[i]
		if o.boxes[tab][placeOf(c.row, c.col)] {
			continue
		}
		text, err := o.text(c)
		if err != nil {
			return nil, damaged(fmt.Errorf("%s!%s: %w", tab, c.ref(), err))
		}
		if compared := asPrinted(text, c.formula); compared != "" {
			out = append(out, foundCell{c, text, compared})
		}
	}
	return out, nil
}

// text is what a cell holds, as people see it; of a formula its value.
func (o *outside) text(c *scannedCell) (string, error) {
	if c.kind != "s" {
		text := html.UnescapeString(string(c.value))
		if c.kind == "b" {
			text = map[string]string{"1": "TRUE", "0": "FALSE"}[text]
		}
		return text, nil
	}
	n, err := strconv.Atoi(string(c.value))
	if shared := o.file.SharedStrings; err == nil && shared != nil && n >= 0 && n < len(shared.SI) {
		return shared.SI[n].String(), nil
	}
	return "", fmt.Errorf("there is no shared text %q", c.value)
}

// sheetParts tells the part of every sheet.
func sheetParts(f *excelize.File) map[string]string {
	out := map[string]string{}
	if f.WorkBook == nil {
		return out
	}
	book := "xl/workbook.xml"
	relationships(f, "_rels/.rels", func(kind, id, at string) {
		if kind == "officeDocument" {
			book = strings.TrimPrefix(at, "/")
		}
	})
	parts := map[string]string{}
	relationships(f, path.Join(path.Dir(book), "_rels", path.Base(book)+".rels"), func(_, id, at string) {
		if !strings.HasPrefix(at, "/") {
			at = path.Join(path.Dir(book), at)
		}
		parts[id] = strings.TrimPrefix(at, "/")
	})
	for _, s := range f.WorkBook.Sheets.Sheet {
		out[s.Name] = parts[s.ID]
	}
	return out
}

// relationships goes through a part of relationships.
func relationships(f *excelize.File, name string, tell func(kind, id, target string)) {
	content, _ := f.Pkg.Load(name)
	part, _ := content.([]byte)
	for s := (&scanner{text: part}); s.next(); {
		if string(s.name) == "Relationship" && !s.closing {
			tell(path.Base(string(s.value("Type"))), string(s.value("Id")), html.UnescapeString(string(s.value("Target"))))
		}
	}
}
