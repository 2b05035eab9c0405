package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// valueWays type something else into a box.
var valueWays = []way{
	{"text for a number", func(b *breaker) mutant {
		return b.typedOver(b.box(holdsNumber), oneOf(b, "about right", "?", "n/a", "12 or 13", "see overleaf", "3 x 4", "1.2.3", "--", "zwölf"))
	}},
	{"a date for a number", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.restyle(x.cell, oneOf(b, 14, 15, 20, 22))
		return b.mutant().telling(string(x.Key))
	}},
	{"a percentage for a number", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.restyle(x.cell, oneOf(b, 9, 10))
		m := b.mutant().telling(string(x.Key))
		if x.Entry.Unit.Symbol() == "%" {
			m.typed = typedOf(x, givenNumber(x.reading.Number*100))
		}
		return m
	}},
	{"TRUE or FALSE", func(b *breaker) mutant {
		x := b.box(given)
		b.put(x.cell.Sheet, x.cell.Ref, "b", oneOf(b, "<v>1</v>", "<v>0</v>"))
		return b.mutant().telling(string(x.Key))
	}},
	{"an error value", func(b *breaker) mutant {
		x := b.box(given)
		b.put(x.cell.Sheet, x.cell.Ref, "e", "<v>"+oneOf(b, "#DIV/0!", "#N/A", "#REF!", "#VALUE!")+"</v>")
		return b.mutant().telling(string(x.Key))
	}},
	{"another unit typed: 60000 mL for L", typeOtherUnit},
	{"a unit of another kind: 12 g for L", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		unit := "g"
		if strings.Contains(x.Entry.Unit.Symbol(), "g") {
			unit = "L"
		}
		return b.typedOver(x, fmt.Sprintf("%g %s", x.reading.Number, unit))
	}},
	{"out of range", func(b *breaker) mutant {
		x := b.box(func(x mutantBox) bool { return holdsNumber(x) && x.Entry.HasRange })
		n := oneOf(b, x.Entry.High*10+7, -x.Entry.High-1, x.Entry.High+1)
		b.putNumber(x.cell.Sheet, x.cell.Ref, digitsOf(n))
		m := b.mutant().telling(string(x.Key))
		m.typed = typedOf(x, givenNumber(n))
		return m
	}},
	{"a decimal comma", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindNumber))
		text := strconv.FormatFloat(x.reading.Number, 'f', oneOf(b, 1, 2), 64)
		n, _ := strconv.ParseFloat(text, 64)
		m := b.typedOver(x, strings.Replace(text, ".", ",", 1))
		m.typed = typedOf(x, givenNumber(n))
		return m
	}},
	{"thousand or decimal: 1,234", func(b *breaker) mutant {
		return b.typedOver(b.box(holdsNumber), fmt.Sprintf("%d%s%03d", 1+b.random.IntN(999), oneOf(b, ",", "."), b.random.IntN(1000)))
	}},
	{"thousands marked: 12 345", func(b *breaker) mutant {
		x, n := b.box(holdsNumber), 1000+b.random.IntN(900000)
		m := b.typedOver(x, fmt.Sprintf("%d%s%03d", n/1000, oneOf(b, " ", "\u00a0", "'", "\u202f"), n%1000))
		m.typed = typedOf(x, givenNumber(float64(n)))
		return m
	}},
	{"no such choice", func(b *breaker) mutant {
		return b.typedOver(b.box(isKind(protocols.KindChoice)), oneOf(b, "maybe", "42", "x", "goo", "ja"))
	}},
	{"a date written another way", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindDate, protocols.KindTime))
		return b.typedOver(x, oneOf(b, "14.02.2026", "2/14/26", "14 Feb", "yesterday", "2026-13-01", "2026-02-30", "20260214"))
	}},
	{"a number for a date", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindDate, protocols.KindTime))
		b.restyle(x.cell, 0)
		return b.mutant().telling(string(x.Key))
	}},
	{"a clock time alone", typeClock},
	{"ND", func(b *breaker) mutant {
		x := b.box(given)
		b.putText(x.cell.Sheet, x.cell.Ref, oneOf(b, "ND", "nd", " n.d. ", "not done"))
		return b.mutantTyped(x, calc.Reading{State: calc.NotDone})
	}},
	{"only blanks", func(b *breaker) mutant {
		x := b.box(given)
		b.putText(x.cell.Sheet, x.cell.Ref, oneOf(b, " ", "   ", "\t", "\n", "\u00a0"))
		return b.mutantTyped(x, calc.Reading{State: calc.Blank})
	}},
	{"NaN, 1e999 and the like", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.putNumber(x.cell.Sheet, x.cell.Ref, oneOf(b, "NaN", "1e999", "-1e999", "inf", "0x1p4", "1_0", "1,5", "13.2.1", "１２"))
		return b.mutant().telling(string(x.Key))
	}},
	{"emoji and control characters", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindText))
		typed := oneOf(b, "🐚 limpets 🐚", "a_x0007_b|a\ab", "one\ntwo", "rtl \u202e abc", "e\u0301t\u00e9", "_x005F_x0041_|_x0041_", "\U0010FFFD", "=1+1", "<b>&amp;")
		written, want, differs := strings.Cut(typed, "|")
		if !differs {
			want = written
		}
		b.putText(x.cell.Sheet, x.cell.Ref, written)
		return b.mutantTyped(x, givenText(want))
	}},
	{"a character that XML forbids", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindText))
		b.put(x.cell.Sheet, x.cell.Ref, "inlineStr", "<is><t>a"+oneOf(b, "&#7;", "&#0;", "\x01", "\xff\xfe", "&#xFFFF;")+"b</t></is>")
		return b.mutant().telling(string(x.Key))
	}},
	{"very long text", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindText))
		long := strings.Repeat("väldigt lång ", oneOf(b, 100, 2500, 20000)) + "end"
		b.putText(x.cell.Sheet, x.cell.Ref, long)
		return b.mutantTyped(x, givenText(long))
	}},
	{"very long text for a number", func(b *breaker) mutant {
		return b.typedOver(b.box(holdsNumber), strings.Repeat("1234567890", oneOf(b, 100, 3000)))
	}},
	{"another plausible number", func(b *breaker) mutant {
		x := b.box(func(x mutantBox) bool { return holdsNumber(x) && x.Entry.HasRange && x.Entry.Low != x.Entry.High })
		n := float64(int(x.Entry.Low + (x.Entry.High-x.Entry.Low)*b.random.Float64()))
		b.putNumber(x.cell.Sheet, x.cell.Ref, digitsOf(n))
		return b.mutantTyped(x, givenNumber(n))
	}},
	{"a zero, which is no blank", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.putNumber(x.cell.Sheet, x.cell.Ref, oneOf(b, "0", "0.0", "-0", "0E+00"))
		return b.mutantTyped(x, givenNumber(0))
	}},
	{"left blank", func(b *breaker) mutant {
		x := b.box(given)
		b.clear(x.cell)
		return b.mutantTyped(x, calc.Reading{State: calc.Blank})
	}},
}

