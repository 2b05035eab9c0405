package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// previewMost is how many amounts are shown at most: those a person plans by.
const previewMost = 12

// preview keeps what a draft comes to, until its text changes.
type preview struct {
	of      string
	sheet   *calc.Sheet
	err     error
	faults  []told
	lacking []*protocols.Setting
}

// look computes the plan as answered so far.
func (s *planner) look() preview {
	if s.protocol == nil || s.answers.species == "" {
		return preview{}
	}
	d, err := s.draft()
	if err != nil {
		return preview{err: err, faults: []told{{says: inWords(err)}}}
	}
	d.standIn("")
	text := d.text()
	if s.seen.of != string(text) {
		seen := preview{of: string(text)}
		var plan calc.Plan
		seen.sheet, plan, seen.faults, seen.err = s.scale(d)
		_, seen.lacking = calc.Settled(s.protocol, s.site, plan)
		s.seen = seen
	}
	return s.seen
}

// lines shows a preview in so many columns and lines.
func (v preview) lines(width, height int) []string {
	if height < 1 {
		return nil
	}
	var lines []string
	var shortage *calc.Shortage
	switch {
	case v.sheet != nil:
		lines = append([]string{"What this batch comes to"}, amountLines(v.sheet, width, min(previewMost, height-1))...)
	case errors.As(v.err, &shortage):
		for i, line := range strings.Split(shortage.Error(), "\n") {
			if i == 0 {
				line = capital(line)
			}
			lines = append(lines, wrapped(line, width)...)
		}
	case len(v.lacking) > 0:
		lines = wrapped("The amounts are shown here once there are: "+labelsOf(v.lacking), width)
	default:
		for _, t := range v.faults {
			lines = append(lines, wrapped(t.says, width)...)
		}
	}
	return fitted(lines, height)
}

// fitted cuts lines to a height and says so.
func fitted(lines []string, height int) []string {
	if len(lines) <= height {
		return lines
	}
	return append(slices.Clone(lines[:height-1]), "...")
}

func labelsOf(settings []*protocols.Setting) string {
	var words []string
	for _, s := range settings {
		words = append(words, s.Label)
	}
	return strings.Join(words, ", ")
}

// amountLines shows the amounts that matter, in order of need, in at most so many lines.
func amountLines(sheet *calc.Sheet, width, most int) []string {
	matter := leading(sheet)
	if len(matter) > most {
		matter = matter[:max(0, most-1)]
	}
	slices.Sort(matter)
	widest := 0
	for _, i := range matter {
		widest = max(widest, utf8.RuneCountInString(sheet.Amounts[i].Definition.Label))
	}
	var lines []string
	for _, i := range matter {
		a := &sheet.Amounts[i]
		line := fmt.Sprintf("  %-*s  %s", widest, a.Definition.Label, a.Rounded.Format(0))
		if more := line + beside(sheet, a); utf8.RuneCountInString(more) <= width {
			line = more
		}
		lines = append(lines, cut(line, width))
	}
	if left := len(sheet.Amounts) - len(matter); left > 0 && most > 0 {
		lines = append(lines, fmt.Sprintf("  and %d more on the sheet", left))
	}
	return lines
}

// beside says what the site has where an amount is held against it, and into how many
// parts it is dealt.
func beside(sheet *calc.Sheet, a *calc.Amount) string {
	for _, l := range sheet.Protocol.Limits {
		if l.Needs == a.Definition.ID {
			return fmt.Sprintf(" (site: %s)", strings.TrimSuffix(sheet.Show(l.Has), " "+a.Rounded.Unit().Print()))
		}
	}
	if n := len(a.Parts); n > 1 {
		return fmt.Sprintf(" (in %d parts)", n)
	}
	return ""
}

// leading ranks the amounts of a sheet, as indexes: first what the site must have, then
// what is got ready, then whatever else grows with the batch, then the rest.
func leading(sheet *calc.Sheet) []int {
	var ids []string
	for _, l := range sheet.Protocol.Limits {
		ids = append(ids, l.Needs)
	}
	for _, m := range sheet.Protocol.Materials {
		ids = append(ids, m.Amount)
	}
	for _, scales := range []bool{true, false} {
		for i := range sheet.Amounts {
			if def := sheet.Amounts[i].Definition; def.Scales == scales {
				ids = append(ids, def.ID)
			}
		}
	}
	var ranked []int
	for _, id := range ids {
		i := slices.IndexFunc(sheet.Amounts, func(a calc.Amount) bool { return a.Definition.ID == id })
		if i >= 0 && !slices.Contains(ranked, i) {
			ranked = append(ranked, i)
		}
	}
	return ranked
}

// cut shortens a line to a width.
func cut(line string, width int) string {
	if runes := []rune(line); len(runes) > width && width > 1 {
		return string(runes[:width-1]) + "…"
	}
	return line
}

// wrapped breaks a line between words; what follows is indented as the line is, and by
// two more.
func wrapped(line string, width int) []string {
	indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
	var lines []string
	now := indent
	for i, word := range strings.FieldsFunc(line, func(r rune) bool { return r == ' ' }) { // digits in threes stay together
		if i > 0 && utf8.RuneCountInString(now)+1+utf8.RuneCountInString(word) > width {
			lines, now = append(lines, now), indent+"  "+word
			continue
		}
		if i > 0 {
			now += " "
		}
		now += word
	}
	return append(lines, now)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
