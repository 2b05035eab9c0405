package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
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
	"grid":     gridHTML,
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

// gridHTML writes a table as page.html would, if each of many thousand cells were worth a
// call of the template.
func gridHTML(p part) template.HTML {
	g := p.(grid)
	var b strings.Builder
	b.WriteString(`<div class="scroll"><table>`)
	if g.caption != "" {
		b.WriteString("<caption>" + escaped(g.caption) + "</caption>")
	}
	b.WriteString("\n<thead><tr>")
	for _, c := range g.columns {
		b.WriteString(`<th scope="col"` + rightClass[c.right] + ">" + escaped(c.head) + "</th>")
	}
	b.WriteString("</tr></thead>\n<tbody>")
	for i, row := range g.rows {
		if g.bold[i] {
			b.WriteString("\n<tr class=\"bold\">")
		} else {
			b.WriteString("\n<tr>")
		}
		for c, say := range row {
			b.WriteString("<td")
			b.WriteString(rightClass[g.columns[c].right])
			b.WriteString(">")
			b.WriteString(escaped(say))
			b.WriteString("</td>")
		}
		b.WriteString("</tr>")
	}
	b.WriteString("\n</tbody></table></div>\n")
	return template.HTML(b.String())
}

var rightClass = map[bool]string{true: ` class="right"`}

// escaped is a text as html/template writes it between tags.
func escaped(say string) string { return inHTML.Replace(printable(say)) }

var inHTML = strings.NewReplacer("\x00", "\uFFFD", `"`, "&#34;", "&", "&amp;", "'", "&#39;", "+", "&#43;", "<", "&lt;", ">", "&gt;")

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