func digitsOf(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// typedOver types a text that must be told, whatever becomes of it.
func (b *breaker) typedOver(x mutantBox, text string) mutant {
	b.putText(x.cell.Sheet, x.cell.Ref, text)
	return b.mutant().telling(string(x.Key))
}

// mutantTyped is a mutant in which a box now holds a reading; one that must be filled in
// and is not must be told.
func (b *breaker) mutantTyped(x mutantBox, r calc.Reading) mutant {
	m := b.mutant()
	m.typed = typedOf(x, r)
	if x.Entry.Required && x.Table == nil && r.State != calc.Given {
		m.tell = []string{string(x.Key)}
	}
	return m
}

// smaller are units that people type beside a number, and how many make one of the box's.
var smaller = map[string]struct {
	unit string
	many float64
}{"L": {"mL", 1000}, "mL": {"L", 0.001}, "g": {"mg", 1000}, "m": {"cm", 100}, "mm": {"cm", 0.1}, "cm": {"mm", 10},
	"h": {"min", 60}, "min": {"h", 1.0 / 64}, "km": {"m", 1000}}

func typeOtherUnit(b *breaker) mutant {
	x := b.box(func(x mutantBox) bool { return holdsNumber(x) && smaller[x.Entry.Unit.Symbol()].unit != "" })
	to := smaller[x.Entry.Unit.Symbol()]
	m := b.typedOver(x, digitsOf(x.reading.Number*to.many)+oneOf(b, " ", "")+to.unit)
	m.typed = typedOf(x, givenNumber(x.reading.Number*to.many/to.many))
	return m
}

// typeClock types the time of day without its date: it is that of the day that brings it
// nearest to the planned time.
func typeClock(b *breaker) mutant {
	x := b.box(isKind(protocols.KindTime))
	at := time.Unix(int64(x.reading.Number), 0).UTC().Truncate(time.Minute)
	planned := b.sheet.Steps[x.Step].Time
	b.putText(x.cell.Sheet, x.cell.Ref, at.Format("15:04"))
	if planned.IsZero() {
		return b.mutant().telling(string(x.Key))
	}
	for at.Sub(planned) > 12*time.Hour {
		at = at.AddDate(0, 0, -1)
	}
	for planned.Sub(at) > 12*time.Hour {
		at = at.AddDate(0, 0, 1)
	}
	return b.mutantTyped(x, calc.Reading{State: calc.Given, Number: float64(at.Unix()), Text: at.Format("2006-01-02T15:04:05")})
}
