package workbook

import (
	"bytes"
	"cmp"
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

// maxCells bounds the rows and cells that the library lays out for a workbook, blank ones
// up to the last in each row too, of some 200 bytes each (measured: 3,000 rows with a cell
// in the last column took gigabytes). Site choice.
const maxCells = 1_000_000

// scanSheets scans every sheet of a workbook, by name, before the library reads one. Parts
// that look like sheets are scanned too when the workbook does not name them.
func scanSheets(f *excelize.File) (map[string]*scanned, error) {
	f.GetSheetList() // reads the list of sheets
	tabs, byTab, cost := map[string]string{}, map[string]*scanned{}, 0
	parts := sheetParts(f)
	for tab, part := range parts {
		tabs[part] = tab
	}
	var err error
	f.Pkg.Range(func(key, content any) bool {
		part, ok := content.([]byte)
		if !ok || !bytes.Contains(part, []byte("sheetData")) {
			return true
		}
		name := key.(string)
		var s *scanned
		if s, err = scan(part); err != nil {
			err = damaged(fmt.Errorf("sheet %q: %w", cmp.Or(tabs[name], name), err))
			return false
		}
		s.part, byTab[tabs[name]] = name, s
		if s.trimmed != nil {
			f.Pkg.Store(name, s.trimmed)
		}
		cost += s.cost
		return true
	})
	for tab, part := range parts {
		if err == nil && byTab[tab] == nil && strings.Contains(part, "worksheets/") {
			err = damaged(fmt.Errorf("sheet %q has no rows", tab))
		}
	}
	if err == nil && cost > maxCells {
		err = fmt.Errorf("%w: its sheets reach too far, over %d rows and cells, blank ones too; delete what lies far "+
			"below or to the right of the boxes", ErrTooLarge, cost)
	}
	return byTab, err
}
