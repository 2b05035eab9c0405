package tables

import (
	"errors"
	"fmt"
	"sort"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc/season"
	"spatsheet/render/style"
)

// Chart is a chart of the workbook's own kind with the numbers it is drawn from, so that
// it can be changed there.
type Chart struct {
	Title, XLabel, YLabel string
	Curves                bool // x is a number; else the first column names categories
	Points                bool // of curves: all as one series of points, with the batch in the last column, which is not drawn
	Columns               []string
	Rows                  [][]any // first column x or category, then one value a series; nil for none
}

// Charts gives the season's charts: survival by stage for each batch, one chart for each
// protocol and species; and larvae alive by age, one chart for each species.
func Charts(r season.Report) []Chart {
	return append(stageCharts(r), larvalCharts(r)...)
}

func stageCharts(r season.Report) []Chart {
	var out []Chart
	index := map[[2]string]int{}
	rows := map[string]int{} // chart and batch
	for _, g := range r.Stages {
		if g.Batches == 0 {
			continue
		}
		key := [2]string{g.Protocol, g.Species}
		i, ok := index[key]
		if !ok {
			i = len(out)
			index[key] = i
			out = append(out, Chart{Title: "Survival by stage, " + g.Species + ", " + g.Protocol, XLabel: "batch", YLabel: "survival, %", Columns: []string{"batch"}})
		}
		c := &out[i]
		c.Columns = append(c.Columns, g.Label)
		for _, e := range g.Estimates {
			row, ok := rows[fmt.Sprint(i, e.Batch)]
			if !ok {
				row = len(c.Rows)
				rows[fmt.Sprint(i, e.Batch)] = row
				c.Rows = append(c.Rows, []any{e.Batch})
			}
			var share any
			if e.HasSurvival && e.Note == "" {
				share = 100 * e.Survival
			}
			c.put(row, len(c.Columns)-1, share)
		}
	}
	return out
}

// put writes a cell and fills up the row before it.
func (c *Chart) put(row, column int, v any) {
	for len(c.Rows[row]) <= column {
		c.Rows[row] = append(c.Rows[row], nil)
	}
	c.Rows[row][column] = v
}

// mostCurves is how many curves a chart names: more leave no room for it. Site choice, as in
// render/report; Excel draws 255 series at the most (from memory).
const mostCurves = 60

// larvalCharts draws a curve for each batch, or where there are too many for a chart, the
// points of all as one series.
func larvalCharts(r season.Report) []Chart {
	bySpecies := map[string][]season.LarvalCurve{}
	var species []string // as they come
	for _, curve := range r.Larvae {
		if _, ok := bySpecies[curve.Species]; !ok {
			species = append(species, curve.Species)
		}
		bySpecies[curve.Species] = append(bySpecies[curve.Species], curve)
	}
	var out []Chart
	for _, name := range species {
		curves := bySpecies[name]
		c := Chart{Title: "Larvae alive by age, " + name, XLabel: "days", YLabel: "% of the first count", Curves: true, Columns: []string{"days"}}
		if c.Points = len(curves) > mostCurves; c.Points {
			c.Columns = append(c.Columns, fmt.Sprintf("all %d batches", len(curves)), "batch")
		}
		for _, curve := range curves {
			if !c.Points {
				c.Columns = append(c.Columns, curve.Batch)
			}
			for _, p := range curve.Points {
				if c.Points {
					c.Rows = append(c.Rows, []any{p.Days, 100 * p.Share, curve.Batch})
					continue
				}
				c.Rows = append(c.Rows, []any{p.Days})
				c.put(len(c.Rows)-1, len(c.Columns)-1, 100*p.Share)
			}
		}
		out = append(out, c)
	}
	return out
}

const (
	figuresSheet = "figures"
	dataColumn   = 14 // N: right of the charts

	lastBeforeData = "M"

	chartRows    = 22   // sheet rows that one chart takes
	chartWidth   = 9.14 // of a column under the charts, in letters: 64 dots in every program
	dataWidth    = 16   // of a column of numbers
	printPercent = 60   // charts are then 120 mm wide; 165 where a program has a broader font
	chartsAPage  = 3    // of A4 or Letter, upright
)

// writeCharts adds the sheet of charts; without charts there is none.
func writeCharts(f *excelize.File, list []Chart, s styles) error {
	if len(list) == 0 {
		return nil
	}
	if _, err := f.NewSheet(figuresSheet); err != nil {
		return err
	}
	row, widest := 1, dataColumn
	for i, c := range list {
		if err := writeChart(f, c, 2+i*chartRows, row, s); err != nil {
			return fmt.Errorf("chart %q: %w", c.Title, err)
		}
		row += len(c.Rows) + 3
		widest = max(widest, dataColumn+len(c.Columns)-1)
	}
	last, err := excelize.CoordinatesToCellName(widest, max(row, 1+len(list)*chartRows))
	if err != nil {
		return err
	}
	if err := f.SetSheetDimension(figuresSheet, "A1:"+last); err != nil {
		return err
	}
	// Adding a chart lists the kinds of picture in the order of a map; sorted, the same
	// season gives the same bytes.
	sort.Slice(f.ContentTypes.Defaults, func(i, j int) bool {
		return f.ContentTypes.Defaults[i].Extension < f.ContentTypes.Defaults[j].Extension
	})
	first, err := excelize.ColumnNumberToName(dataColumn)
	if err != nil {
		return err
	}
	end, err := excelize.ColumnNumberToName(widest)
	if err != nil {
		return err
	}
	if err := errors.Join(f.SetColWidth(figuresSheet, "A", lastBeforeData, chartWidth), f.SetColWidth(figuresSheet, first, end, dataWidth)); err != nil {
		return err
	}
	return printCharts(f, len(list))
}

