package report

import (
	"bufio"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"time"

	"spatsheet/calc/season"
	"spatsheet/render/style"
)

// pageText is the page down to its first section.
//
//go:embed page.html
var pageText string

// screenWidth is how wide figures are drawn for the screen, in mm of their own.
const screenWidth = 180.0

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{"say": printable}).Parse(pageText))

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
	h := onHTML{bufio.NewWriterSize(w, 1<<16)}
	err := pageTemplate.Execute(h, map[string]any{"Title": d.title, "Subtitle": d.subtitle, "Facts": d.facts})
	for _, s := range d.sections {
		h.section(s)
	}
	h.write("</body>\n</html>\n")
	if err == nil {
		err = h.Flush()
	}
	if err != nil {
		return fmt.Errorf("season report: %w", err)
	}
	return nil
}

// onHTML writes sections piece by piece: through a template each of many thousand cells
// would cost a call of its own, and figures would be held whole. An error of w is kept for
// Flush. No text goes in but through escaped.
type onHTML struct{ *bufio.Writer }

func (h onHTML) write(pieces ...string) {
	for _, p := range pieces {
		h.WriteString(p)
	}
}

func (h onHTML) section(s section) {
	h.write("<section>\n<h2>", escaped(s.title), "</h2>\n")
	for _, p := range s.parts {
		switch p := p.(type) {
		case paragraph:
			class := ""
			if p.small {
				class = ` class="small"`
			}
			h.write("<p", class, ">", escaped(p.text), "</p>\n")
		case grid:
			h.grid(p)
		case pictures:
			h.write(`<div class="figures">`)
			for _, f := range p {
				h.write("<figure>")
				f.svg(h, screenWidth/float64(len(p)))
				h.write("<figcaption>", escaped(f.caption), "</figcaption></figure>")
			}
			h.write("</div>\n")
		}
	}
	h.write("</section>\n")
}

func (h onHTML) grid(g grid) {
	h.write(`<div class="scroll"><table>`)
	if g.caption != "" {
		h.write("<caption>", escaped(g.caption), "</caption>")
	}
	h.write("\n<thead><tr>")
	for _, c := range g.columns {
		h.write(`<th scope="col"`, rightClass(c), ">", escaped(c.head), "</th>")
	}
	h.write("</tr></thead>\n<tbody>")
	for i, row := range g.rows {
		class := ""
		if g.bold[i] {
			class = ` class="bold"`
		}
		h.write("\n<tr", class, ">")
		for c, say := range row {
			h.write("<td", rightClass(g.columns[c]), ">", escaped(say), "</td>")
		}
		h.write("</tr>")
	}
	h.write("\n</tbody></table></div>\n")
}

func rightClass(c column) string {
	if c.right {
		return ` class="right"`
	}
	return ""
}

// escaped is a text as html/template writes it between tags.
func escaped(say string) string { return inHTML.Replace(printable(say)) }

var inHTML = strings.NewReplacer("\x00", "\uFFFD", `"`, "&#34;", "&", "&amp;", "'", "&#39;", "+", "&#43;", "<", "&lt;", ">", "&gt;")

// printable replaces what has no shape, above all signs that turn the direction of text.
func printable(say string) string {
	say, _ = style.Printable(say)
	return say
}
