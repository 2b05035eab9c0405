// Package report prints a season as a report for people who give permits and money: a
// PDF of a few pages, and a page for the screen that needs nothing from outside. Both are
// made from one document, with figures drawn as lines, not as pictures.
//
// What may enter: a season.Report. What may not: files, the clock, calculations; they are
// calc/season's.
//
// contents_*.go put a report into words, tables and figures; pdf.go and html.go give them
// their form; plot.go draws figures on a page.Canvas, which is paper or SVG.
package report

// document is the report before it has a form.
type document struct {
	title, subtitle string
	facts           [][2]string
	sections        []section
}

type section struct {
	title string
	parts []part
}

// part is a paragraph, a grid or pictures.
type part any

// paragraph is running text.
type paragraph struct {
	text  string
	small bool
}

// grid is a table of texts.
type grid struct {
	caption string
	columns []column
	rows    [][]string
	bold    map[int]bool // rows that are headings or sums
}

type column struct {
	head  string
	right bool
}

// pictures are one figure, or two beside each other.
type pictures []*figure

func (s *section) say(text string)  { s.parts = append(s.parts, paragraph{text: text}) }
func (s *section) note(text string) { s.parts = append(s.parts, paragraph{text: text, small: true}) }
func (s *section) put(p part)       { s.parts = append(s.parts, p) }
