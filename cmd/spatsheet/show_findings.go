package main

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// showWidth is the columns that findings are written in, and findingIndent where their
// words begin.
const (
	showWidth     = 80
	findingIndent = 17
)

// showFindings prints one workbook's findings by sheet: the sheet with the worst first,
// and in a sheet the worst first.
func (p *program) showFindings(name string, r *station.Returned) {
	p.showHead(name, fmt.Sprintf("batch %s, %s: %s", r.Sheet.Plan.Batch, r.Sheet.Protocol.Ref(), countWords(check.Levels(r.Result.Findings))))
	p.listFindings(r.Result.Findings, r.Result.Readings)
	if len(r.Result.Findings) > 0 {
		fmt.Fprintln(p.out)
	}
}

// showHead writes a file's name and what is said of it, in two lines if one is too short.
func (p *program) showHead(name, says string) {
	between := " "
	if utf8.RuneCountInString(name)+len(": ")+utf8.RuneCountInString(says) > showWidth {
		between = "\n  "
	}
	fmt.Fprintf(p.out, "%s:%s%s\n", name, between, says)
}

func (p *program) listFindings(findings []check.Finding, readings []calc.Reading) {
	typed := map[calc.Key]string{}
	for _, reading := range readings {
		typed[reading.Key] = typedWords(reading)
	}
	sheet := ""
	for i, f := range worstFirst(findings, readings) {
		if f.Sheet != sheet || i == 0 {
			if sheet = f.Sheet; sheet != "" {
				fmt.Fprintf(p.out, "\n  sheet %q\n", sheet)
			}
		}
		raw := f.Raw
		if words := typed[f.Key]; words != "" {
			raw = words
		}
		p.showFinding(f, raw)
	}
}

func (p *program) showFinding(f check.Finding, raw string) {
	indent := strings.Repeat(" ", findingIndent)
	p.showEntry(f)
	if raw != "" {
		p.lines(indent + "typed: " + strings.ReplaceAll(raw, "\n", " / "))
	}
	p.lines(indent + f.Says)
	p.lines(indent + "→ " + f.Remedy)
}

// showEntry writes level, cell and name.
func (p *program) showEntry(f check.Finding) {
	entry := wrapped(strings.Repeat(" ", findingIndent)+f.Entry, showWidth)
	entry[0] = fmt.Sprintf("  %-8s %-5s ", f.Level, f.Ref) + strings.TrimLeft(entry[0], " ")
	fmt.Fprintln(p.out, strings.TrimRight(strings.Join(entry, "\n"), " "))
}

// lines writes a text in as many lines as it needs.
func (p *program) lines(text string) {
	fmt.Fprintln(p.out, strings.Join(wrapped(text, showWidth), "\n"))
}

// typedWords is a date as people read it, beside the day number that is stored for it;
// empty for everything else.
func typedWords(r calc.Reading) string {
	if _, err := strconv.ParseFloat(r.Raw, 64); err != nil || r.State != calc.Given || !strings.Contains(r.Text, "-") || r.Number == 0 {
		return ""
	}
	return calc.Spoken(r.Text) + " (stored as " + r.Raw + ")"
}

// worstFirst orders findings by sheet, the sheet with the worst finding first, else as the
// sheets come; within a sheet by level, else as they stand. What is of no sheet leads.
func worstFirst(findings []check.Finding, readings []calc.Reading) []check.Finding {
	place, worst := map[string]int{"": -1}, map[string]int{"": -1}
	see := func(sheet string) {
		if _, ok := place[sheet]; !ok {
			place[sheet] = len(place)
		}
	}
	for _, r := range readings {
		see(r.Sheet)
	}
	for _, f := range findings {
		see(f.Sheet)
		if rank, ok := worst[f.Sheet]; !ok || f.Level.Rank() < rank {
			worst[f.Sheet] = f.Level.Rank()
		}
	}
	return slices.SortedStableFunc(slices.Values(findings), func(a, b check.Finding) int {
		return cmp.Or(worst[a.Sheet]-worst[b.Sheet], place[a.Sheet]-place[b.Sheet], a.Level.Rank()-b.Level.Rank())
	})
}

func countWords(counts map[protocols.Level]int) string {
	if len(counts) == 0 {
		return "no findings"
	}
	var parts []string
	for _, l := range []protocols.Level{protocols.Error, protocols.Warning, protocols.Note} {
		if n := counts[l]; n > 0 {
			parts = append(parts, quantity.Counted(n, string(l), string(l)+"s"))
		}
	}
	return strings.Join(parts, ", ")
}

// summary counts many workbooks together.
type summary struct {
	files, clean, withErrors, unread int
	worst                            []fileCount // those with errors
}

type fileCount struct {
	name   string
	counts map[protocols.Level]int
}

func (s *summary) add(name string, findings []check.Finding) {
	s.files++
	counts := check.Levels(findings)
	switch {
	case len(findings) == 0:
		s.clean++
	case counts[protocols.Error] > 0:
		s.withErrors++
		s.worst = append(s.worst, fileCount{name, counts})
	}
}

func (s *summary) addUnread() { s.files, s.unread = s.files+1, s.unread+1 }

// worstShown is how many files the summary names.
const worstShown = 5

// showSummary tells of many workbooks how many are clean and which are the worst.
func (p *program) showSummary(s summary) {
	parts := []string{fmt.Sprintf("%d without findings", s.clean), fmt.Sprintf("%d with errors", s.withErrors)}
	if others := s.files - s.clean - s.withErrors - s.unread; others > 0 {
		parts = append(parts, fmt.Sprintf("%d with warnings or notes only", others))
	}
	if s.unread > 0 {
		parts = append(parts, fmt.Sprintf("%d not readable", s.unread))
	}
	p.lines(quantity.Counted(s.files, "workbook", "workbooks") + ": " + strings.Join(parts, ", "))
	slices.SortStableFunc(s.worst, func(a, b fileCount) int {
		return cmp.Or(b.counts[protocols.Error]-a.counts[protocols.Error], b.counts[protocols.Warning]-a.counts[protocols.Warning])
	})
	for i, f := range s.worst {
		if i == worstShown {
			fmt.Fprintf(p.out, "  and %d more\n", len(s.worst)-i)
			break
		}
		fmt.Fprintf(p.out, "  %-21s %s\n", countWords(f.counts), f.name)
	}
}