// printCharts sets the charts, not their numbers, on upright pages, some on each.
func printCharts(f *excelize.File, charts int) error {
	portrait, percent := "portrait", uint(printPercent)
	if err := f.SetPageLayout(figuresSheet, &excelize.PageLayoutOptions{Orientation: &portrait, AdjustTo: &percent}); err != nil {
		return err
	}
	for i := chartsAPage; i < charts; i += chartsAPage {
		if err := f.InsertPageBreak(figuresSheet, fmt.Sprintf("A%d", 1+i*chartRows)); err != nil {
			return err
		}
	}
	return f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", Scope: figuresSheet,
		RefersTo: fmt.Sprintf("'%s'!$A$1:$%s$%d", figuresSheet, lastBeforeData, charts*chartRows)})
}

// writeChart puts a chart at a row of column A and its numbers at a row of column N.
func writeChart(f *excelize.File, c Chart, at, data int, s styles) error {
	title, err := excelize.CoordinatesToCellName(dataColumn, data)
	if err != nil {
		return err
	}
	if err := f.SetCellStr(figuresSheet, title, c.Title); err != nil {
		return err
	}
	if err := f.SetCellStyle(figuresSheet, title, title, s.title); err != nil {
		return err
	}
	for i, cells := range append([][]any{asCells(c.Columns)}, c.Rows...) {
		for j, v := range cells {
			if err := writeCell(f, figuresSheet, dataColumn+j, data+1+i, v); err != nil {
				return err
			}
		}
	}
	black := excelize.Font{Color: "000000", Size: 9}
	chart := &excelize.Chart{
		Type:       excelize.Col,
		Title:      excelize.ChartTitle{Paragraph: plain(c.Title)},
		XAxis:      excelize.ChartAxis{Font: black, Title: excelize.ChartTitle{Paragraph: plain(c.XLabel)}},
		YAxis:      excelize.ChartAxis{Font: black, Title: excelize.ChartTitle{Paragraph: plain(c.YLabel)}, MajorGridLines: true, Minimum: new(float64)},
		Legend:     excelize.ChartLegend{Position: "bottom"},
		VaryColors: new(bool),
		Dimension:  excelize.ChartDimension{Width: 760, Height: 420},
	}
	if c.Curves {
		chart.Type = excelize.Scatter
	} else {
		most := 100.0
		chart.YAxis.Maximum = &most
	}
	if chart.Series, err = chartSeries(c, data); err != nil {
		return err
	}
	place, err := excelize.CoordinatesToCellName(1, at)
	if err != nil {
		return err
	}
	return f.AddChart(figuresSheet, place, chart)
}

func plain(text string) []excelize.RichTextRun { return []excelize.RichTextRun{{Text: text}} }

// chartSeries refers to the numbers of each series; markers differ, as colours alone do
// not tell curves apart.
func chartSeries(c Chart, data int) ([]excelize.ChartSeries, error) {
	symbols := []string{"circle", "square", "triangle", "diamond", "x", "star", "plus", "dash"}
	var out []excelize.ChartSeries
	end := len(c.Columns)
	if c.Points {
		end--
	}
	for j := 1; j < end; j++ {
		name, err := sheetRange(dataColumn+j, data+1, data+1)
		if err != nil {
			return nil, err
		}
		from, to := c.span(j)
		categories, err := sheetRange(dataColumn, data+2+from, data+2+to)
		if err != nil {
			return nil, err
		}
		values, err := sheetRange(dataColumn+j, data+2+from, data+2+to)
		if err != nil {
			return nil, err
		}
		fill := excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour(j)}}
		s := excelize.ChartSeries{Name: name, Categories: categories, Values: values, Fill: fill}
		if c.Curves {
			s.Marker = excelize.ChartMarker{Symbol: symbols[(j-1)%len(symbols)], Size: 7, Fill: fill}
			s.Line = excelize.LineOptions{Type: excelize.LineSolid, Width: 1.5}
			if c.Points {
				s.Line.Type, s.Marker.Size = excelize.LineNone, 3
			}
		}
		out = append(out, s)
	}
	return out, nil
}

// colour is one of render/style's, which the colour-blind can tell apart.
func colour(i int) string {
	c := style.Curves[i%len(style.Curves)].Colour
	return fmt.Sprintf("%02X%02X%02X", c.R, c.G, c.B)
}

// span is the first and last row that a curve fills; categories take all rows.
func (c Chart) span(column int) (from, to int) {
	if !c.Curves {
		return 0, len(c.Rows) - 1
	}
	from = -1
	for i, row := range c.Rows {
		if column < len(row) && row[column] != nil {
			if from < 0 {
				from = i
			}
			to = i
		}
	}
	return max(from, 0), to
}

func sheetRange(column, from, to int) (string, error) {
	name, err := excelize.ColumnNumberToName(column)
	if err != nil {
		return "", err
	}
	if from == to {
		return fmt.Sprintf("%s!$%s$%d", figuresSheet, name, from), nil
	}
	return fmt.Sprintf("%s!$%s$%d:$%s$%d", figuresSheet, name, from, name, to), nil
}

func writeCell(f *excelize.File, sheet string, column, row int, v any) error {
	ref, err := excelize.CoordinatesToCellName(column, row)
	if err != nil || v == nil {
		return err
	}
	if text, ok := v.(string); ok { // so that no text becomes a formula
		return f.SetCellStr(sheet, ref, text)
	}
	return f.SetCellValue(sheet, ref, v)
}
