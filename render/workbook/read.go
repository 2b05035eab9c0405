package workbook

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// Read takes a filled workbook apart: its identity, and the raw cell of every box and
// printed amount.
//
// content is the whole file. Boxes are found by defined name, whatever the file and its
// sheets are called now and wherever rows have moved; nothing is interpreted. Names that
// lost their cell are told in Lost, boxes by their key.
// Error: ErrNotOurs when it is no workbook of ours, ErrDamaged when it cannot be read
// whole or its manifest was changed, ErrTooLarge.
func Read(content []byte) (filled *calc.Filled, err error) {
	defer guard(&err)
	o, err := openOurs(content, toRead)
	if err != nil {
		return nil, err
	}
	defer o.Close()
	named := o.named()
	o.namedOnly(named)
	r := newReader(o.File)
	r.scans = o.scans
	if filled, err = r.filled(o.manifest, o.names); err != nil {
		return nil, err
	}
	filled.Changes, err = r.changes(o.manifest, o.names, named)
	if err != nil {
		return nil, err
	}
	return filled, nil
}

// ours is a workbook of ours, open.
type ours struct {
	*excelize.File
	manifest *manifest
	names    map[string]target   // named cells, by name in lower case
	scans    map[string]*scanned // sheets, by name
}

// openOurs opens a workbook of ours and finds its manifest and named cells; the caller
// closes it.
func openOurs(content []byte, u use) (o *ours, err error) {
	f, err := open(content, u)
	if err != nil {
		return nil, err
	}
	o = &ours{File: f}
	if o.scans, err = scanSheets(f); err == nil {
		o.manifest, o.names, err = locate(f)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return o, nil
}

// locate finds the manifest and where every defined name points.
//
// GetRows passes over faults of the sheet in silence: here the manifest's checksum tells
// them, and every box is read with GetCellValue, which tells them too.
func locate(f *excelize.File) (*manifest, map[string]target, error) {
	names := targets(f)
	sheet := manifestSheet
	if t, ok := names[manifestName]; ok {
		sheet = t.sheet
	}
	if i, err := f.GetSheetIndex(sheet); err != nil || i < 0 {
		m, err := readManifest(nil)
		return m, nil, err
	}
	rows, err := f.GetRows(sheet)
	if err != nil {
		return nil, nil, damaged(err)
	}
	var kept [][]string
	for _, row := range rows {
		if strings.Join(row, "") != "" {
			kept = append(kept, row)
		}
	}
	m, err := readManifest(kept)
	return m, names, err
}

// sound surfaces the faults of every sheet, for those who write a copy of all of them.
func sound(f *excelize.File) error {
	for _, sheet := range f.GetSheetList() {
		if _, err := f.GetCellValue(sheet, "A1"); err != nil {
			return damaged(fmt.Errorf("sheet %q: %w", sheet, err))
		}
	}
	return nil
}

// filled reads the cells that the manifest names.
func (r *reader) filled(m *manifest, names map[string]target) (*calc.Filled, error) {
	out := &calc.Filled{
		Manifest: m.identity, Date1904: r.from1904(),
		Cells: map[calc.Key]calc.Cell{}, Amounts: map[string]calc.Cell{},
		Repeats: map[string][]calc.Cell{}, Parts: map[string][]calc.Cell{},
	}
	for _, n := range m.names {
		t, ok := names[strings.ToLower(n.Name)]
		if !ok {
			out.Lost = append(out.Lost, n.lost())
			if n.Kind == kindPart { // keeps the later parts in their rows
				out.Parts[n.Of] = append(out.Parts[n.Of], calc.Cell{})
			}
			continue
		}
		cell, err := r.cell(t)
		if err != nil {
			return nil, damaged(fmt.Errorf("%s!%s: %w", t.sheet, t.ref, err))
		}
		switch n.Kind {
		case kindEntry:
			out.Cells[calc.Key(n.Of)] = cell
		case kindAmount:
			out.Amounts[n.Of] = cell
		case kindRepeat:
			out.Repeats[n.Of] = append(out.Repeats[n.Of], cell)
		case kindPart:
			out.Parts[n.Of] = append(out.Parts[n.Of], cell)
		}
	}
	return out, nil
}

// lost is what a name that points nowhere is told as: a box by its key.
func (n named) lost() string {
	if n.Kind == kindEntry {
		return n.Of
	}
	return n.Name
}
