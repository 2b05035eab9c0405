package benchsheet

import (
	"fmt"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols/quantity"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// cardHead names the batch in the first quarter.
func (f *form) cardHead(wide float64) page.Block {
	b := page.Block{}
	room := wide - cardCode
	batch := fitted(page.Font{SizePt: style.BatchPt, Bold: true}, f.sheet.Plan.Batch, room)
	top := b.Text(0, 0, batch, f.sheet.Plan.Batch)
	top = b.Text(0, top, labelBold, labelBold.Shorten(f.sheet.Plan.Species, room))
	top = b.Text(0, top, label, f.sheet.Plan.Start.Format("Mon 2 January 2006, 15:04"))
	b.Add(f.code.Flush(wide, 0, cardCode))
	top = max(top, cardCode-4)
	top = b.Text(0, top, labelBold, labelBold.Shorten(f.sheet.Protocol.Title, wide))
	top = b.Text(0, top, small, small.Shorten(f.identity(), wide))
	b.Rule(0, top+0.8, wide, top+0.8, style.HeavyLine)
	return b
}

// cardStep is one step of the card: number, time and title, cautions, amounts large with
// their names beside them, and what was left out. told notes cautions printed, by their id.
func (f *form) cardStep(s *calc.Step, wide float64, size cardSizes, keeps cardKeeps, told map[string]cardCaution) page.Block {
	b := page.Block{Before: 2.5}
	b.Rule(0, 0, wide, 0, style.HairLine)
	top := f.cardTitle(&b, s, wide, size)
	top, cautions := cardCautions(&b, s, top, wide, page.Font{SizePt: size.caution}, keeps, told)
	for _, a := range s.Amounts[:min(len(s.Amounts), keeps.amounts)] {
		top = f.cardAmount(&b, a, top, wide, size, keeps.parts)
	}
	var left []string
	if n := len(s.Amounts) - keeps.amounts; n > 0 {
		left = append(left, quantity.Counted(n, "more amount", "more amounts"))
	}
	if cautions > 0 {
		left = append(left, quantity.Counted(cautions, "more caution", "more cautions"))
	}
	if len(left) > 0 {
		b.Text(0, top, page.Font{SizePt: size.caution, Bold: true}, "+ "+strings.Join(left, ", ")+": see the sheet")
	}
	return b
}

// cardCaution is where a caution stands on the card: its number there, and its step's.
type cardCaution struct{ number, step int }

// cardCautions puts a step's cautions, each whole over as many lines as it takes, or those
// of earlier steps by number: "⚠1 ⚠3 again: see steps 1, 2". left is how many there are more.
func cardCautions(b *page.Block, s *calc.Step, top, wide float64, face page.Font, keeps cardKeeps, told map[string]cardCaution) (lower float64, left int) {
	again, steps, shown := "", []string(nil), 0
	for _, c := range s.Cautions {
		sign := alarm
		if at, ok := told[c.ID]; ok && !keeps.repeated {
			again += fmt.Sprintf("%s%d ", alarm, at.number)
			if step := fmt.Sprint(at.step); !slices.Contains(steps, step) {
				steps = append(steps, step)
			}
			continue
		}
		if shown++; shown > keeps.cautions {
			left++
			continue
		}
		if !keeps.repeated {
			told[c.ID] = cardCaution{len(told) + 1, s.Number}
			sign += fmt.Sprint(len(told))
		}
		b.Text(0, top, face, sign)
		indent := face.Width(sign + " ")
		top = max(b.Lines(indent, top, wide-indent, face, c.Text), top+face.Line())
	}
	if again != "" {
		which := "step "
		if len(steps) > 1 {
			which = "steps "
		}
		top = b.Lines(0, top, wide, face, again+"again: see "+which+strings.Join(steps, ", "))
	}
	return top, left
}

// cardTitle puts a step's number, title and, at the right, its time.
func (f *form) cardTitle(b *page.Block, s *calc.Step, wide float64, size cardSizes) float64 {
	number, time, title := page.Font{SizePt: size.number, Bold: true}, page.Font{SizePt: size.time, Bold: true}, page.Font{SizePt: size.title, Bold: true}
	b.Text(0, 0.6, number, fmt.Sprint(s.Number))
	left := number.Width(fmt.Sprint(s.Number)) + 2.5
	when := f.when(s.Time)
	top := b.Text(left, 1, time, when)
	room := wide - left
	lines := title.Wrap(s.Definition.Title, room)
	if len(lines) > 2 {
		lines = []string{lines[0], title.Shorten(lines[1]+" "+lines[2], room)}
	}
	for _, l := range lines {
		top = b.Text(left, top, title, l)
	}
	return max(top, 0.6+number.Line())
}

// cardAmount puts an amount large, and beside it what it is, or under it where there is
// no room; then how it is dealt out.
func (f *form) cardAmount(b *page.Block, a *calc.Amount, top, wide float64, size cardSizes, parts bool) float64 {
	large := fitted(page.Font{SizePt: size.amount, Bold: true}, show(a.Rounded), wide)
	names := page.Font{SizePt: size.label}
	lower := b.Text(0, top, large, show(a.Rounded))
	left := large.Width(show(a.Rounded)) + 2.5
	baseline := top + large.Ascent() - names.Ascent()
	if room := wide - left; names.Width(a.Definition.Label) <= room || room > wide/3 && !parts {
		b.Text(left, baseline, names, names.Shorten(a.Definition.Label, room))
	} else {
		lower = b.Text(0, lower, names, names.Shorten(a.Definition.Label, wide))
	}
	if parts && len(a.Parts) > 1 {
		lower = b.Text(0, lower, names, names.Shorten("= "+inGroups(a.Parts), wide))
	}
	return lower
}
