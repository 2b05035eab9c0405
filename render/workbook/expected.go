package workbook

import (
	"fmt"
	"strings"
	"unicode"

	"spatsheet/protocols"
)

// expected is what a workbook can hold a box against by itself: a number between two ends,
// of which either may be open, or one of some words. Dates are numbers here.
type expected struct {
	low, high string
	choices   []string
}

// expectedOf tells nothing of texts. A whole number cannot be told from a broken one in a
// way that Gnumeric computes over a column: that is left to check.
func (p *page) expectedOf(e *protocols.Entry) (expected, bool) {
	switch e.Kind {
	case protocols.KindChoice:
		return expected{choices: e.Choices}, true
	case protocols.KindNumber, protocols.KindCount:
		if e.HasRange {
			return expected{low: digits(e.Low), high: digits(e.High)}, true
		}
		return expected{}, true
	case protocols.KindDate, protocols.KindTime:
		if e.AnyTime {
			return expected{low: "1"}, true // a time without a date is less than a day
		}
		const date = "DATE(2006,1,2)" // right in both date systems
		start := p.sheet.Plan.Start
		return expected{start.AddDate(0, 0, -daysBefore).Format(date), start.AddDate(0, 0, daysAfter).Format(date), nil}, true
	}
	return expected{}, false
}

// counted is a formula that counts what is as expected in a range. Of what counts in
// ranges, Excel, LibreOffice and Gnumeric compute COUNTIF alike (tried; Gnumeric does not
// take ISNUMBER through a range), and it passes over errors.
func (x expected) counted(cells string) string {
	switch {
	case x.choices != nil:
		var words []string
		for _, choice := range x.choices {
			if !strings.ContainsFunc(choice, unicode.IsLetter) { // a number or a date to COUNTIF
				words = append(words, fmt.Sprintf(`SUMPRODUCT(1*(%s&""=%s))`, cells, formulaText(choice)))
				continue
			}
			words = append(words, fmt.Sprintf("COUNTIF(%s,%s)", cells, formulaText("="+noWildcards.Replace(choice))))
		}
		return strings.Join(words, "-")
	case x.high != "":
		return fmt.Sprintf(`COUNTIFS(%s,">="&%s,%s,"<="&%s)`, cells, x.low, cells, x.high)
	case x.low != "":
		return fmt.Sprintf(`COUNTIF(%s,">="&%s)`, cells, x.low)
	}
	return "COUNT(" + cells + ")"
}

// odd is a formula over one cell: whether something else than expected stands there.
func (x expected) odd(cell string) string {
	if x.choices != nil {
		words := []string{cell + `<>""`, cell + `<>"ND"`}
		for _, choice := range x.choices {
			words = append(words, cell+`&""<>`+formulaText(choice))
		}
		return "AND(" + strings.Join(words, ",") + ")"
	}
	wrong := []string{"NOT(ISNUMBER(" + cell + "))"}
	if x.low != "" {
		wrong = append(wrong, cell+"<"+x.low)
	}
	if x.high != "" {
		wrong = append(wrong, cell+">"+x.high)
	}
	return fmt.Sprintf(`AND(%s<>"",%s<>"ND",OR(%s))`, cell, cell, strings.Join(wrong, ","))
}

var noWildcards = strings.NewReplacer("~", "~~", "*", "~*", "?", "~?")

// formulaText is a text within a formula.
func formulaText(text string) string { return `"` + strings.ReplaceAll(text, `"`, `""`) + `"` }
