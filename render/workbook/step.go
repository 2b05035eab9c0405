package workbook

import (
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// stepPage writes one step: when, what to do, cautions, amounts, boxes, tables, initials.
func (b *book) stepPage(i int) {
	step := &b.sheet.Steps[i]
	p := b.newPage(b.tabs[i], stepWidths(step))
	p.masthead(fmt.Sprintf("%d  %s", step.Number, step.Definition.Title))
	when := "When ready"
	if !step.Time.IsZero() {
		when = clock(step.Time)
	}
	p.next() // kept for progressOf
	p.paragraph(when, strong)
	p.paragraph(step.Do, wrapped)
	p.gap()
	for _, c := range step.Cautions {
		p.paragraph("CAUTION  "+c.Text, caution)
		p.gap()
	}
	p.amounts(step)
	singles, tables, worked, signs := b.boxesOf(i)
	p.singles("Write down    * must be filled in; ND = not done", singles)
	for t := range step.Tables {
		p.table(&step.Tables[t], tables[step.Tables[t].Definition])
	}
	p.singles("Work out from the table", worked)
	p.signs(signs)
	at := p.progressOf()
	b.progress = append(b.progress, at)
	p.marks(at)
	p.finish("portrait", progressRow)
}

// boxesOf parts the boxes of a step into single ones, tables, those worked out from the
// tables, and initials.
func (b *book) boxesOf(step int) (singles []calc.Box, tables map[*protocols.Table][]calc.Box, worked, signs []calc.Box) {
	tables = map[*protocols.Table][]calc.Box{}
	for _, x := range b.boxes {
		switch {
		case x.Step != step:
		case x.Table != nil:
			tables[x.Table] = append(tables[x.Table], x)
		case strings.HasPrefix(string(x.Key), "sign."):
			signs = append(signs, x)
		case x.Entry.FromTables:
			worked = append(worked, x)
		default:
			singles = append(singles, x)
		}
	}
	return singles, tables, worked, signs
}

// stepWidths gives each column the room that its boxes need, so that nothing is cut off
// and no date shows as #####.
func stepWidths(step *calc.Step) []float64 {
	widths := []float64{30, 19, 14, 14, 14, 14, 14}
	for _, t := range step.Tables {
		for c := range t.Definition.Columns {
			at := 1 + len(t.Shown) + c
			for at >= len(widths) {
				widths = append(widths, 14)
			}
			widths[at] = max(widths[at], columnWidth(&t.Definition.Columns[c]))
		}
	}
	return widths
}

func columnWidth(e *protocols.Entry) float64 {
	least := map[protocols.EntryKind]float64{
		protocols.KindTime: 18, protocols.KindDate: 14, protocols.KindText: 14, protocols.KindNumber: 14, protocols.KindCount: 14,
	}[e.Kind]
	for _, choice := range e.Choices {
		least = max(least, min(float64(len([]rune(choice)))+3, 24))
	}
	for _, word := range wordsOf(columnHead(e)) {
		least = max(least, min(float64(len([]rune(word)))*1.25+1, 24))
	}
	return least
}

func (p *page) amounts(step *calc.Step) {
	if len(step.Amounts) == 0 {
		return
	}
	p.heading("Amounts")
	for _, a := range step.Amounts {
		name := a.Definition.Label
		p.put(1, name, label)
		p.amount(2, a.Rounded, kindRepeat, a.Definition.ID, 0, amountLook(a.Rounded))
		p.put(3, unitBeside(a.Rounded), unitCell)
		beside := partsWords(a)
		p.span(4, len(p.widths), beside, plain.with(func(l *look) { l.wrap = true }))
		p.high(max(2, p.lines(name, 1, 1, sizeText), p.lines(beside, 4, len(p.widths), sizeText)), sizeText*0.85)
		p.next()
	}
	p.gap()
}

// amount writes a printed number and gives its cell a name, so that a change is noticed.
func (p *page) amount(col int, q quantity.Quantity, kind, id string, row int, l look) {
	ref := p.put(col, q.Value(), l)
	p.name(kind, id, row, p.tab, ref)
}

// amountLook is large, but smaller when there are many digits to hold.
func amountLook(q quantity.Quantity) look {
	l := amount
	l.format = grouping(q.Value())
	if len([]rune(quantity.FormatNumber(q.Value(), 0))) > 10 {
		l.size = sizeText
	}
	return l
}

// singles writes the single boxes: label, box, unit, and what to keep in mind.
func (p *page) singles(heading string, boxes []calc.Box) {
	if len(boxes) == 0 {
		return
	}
	p.heading(heading)
	p.blocks = append(p.blocks, singleBlock(p.row, boxes))
	for _, x := range boxes {
		p.line(x, marked(x.Entry), besideBox(x))
	}
	p.gap()
}

func (p *page) line(x calc.Box, name, beside string) {
	p.put(1, name, label)
	p.box(2, x)
	p.check(p.ref(2), x.Entry)
	p.put(3, unitWords(x.Entry.Unit), unitCell)
	p.span(4, len(p.widths), beside, note)
	p.high(max(p.lines(name, 1, 1, sizeText), p.lines(beside, 4, len(p.widths), sizeSmall)), sizeText*1.15)
	p.next()
}

// box writes a blank box and gives it the name of its key.
func (p *page) box(col int, x calc.Box) {
	ref := p.put(col, nil, boxLook(x.Entry))
	p.name(kindEntry, string(x.Key), 0, p.tab, ref)
}

func boxLook(e *protocols.Entry) look {
	l := box
	switch e.Kind {
	case protocols.KindDate:
		l.ownFormat = formatDate
	case protocols.KindTime:
		l.ownFormat = formatTime
	case protocols.KindText:
		l.ownFormat = formatText
	case protocols.KindNumber, protocols.KindCount:
		l.across = "right"
	}
	return l
}

// table writes an entry table: its boxes run row by row, as calc lists them.
func (p *page) table(t *calc.Table, boxes []calc.Box) {
	def := t.Definition
	p.heading(def.Title)
	if def.Partial {
		p.paragraph("Fill in as many rows as the work goes, at least one; leave the rest blank.", note)
	}
	p.columnHeads(t)
	first := p.row
	p.blocks = append(p.blocks, tableBlock(boxColumn+len(t.Shown), first, t))
	for r := range t.Rows {
		p.tableRow(t, r, boxes[r*len(def.Columns):(r+1)*len(def.Columns)])
	}
	for c := range def.Columns {
		col := column(2 + len(t.Shown) + c)
		p.check(fmt.Sprintf("%s%d:%s%d", col, first, col, p.row-1), &def.Columns[c])
	}
	p.columnNotes(def)
	p.gap()
}

func (p *page) columnHeads(t *calc.Table) {
	rowLabel := t.Definition.RowLabel
	heads, at := []string{rowLabel}, []int{1}
	for i, a := range t.Shown {
		heads, at = append(heads, shownHead(a)), append(at, 2+i)
	}
	for c := range t.Definition.Columns {
		heads, at = append(heads, columnHead(&t.Definition.Columns[c])), append(at, 2+len(t.Shown)+c)
	}
	p.tableHead(heads, at, at)
}

func (p *page) tableRow(t *calc.Table, r int, boxes []calc.Box) {
	row := t.Rows[r]
	p.put(1, row.Label, gridCell)
	for i, q := range row.Shown {
		l := gridCell.with(func(l *look) {
			l.bold, l.across, l.format, l.size = true, "right", grouping(q.Value()), 12
			l.wrap = false
		})
		id := t.Shown[i].Definition.ID
		if p.owns(id, t) {
			p.amount(2+i, q, kindPart, id, r+1, l)
		} else {
			p.put(2+i, q.Value(), l)
		}
	}
	for c, x := range boxes {
		p.box(2+len(row.Shown)+c, x)
	}
	p.high(p.lines(row.Label, 1, 1, sizeText), 12)
	p.next()
}

// owns says whether a table is the first to print an amount's parts: only there do they
// get names, so that a part is read back once.
func (b *book) owns(id string, t *calc.Table) bool {
	for i := range b.sheet.Steps {
		for j := range b.sheet.Steps[i].Tables {
			other := &b.sheet.Steps[i].Tables[j]
			for _, a := range other.Shown {
				if a.Definition.ID == id {
					return other == t
				}
			}
		}
	}
	return false
}

// columnNotes tells under a table what its heads have no room for.
func (p *page) columnNotes(def *protocols.Table) {
	for i := range def.Columns {
		e := &def.Columns[i]
		text := e.Note
		if e.How != "" {
			text = strings.TrimPrefix(text+"; work out: "+e.How, "; ")
		}
		if text != "" {
			p.paragraph(e.Label+": "+text, note)
		}
	}
}

func (p *page) signs(boxes []calc.Box) {
	if len(boxes) == 0 {
		return
	}
	p.heading("Initials")
	p.blocks = append(p.blocks, singleBlock(p.row, boxes))
	for _, x := range boxes {
		p.line(x, marked(x.Entry), "")
	}
}
