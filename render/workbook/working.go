package workbook

import "strings"

// workingPage writes the last sheet: every setting with its source and every amount with
// its working, so that a second person can verify by hand.
func (b *book) workingPage() {
	p := b.newPage(workingSheet, []float64{36, 13, 14, 18, 32, 36, 28})
	p.masthead("Working")
	p.gap()
	p.settings()
	p.workings()
	p.sources()
	p.finish("landscape", 2)
}

func (p *page) settings() {
	p.heading("Settings")
	p.tableHead([]string{"Setting", "Value", "Unit", "Set by", "Source", "Note"}, []int{1, 2, 3, 4, 5, 6}, []int{1, 2, 3, 4, 5, 7})
	for _, v := range p.sheet.Settings {
		s := v.Setting
		p.put(1, s.Label, gridCell)
		p.put(2, v.Quantity.Value(), gridCell.with(func(l *look) { l.format = grouping(v.Quantity.Value()); l.bold = true }))
		p.put(3, unitBeside(v.Quantity), gridCell)
		p.put(4, "the "+string(v.From), gridCell)
		p.put(5, v.Source, gridCell)
		p.span(6, 7, s.Note, gridCell)
		p.high(max(p.lines(s.Label, 1, 1, sizeText), p.lines(s.Note, 6, 7, sizeText), p.lines(v.Source, 5, 5, sizeText)), sizeText)
		p.next()
	}
	p.gap()
}

func (p *page) workings() {
	p.heading("Amounts")
	p.tableHead([]string{"Amount", "Rounded", "Unit", "Exact", "Rounding", "Formula, and the numbers put in"}, []int{1, 2, 3, 4, 5, 6}, []int{1, 2, 3, 4, 5, 7})
	for i := range p.sheet.Amounts {
		a := &p.sheet.Amounts[i]
		how := a.Rule
		if parts := partsWords(a); parts != "" {
			how += "; " + parts
		}
		formula := a.PutIn
		if a.Definition.Formula != nil {
			formula = strings.Join(append([]string{a.Definition.Formula.String(), "= " + a.PutIn}, a.Inside...), "\n")
		}
		p.put(1, a.Definition.Label, gridCell)
		p.amount(2, a.Rounded, kindAmount, a.Definition.ID, 0, gridCell.with(func(l *look) { l.bold, l.format = true, grouping(a.Rounded.Value()) }))
		p.put(3, unitBeside(a.Rounded), gridCell)
		p.put(4, a.Exact.Value(), gridCell)
		p.put(5, how, gridCell)
		p.span(6, 7, formula, gridCell)
		p.high(max(p.lines(a.Definition.Label, 1, 1, sizeText), p.lines(how, 5, 5, sizeText), p.lines(formula, 6, 7, sizeText)), sizeText)
		p.next()
	}
	p.gap()
}

func (p *page) sources() {
	if len(p.sheet.Protocol.Sources) == 0 {
		return
	}
	p.heading("Sources")
	for _, s := range p.sheet.Protocol.Sources {
		p.put(1, s.ID, wrapped)
		p.span(2, len(p.widths), s.Text, wrapped)
		p.high(p.lines(s.Text, 2, len(p.widths), sizeText), sizeText)
		p.next()
	}
}
