package tables

import (
	"fmt"
	"io"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// WriteWorkbook writes the tables as sheets of one workbook, headings frozen and
// filtered, and the charts on a sheet of their own. stamp is written as its time of making, so that the same season gives the
// same bytes.
//
// The error is the library's or the writer's, or a table larger than a sheet can be.
func WriteWorkbook(w io.Writer, list []Table, stamp time.Time, charts ...Chart) error {
	f := excelize.NewFile()
	defer f.Close()
	at := stamp.UTC().Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Created: at, Modified: at, Title: "Season", Creator: "spatsheet"}); err != nil {
		return err
	}
	styles, err := newStyles(f)
	if err != nil {
		return err
	}
	for i, t := range list {
		if i == 0 {
			err = f.SetSheetName(f.GetSheetName(0), t.Name)
		} else {
			_, err = f.NewSheet(t.Name)
		}
		if err != nil {
			return err
		}
		if err := writeSheet(f, t, styles); err != nil {
			return fmt.Errorf("table %s: %w", t.Name, err)
		}
	}
	if err := writeCharts(f, charts, styles); err != nil {
		return err
	}
	f.SetActiveSheet(0)
	return f.Write(w)
}

type styles struct{ title, heading, share int }

func newStyles(f *excelize.File) (s styles, err error) {
	if s.title, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Size: 12}}); err != nil {
		return s, err
	}
	s.heading, err = f.NewStyle(&excelize.Style{
		Font:      &excelize.Font{Bold: true},
		Border:    []excelize.Border{{Type: "bottom", Style: 2, Color: "000000"}},
		Alignment: &excelize.Alignment{Vertical: "center", WrapText: true},
	})
	if err != nil {
		return s, err
	}
	s.share, err = f.NewStyle(&excelize.Style{NumFmt: 10}) // 0.00 %
	return s, err
}

// headingRow is the sheet row of the headings: the title stands above them.
const headingRow = 2

func writeSheet(f *excelize.File, t Table, s styles) error {
	last, err := excelize.CoordinatesToCellName(len(t.Columns), headingRow+len(t.Rows))
	if err != nil {
		return err
	}
	if err := f.SetSheetDimension(t.Name, "A1:"+last); err != nil {
		return err
	}
	if err := f.SetCellStr(t.Name, "A1", t.Title); err != nil {
		return err
	}
	if err := f.SetCellStyle(t.Name, "A1", "A1", s.title); err != nil {
		return err
	}
	if err := writeRow(f, t.Name, headingRow, asCells(t.Columns)); err != nil {
		return err
	}
	headEnd, err := excelize.CoordinatesToCellName(len(t.Columns), headingRow)
	if err != nil {
		return err
	}
	if err := f.SetCellStyle(t.Name, fmt.Sprintf("A%d", headingRow), headEnd, s.heading); err != nil {
		return err
	}
	for i, row := range t.Rows {
		if err := writeRow(f, t.Name, headingRow+1+i, row); err != nil {
			return err
		}
	}
	return finishSheet(f, t, s, last)
}

// finishSheet sets widths, the survival column's format, frozen heading and filter.
func finishSheet(f *excelize.File, t Table, s styles, last string) error {
	for c, name := range t.Columns {
		column, err := excelize.ColumnNumberToName(c + 1)
		if err != nil {
			return err
		}
		if err := f.SetColWidth(t.Name, column, column, width(t, c)); err != nil {
			return err
		}
		if name == "survival" && len(t.Rows) > 0 {
			if err := f.SetCellStyle(t.Name, fmt.Sprintf("%s%d", column, headingRow+1), fmt.Sprintf("%s%d", column, headingRow+len(t.Rows)), s.share); err != nil {
				return err
			}
		}
	}
	if err := f.SetPanes(t.Name, &excelize.Panes{Freeze: true, YSplit: headingRow, TopLeftCell: fmt.Sprintf("A%d", headingRow+1), ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	if err := printing(f, t.Name); err != nil {
		return err
	}
	return f.AutoFilter(t.Name, fmt.Sprintf("A%d:%s", headingRow, last), nil)
}

// printing sets a sheet across the paper, as wide as its columns, headings on each page.
func printing(f *excelize.File, sheet string) error {
	landscape, one, any, fit := "landscape", 1, 0, true
	if err := f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &one, FitToHeight: &any}); err != nil {
		return err
	}
	if err := f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	return f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: sheet, RefersTo: fmt.Sprintf("'%s'!$1:$%d", sheet, headingRow)})
}

func asCells(list []string) []any {
	out := make([]any, len(list))
	for i, s := range list {
		out[i] = s
	}
	return out
}

func writeRow(f *excelize.File, sheet string, row int, cells []any) error {
	for c, v := range cells {
		ref, err := excelize.CoordinatesToCellName(c+1, row)
		if err != nil {
			return err
		}
		switch x := v.(type) {
		case nil:
		case string: // SetCellStr, so that no text becomes a formula
			err = f.SetCellStr(sheet, ref, x)
		default:
			err = f.SetCellValue(sheet, ref, x)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// width fits a column to its longest text, within what is pleasant to read.
func width(t Table, column int) float64 {
	longest := utf8.RuneCountInString(t.Columns[column])
	for _, row := range t.Rows {
		longest = max(longest, utf8.RuneCountInString(text(row[column])))
	}
	return float64(min(max(longest+2, 8), 50))
}
