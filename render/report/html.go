package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"time"

	"spatsheet/calc/season"
	"spatsheet/render/style"
)

//go:embed page.html
var pageText string

// screenWidth is how wide figures are drawn for the screen, in mm of their own.
const screenWidth = 180.0

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"isParagraph": func(p part) bool { _, ok := p.(paragraph); return ok },
	"isGrid":      func(p part) bool { _, ok := p.(grid); return ok },
	"paragraph": func(p part) map[string]any {
		x := p.(paragraph)
		return map[string]any{"Text": printable(x.text), "Small": x.small}
	},
	"grid":     gridView,
	"pictures": pictureViews,
	"say":      printable,
}).Parse(pageText))

// WriteHTML writes the season report as one page for the screen: no scripts, nothing
// fetched, every text escaped.
//
// stamp as for WritePDF; the same season gives the same bytes.
// Error: a season without a batch; w.
func WriteHTML(w io.Writer, r season.Report, stamp time.Time) error {
	if len(r.Season.Batches) == 0 {
		return fmt.Errorf("season report: there is no batch; collect workbooks first")
	}
	d := contents(r, stamp)
	type sectionView struct {
		Title string
		Parts []part
	}
	var sections []sectionView
	for _, s := range d.sections {
		sections = append(sections, sectionView{s.title, s.parts})
	}
	err := pageTemplate.Execute(w, map[string]any{"Title": d.title, "Subtitle": d.subtitle, "Facts": d.facts, "Sections": sections})
	if err != nil {
		return fmt.Errorf("season report: %w", err)
	}
	return nil
}

type cellView struct {
	Text  string
	Right bool
}

type rowView struct {
	Bold  bool
	Cells []cellView
}

func gridView(p part) map[string]any {
	g := p.(grid)
	var heads []cellView
	for _, c := range g.columns {
		heads = append(heads, cellView{printable(c.head), c.right})
	}
	var rows []rowView
	for i, row := range g.rows {
		view := rowView{Bold: g.bold[i]}
		for c, say := range row {
			view.Cells = append(view.Cells, cellView{printable(say), g.columns[c].right})
		}
		rows = append(rows, view)
	}
	return map[string]any{"Caption": printable(g.caption), "Heads": heads, "Rows": rows}
}

// printable replaces what has no shape, above all signs that turn the direction of text.
func printable(say string) string {
	say, _ = style.Printable(say)
	return say
}

func pictureViews(p part) []map[string]any {
	list := p.(pictures)
	var out []map[string]any
	for _, f := range list {
		// The SVG is built by onSVG, which escapes every text itself.
		out = append(out, map[string]any{"SVG": template.HTML(f.svg(screenWidth / float64(len(list)))), "Caption": printable(f.caption)})
	}
	return out
}
