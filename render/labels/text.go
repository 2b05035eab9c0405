package labels

import (
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/render/style"
)

// batchLabels is how many labels name the batch alone: one for the clipboard, one for the
// door or the logbook. Site choice.
const batchLabels = 2

// texts is what a label says.
type texts struct {
	code    string // what its QR code holds
	batch   string
	title   line
	amounts []line
	foot    []line // each on a line of its own where there is room
	tight   []line // the same in less lines
}

// line is a line of a label: strong and tail are always printed whole, cut is shortened
// where the line is too long.
type line struct{ strong, cut, tail string }

// textsOf writes every label of a batch, its own first, then those of its vessels. The code
// of a vessel adds what counts it and its number: "KS-26-01 e1aaf6d62d08 beakers.3".
func textsOf(s *calc.Sheet) []texts {
	foot, tight := feet(s)
	own := texts{
		code: s.Plan.Batch + " " + s.Digest, batch: s.Plan.Batch, title: line{cut: printable(s.Protocol.Stage)},
		amounts: []line{{cut: printable(s.Protocol.Title)}, {cut: printable(s.Site.Name)}}, foot: foot, tight: tight,
	}
	var list []texts
	for range batchLabels {
		list = append(list, own)
	}
	for _, v := range s.Vessels() {
		t := texts{
			code: fmt.Sprintf("%s %s.%d", own.code, v.Count, v.Number), batch: s.Plan.Batch,
			title: line{cut: printable(v.Name), tail: fmt.Sprintf(" %d of %d", v.Number, v.Of)}, foot: foot, tight: tight,
		}
		for _, a := range v.Amounts {
			t.amounts = append(t.amounts, amount(a))
		}
		list = append(list, t)
	}
	return list
}

// amount is a part and what of; "3 animals" needs no "Animals" beside it.
func amount(a calc.Portion) line {
	l := line{strong: printable(a.Part.Format(0))}
	if !strings.EqualFold(a.Label, a.Part.Unit().Print()) {
		l.cut = "  " + printable(a.Label)
	}
	return l
}

// feet are the lines that all labels of a batch end with.
func feet(s *calc.Sheet) (wide, tight []line) {
	species, start := printable(s.Plan.Species), s.Plan.Start.Format("2006-01-02 15:04")
	protocol := line{cut: s.Protocol.ID, tail: "@" + s.Protocol.Version}
	wide = []line{{cut: species}, {tail: "start " + start}, protocol}
	return wide, []line{{strong: start, cut: "  " + species}, protocol}
}

func printable(text string) string {
	text, _ = style.Printable(strings.TrimSpace(text))
	return text
}
