package tables

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// WriteWorkbook writes the tables as sheets of one workbook, headings frozen and
// filtered, and the charts on a sheet of their own. stamp is written as its time of making, so that the same season gives the
// same bytes.
//
// A table larger than a sheet can be is a line that names its CSV file, see Written.TooLong.
// The error is the library's or the writer's.
func WriteWorkbook(w io.Writer, list []Table, stamp time.Time, charts ...Chart) error {
	f := excelize.NewFile()
	f.SetZipWriter(newByName)
	defer f.Close()
	at := stamp.UTC().Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Created: at, Modified: at, Title: "Season", Creator: "spatsheet"}); err != nil {
		return err
	}
	styles, err := newStyles(f)
	if err != nil {
		return err
	}
	f.SetActiveSheet(0) // before any is written: the library would read all of them again
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

// mostRows is how many rows of a table a sheet of a workbook holds beneath its heading.
// Source: ECMA-376, part 1, 18.3.1.73 (row), from memory; excelize's limit.
const mostRows = excelize.TotalRows - headingRow

// writeSheet streams a table: built in memory, a season of many batches would take
// gigabytes. What a sheet is set to must be said before its rows.
func writeSheet(f *excelize.File, t Table, s styles) error {
	count := t.count()
	if count > mostRows {
		t.Rows = slices.Values([][]any{append([]any{fmt.Sprintf("%d rows are more than a sheet holds: they are in "+
			"%s.csv", count, t.Name)}, make([]any, len(t.Columns)-1)...)})
		count = 1
	}
	last, err := excelize.CoordinatesToCellName(len(t.Columns), headingRow+count)
	if err != nil {
		return err
	}
	if err := errors.Join(f.SetSheetDimension(t.Name, "A1:"+last), printing(f, t.Name),
		f.AutoFilter(t.Name, fmt.Sprintf("A%d:%s", headingRow, last), nil)); err != nil {
		return err
	}
	out, err := f.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	for c, width := range widths(t) {
		if err := out.SetColWidth(c+1, c+1, width); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: headingRow,
		TopLeftCell: fmt.Sprintf("A%d", headingRow+1), ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	if err := out.SetRow("A1", []any{excelize.Cell{StyleID: s.title, Value: t.Title}}); err != nil {
		return err
	}
	if err := out.SetRow(fmt.Sprintf("A%d", headingRow), styled(asCells(t.Columns), s.heading)); err != nil {
		return err
	}
	share := slices.Index(t.Columns, "survival")
	at := headingRow
	for row := range t.Rows {
		if share >= 0 {
			row = slices.Clone(row)
			row[share] = excelize.Cell{StyleID: s.share, Value: row[share]}
		}
		at++
		if err := out.SetRow("A"+strconv.Itoa(at), row); err != nil {
			return err
		}
	}
	return out.Flush()
}

func styled(cells []any, style int) []any {
	for i, v := range cells {
		cells[i] = excelize.Cell{StyleID: style, Value: v}
	}
	return cells
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

// looked is how many rows the widths of columns go by.
const looked = 1000

// widths fits each column to its longest text, within what is pleasant to read.
func widths(t Table) []float64 {
	longest := make([]int, len(t.Columns))
	for c, head := range t.Columns {
		longest[c] = utf8.RuneCountInString(head)
	}
	left := looked
	for row := range t.Rows {
		for c, v := range row {
			longest[c] = max(longest[c], utf8.RuneCountInString(text(v)))
		}
		if left--; left == 0 {
			break
		}
	}
	out := make([]float64, len(longest))
	for c, n := range longest {
		out[c] = float64(min(max(n+2, 8), 50))
	}
	return out
}
