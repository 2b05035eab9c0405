package workbook

import (
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/protocols"
)

// Limits of prompts and messages, in UTF-16 units. Source: from memory, and excelize's.
const (
	maxPromptTitle = 32
	maxPrompt      = 255
	maxInlineList  = 255
)

// check sets what a box tells when it is entered, and warns of. It never refuses: the
// style is a warning or an information, so that "12 L" or "ND" can be typed.
func (p *page) check(cells string, e *protocols.Entry) {
	v := excelize.NewDataValidation(true)
	v.SetSqref(cells)
	v.SetInput(cut(e.Label, maxPromptTitle), cut(prompt(e), maxPrompt))
	v.Type = "none"
	switch e.Kind {
	case protocols.KindNumber, protocols.KindCount:
		p.checkNumber(v, e)
	case protocols.KindChoice:
		p.checkChoice(v, e)
	case protocols.KindDate, protocols.KindTime:
		p.checkDate(v, e)
	}
	p.try(p.file.AddDataValidation(p.tab, v))
}

func (p *page) checkNumber(v *excelize.DataValidation, e *protocols.Entry) {
	if !e.HasRange {
		return
	}
	kind := excelize.DataValidationTypeDecimal
	if e.Kind == protocols.KindCount {
		kind = excelize.DataValidationTypeWhole
	}
	p.try(v.SetRange(digits(e.Low), digits(e.High), kind, excelize.DataValidationOperatorBetween))
	message := "Usual: " + rangeWords(e) + " " + unitWords(e.Unit)
	if e.Kind == protocols.KindCount {
		message += ", a whole number"
	}
	v.SetError(excelize.DataValidationErrorStyleWarning, "Look again", cut(message+". Keep it if it is right.", maxPrompt))
}

func digits(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func (p *page) checkChoice(v *excelize.DataValidation, e *protocols.Entry) {
	joined := strings.Join(e.Choices, ",")
	if units(joined) > maxInlineList || strings.Count(joined, ",") != len(e.Choices)-1 || strings.ContainsAny(joined, `"&<>`) {
		v.SetSqrefDropList(p.listRange(e.Choices))
	} else {
		p.try(v.SetDropList(e.Choices))
	}
	v.SetError(excelize.DataValidationErrorStyleInformation, "Not in the list", "Choose from the list if one fits, or keep what you typed.")
}

// checkDate warns of dates far from the batch: a slip of the year or of day and month.
func (p *page) checkDate(v *excelize.DataValidation, e *protocols.Entry) {
	if e.AnyTime {
		return
	}
	start := serial(p.sheet.Plan.Start, false)
	p.try(v.SetRange(digits(float64(int(start-daysBefore))), digits(float64(int(start+daysAfter))),
		excelize.DataValidationTypeDate, excelize.DataValidationOperatorBetween))
	v.SetError(excelize.DataValidationErrorStyleWarning, "Look again",
		"Write year-month-day, such as "+p.sheet.Plan.Start.Format("2006-01-02")+"; this is not a date near the batch. Keep it if it is right.")
}

// A date is usual from 90 days before the batch's start to 400 days after. Site choice.
const (
	daysBefore = 90
	daysAfter  = 400
)

// prompt is shown when the box is entered.
func prompt(e *protocols.Entry) string {
	var words []string
	switch e.Kind {
	case protocols.KindNumber:
		words = append(words, "A number"+inUnit(e))
	case protocols.KindCount:
		words = append(words, "A whole number"+inUnit(e))
	case protocols.KindDate:
		words = append(words, "Year-month-day, 2026-02-14")
	case protocols.KindTime:
		words = append(words, "Date and time, 2026-02-14 18:30")
	case protocols.KindChoice:
		words = append(words, "Choose from the list")
	}
	if e.HasRange {
		words = append(words, "usual: "+rangeWords(e))
	}
	if e.How != "" {
		words = append(words, "work out: "+e.How)
	}
	if e.Note != "" {
		words = append(words, e.Note)
	}
	return strings.Join(append(words, "ND if not done"), "; ") + "."
}

func inUnit(e *protocols.Entry) string {
	if u := unitWords(e.Unit); u != "" {
		return " in " + u
	}
	return ""
}

// serial is a time as workbooks count: days since 1899-12-30, or since 1904-01-01.
// Source: ECMA-376 date systems, from memory; right from 1900-03-01 on.
func serial(t time.Time, from1904 bool) float64 {
	zero := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if from1904 {
		zero = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	wall := time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
	seconds := wall.Unix() - zero.Unix()
	const day = 24 * 60 * 60
	return float64(seconds/day) + float64(seconds%day)/day
}
