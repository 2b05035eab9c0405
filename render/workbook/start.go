package workbook

import (
	"fmt"

	"spatsheet/protocols/quantity"
)

// howTo tells how to fill the workbook in; each line is a paragraph.
var howTo = []string{
	"Type only into the boxes with a thick border. Everything else is locked, so that amounts stay as planned; there is no password.",
	"Leave no box blank that is marked with *. Write ND for what was not done. 0 is a number: write it only when 0 was " +
		"read or counted. Unused rows at the end of a table that runs as far as the work goes may stay blank.",
	"Write numbers in the unit printed beside the box. A warning about a range is a warning only: if the reading is right, keep it.",
	"Write dates as year-month-day, 2026-02-14, and times with their date, 2026-02-14 18:30, so that nights are not mixed up.",
	"Initials: who did the step, and who checked it where two are asked for; not the same person.",
	"Sheets may be renamed, rows and columns inserted, and the file given any name: boxes are found again. Do not delete boxes or move them by cut and paste.",
	"At the top of each step and in the list below stands how many boxes are filled, ND too, how many to look at, and " +
		"how many with * are blank. Marks come by themselves: ► a box with * that was passed over; ! a value that is " +
		"out of range, not in the list, no number, or a time without its date. Done means that nothing with * is missing.",
	"A correction on paper is struck through, not erased; here, put the reason into a note on the cell.",
}

// startPage writes the first sheet: what batch this is, and how to fill it in.
func (b *book) startPage() {
	p := b.newPage(startSheet, []float64{26, 14, 14, 13, 9, 17, 13, 16})
	s := b.sheet
	p.masthead(s.Protocol.Title)
	p.gap()
	p.facts([][2]string{
		{"Batch", s.Plan.Batch}, {"Protocol", s.Protocol.Ref()}, {"Stage", s.Protocol.Stage}, {"Species", s.Plan.Species},
		{"Start", clock(s.Plan.Start)}, {"Site", s.Site.Name + " (" + s.Site.Code + ")"}, {"From", s.Plan.From()},
		{"Sheet", s.Digest}, {"Note", s.Plan.Note},
	})
	p.paragraph(s.Protocol.Purpose, wrapped)
	p.gap()
	p.heading("How to fill this in")
	for _, text := range howTo {
		p.paragraph(text, caution.with(func(l *look) { l.leftBar = false }))
	}
	p.gap()
	p.contents()
	p.roles()
	p.materials()
	p.finish("portrait", 2)
}

// facts writes names and values, leaving out what is empty.
func (p *page) facts(facts [][2]string) {
	for _, fact := range facts {
		if fact[1] == "" {
			continue
		}
		p.put(1, fact[0], label)
		p.span(2, len(p.widths), fact[1], strong.with(func(l *look) { l.wrap = true }))
		p.high(p.lines(fact[1], 2, len(p.widths), sizeText), sizeText)
		p.next()
	}
}

// tableHead writes one row of heads; a head may span columns.
func (p *page) tableHead(heads []string, from, to []int) {
	lines := 1
	for i, head := range heads {
		p.span(from[i], to[i], head, headCell)
		lines = max(lines, p.lines(head, from[i], to[i], sizeText*1.1))
	}
	p.high(lines, sizeText)
	p.next()
}

func (p *page) contents() {
	p.heading("Steps")
	p.tableHead([]string{"Step", "When", "Initials", "Filled in", "To look at", "With *"}, []int{1, 3, 5, 6, 7, 8}, []int{2, 4, 5, 6, 7, 8})
	first := p.row
	for i := range p.sheet.Steps {
		step := &p.sheet.Steps[i]
		when := "when ready"
		if !step.Time.IsZero() {
			when = clock(step.Time)
		}
		name := fmt.Sprintf("%d  %s", step.Number, step.Definition.Title)
		p.span(1, 2, name, gridCell)
		p.span(3, 4, when, gridCell)
		p.put(5, []string{"none", "one", "two"}[min(max(step.Definition.Signed, 0), 2)], gridCell)
		p.stepProgress(i)
		p.high(p.lines(name, 1, 2, sizeText), sizeText)
		p.next()
	}
	p.allProgress(first)
	p.gap()
}

func (p *page) roles() {
	if len(p.sheet.Protocol.Roles) == 0 {
		return
	}
	p.heading("Who does what")
	var facts [][2]string
	for _, r := range p.sheet.Protocol.Roles {
		facts = append(facts, [2]string{r.ID, r.Does})
	}
	p.facts(facts)
	p.gap()
}

func (p *page) materials() {
	if len(p.sheet.Protocol.Materials) == 0 {
		return
	}
	p.heading("Have at hand")
	p.tableHead([]string{"What", "How much", "Unit", "Note"}, []int{1, 3, 4, 5}, []int{2, 3, 4, 8})
	for _, m := range p.sheet.Protocol.Materials {
		p.span(1, 2, m.Name, gridCell)
		p.put(3, nil, gridCell)
		p.put(4, nil, gridCell)
		if q, ok := p.quantity(m.Amount); ok {
			p.put(3, q.Value(), gridCell.with(func(l *look) { l.bold, l.format, l.across = true, grouping(q.Value()), "right" }))
			p.put(4, unitBeside(q), gridCell)
		}
		p.span(5, 8, m.Note, gridCell)
		p.high(max(p.lines(m.Name, 1, 2, sizeText), p.lines(m.Note, 5, 8, sizeText)), sizeText)
		p.next()
	}
	p.gap()
}

// quantity finds an amount or a setting's value.
func (b *book) quantity(id string) (quantity.Quantity, bool) {
	if a, ok := b.sheet.Amount(id); ok {
		return a.Rounded, true
	}
	v, ok := b.sheet.Value(id)
	return v.Quantity, ok
}
