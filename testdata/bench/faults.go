package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/protocols"
)

// faultyShare is the share of workbooks with mistakes, unless another is asked for; common practice, no source.
const faultyShare = 0.05

// mistake is one way in which people fill a box in wrongly; ok is false where the box is
// not of the kind for it.
type mistake func(box calc.Box, now any) (wrong any, ok bool)

var mistakes = []mistake{
	func(b calc.Box, now any) (any, bool) { _, ok := now.(float64); return "about ten", ok },
	func(b calc.Box, now any) (any, bool) { x, ok := now.(float64); return x*1000 + 7, ok },
	func(b calc.Box, now any) (any, bool) {
		x, ok := now.(float64)
		return fmt.Sprintf("%g mL", x*1000), ok && b.Entry.Unit.Symbol() == "L"
	},
	func(b calc.Box, now any) (any, bool) {
		x, ok := now.(float64)
		return fmt.Sprintf("%g g", x), ok && b.Entry.Unit.Symbol() != "g"
	},
	func(b calc.Box, now any) (any, bool) {
		x, ok := now.(float64)
		return strings.Replace(fmt.Sprintf("%.1f", x), ".", ",", 1), ok && b.Entry.Kind == protocols.KindNumber
	},
	func(b calc.Box, now any) (any, bool) {
		x, ok := now.(float64)
		return x + 0.5, ok && b.Entry.Kind == protocols.KindCount
	},
	func(b calc.Box, now any) (any, bool) { return "ND", b.Entry.Required },
	func(b calc.Box, now any) (any, bool) { return nil, b.Entry.Required },
	func(b calc.Box, now any) (any, bool) { return "goood", b.Entry.Kind == protocols.KindChoice },
	func(b calc.Box, now any) (any, bool) {
		t, ok := now.(time.Time)
		return t.AddDate(-3, 0, 0), ok
	},
	func(b calc.Box, now any) (any, bool) {
		t, ok := now.(time.Time)
		return t.AddDate(0, 1, 0), ok
	},
	func(b calc.Box, now any) (any, bool) { _, ok := now.(time.Time); return "in the morning", ok },
	func(b calc.Box, now any) (any, bool) {
		x, ok := now.(float64)
		return x * 1.3, ok && b.Entry.WorksOut != nil
	},
	func(b calc.Box, now any) (any, bool) { return "TK", b.Entry.ID == "checked" },
}

// spoil writes one to three mistakes into values, and now and then leaves work out.
func spoil(sheet *calc.Sheet, values example.Values, wild *rand.Rand) {
	if wild.Float64() < skipShare {
		skip(sheet, values, wild)
	}
	boxes := sheet.Boxes()
	for todo := 1 + wild.IntN(3); todo > 0; {
		box := boxes[wild.IntN(len(boxes))]
		wrong, ok := mistakes[wild.IntN(len(mistakes))](box, values[box.Key])
		if !ok {
			continue
		}
		todo--
		if wrong == nil {
			delete(values, box.Key)
			continue
		}
		values[box.Key] = wrong
	}
}

// skipShare is the share of faulty workbooks in which a table or a step was not done.
const skipShare = 0.15

// skip writes ND into the required boxes of one table, or of a step with its tables.
func skip(sheet *calc.Sheet, values example.Values, wild *rand.Rand) {
	boxes := sheet.Boxes()
	chosen := boxes[wild.IntN(len(boxes))]
	for _, b := range boxes {
		if b.Step != chosen.Step || chosen.Table != nil && b.Table != chosen.Table || strings.HasPrefix(string(b.Key), "sign.") {
			continue
		}
		delete(values, b.Key)
		if b.Entry.Required {
			values[b.Key] = "ND"
		}
	}
}

// changeAmount overwrites a printed amount, as nobody should.
func changeAmount(content []byte, amount string) ([]byte, error) {
	f, err := excelize.OpenReader(bytes.NewReader(content), excelize.Options{RawCellValue: true})
	if err != nil {
		return nil, err
	}
	defer f.Close()
	at, ok := namedCells(f)["a_"+amount]
	if !ok {
		return nil, fmt.Errorf("the workbook has no amount %s", amount)
	}
	if err := f.SetCellValue(at.sheet, at.ref, 4711); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = f.Write(&out)
	return out.Bytes(), err
}
