package benchsheet

import (
	"fmt"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/render/style"
)

// cardHead names the batch in the first quarter.
func (f *form) cardHead(wide float64) block {
	b := block{}
	room := wide - cardCode
	batch := fitted(font{style.BatchPt, true}, f.sheet.Plan.Batch, room)
	top := b.text(0, 0, batch, f.sheet.Plan.Batch)
	top = b.text(0, top, labelBold, labelBold.shorten(f.sheet.Plan.Species, room))
	top = b.text(0, top, label, f.sheet.Plan.Start.Format("Mon 2 January 2006, 15:04"))
	b.add(f.code.flush(wide, 0, cardCode))
	top = max(top, cardCode-4)
	top = b.text(0, top, labelBold, labelBold.shorten(f.sheet.Protocol.Title, wide))
	top = b.text(0, top, small, small.shorten(f.identity(), wide))
	b.rule(0, top+0.8, wide, top+0.8, style.HeavyLine)
	return b
}

// shorten makes text fit for print in one line of a width.
func (f font) shorten(s string, width float64) string {
	s, _ = style.Printable(s)
	return f.face().Shorten(s, f.sizePt, width)
}

// cardStep is one step of the card: number, time and title, cautions, amounts large with
// their names beside them, and what was left out. told notes cautions printed, by their id.
func (f *form) cardStep(s *calc.Step, wide float64, size cardSizes, keeps cardKeeps, told map[string]cardCaution) block {
	b := block{before: 2.5}
	b.rule(0, 0, wide, 0, style.HairLine)
	top := f.cardTitle(&b, s, wide, size)
	top, cautions := cardCautions(&b, s, top, wide, font{size.caution, false}, keeps, told)
	for _, a := range s.Amounts[:min(len(s.Amounts), keeps.amounts)] {
		top = f.cardAmount(&b, a, top, wide, size, keeps.parts)
	}
	var left []string
	if n := len(s.Amounts) - keeps.amounts; n > 0 {
		left = append(left, plural(n, "more amount"))
	}
	if cautions > 0 {
		left = append(left, plural(cautions, "more caution"))
	}
	if len(left) > 0 {
		b.text(0, top, font{size.caution, true}, "+ "+strings.Join(left, ", ")+": see the sheet")
	}
	return b
}

func plural(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return fmt.Sprintf("%d %s", n, thing)
}

// cardCaution is where a caution stands on the card: its number there, and its step's.
type cardCaution struct{ number, step int }

// cardCautions puts a step's cautions, each whole over as many lines as it takes, or those
// of earlier steps by number: "⚠1 ⚠3 again: see steps 1, 2". left is how many there are more.
func cardCautions(b *block, s *calc.Step, top, wide float64, face font, keeps cardKeeps, told map[string]cardCaution) (lower float64, left int) {
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
		b.text(0, top, face, sign)
		indent := face.width(sign + " ")
		top = max(b.lines(indent, top, wide-indent, face, c.Text), top+face.line())
	}
	if again != "" {
		which := "step "
		if len(steps) > 1 {
			which = "steps "
		}
		top = b.lines(0, top, wide, face, again+"again: see "+which+strings.Join(steps, ", "))
	}
	return top, left
}

// cardTitle puts a step's number, title and, at the right, its time.
func (f *form) cardTitle(b *block, s *calc.Step, wide float64, size cardSizes) float64 {
	number, time, title := font{size.number, true}, font{size.time, true}, font{size.title, true}
	b.text(0, 0.6, number, fmt.Sprint(s.Number))
	left := number.width(fmt.Sprint(s.Number)) + 2.5
	when := f.when(s.Time)
	top := b.text(left, 1, time, when)
	room := wide - left
	lines := title.wrap(s.Definition.Title, room)
	if len(lines) > 2 {
		lines = []string{lines[0], title.shorten(lines[1]+" "+lines[2], room)}
	}
	for _, l := range lines {
		top = b.text(left, top, title, l)
	}
	return max(top, 0.6+number.line())
}

// cardAmount puts an amount large, and beside it what it is, or under it where there is
// no room; then how it is dealt out.
func (f *form) cardAmount(b *block, a *calc.Amount, top, wide float64, size cardSizes, parts bool) float64 {
	large := fitted(font{size.amount, true}, show(a.Rounded), wide)
	names := font{size.label, false}
	lower := b.text(0, top, large, show(a.Rounded))
	left := large.width(show(a.Rounded)) + 2.5
	baseline := top + large.ascent() - names.ascent()
	if room := wide - left; names.width(a.Definition.Label) <= room || room > wide/3 && !parts {
		b.text(left, baseline, names, names.shorten(a.Definition.Label, room))
	} else {
		lower = b.text(0, lower, names, names.shorten(a.Definition.Label, wide))
	}
	if parts && len(a.Parts) > 1 {
		lower = b.text(0, lower, names, names.shorten("= "+inGroups(a.Parts), wide))
	}
	return lower
}
