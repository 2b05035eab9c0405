package workbook

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// Fill types values into the boxes of a workbook, as a person would, and gives the bytes
// of the filled copy; content is not changed.
//
// Values are string, float64, int or time.Time (clock time, no zone; it becomes the day
// number that the workbook's date system asks for).
// Range: finite numbers and the four kinds of value. Errors: ErrUnknown for a key that has no
// box, each told; those of Read.
func Fill(content []byte, values map[calc.Key]any) (out []byte, err error) {
	defer guard(&err)
	o, err := openOurs(content, toWrite)
	if err != nil {
		return nil, err
	}
	defer o.Close()
	f, m, names := o.File, o.manifest, o.names
	if err := sound(f); err != nil {
		return nil, err
	}
	boxes := map[calc.Key]target{}
	for _, n := range m.names {
		if t, ok := names[strings.ToLower(n.Name)]; ok && n.Kind == kindEntry {
			boxes[calc.Key(n.Of)] = t
		}
	}
	if err := typeAll(f, boxes, values); err != nil {
		return nil, err
	}
	forgetResults(f)
	return bytesOf(f)
}

// forgetResults drops the results of formulas, so that every program computes them anew.
func forgetResults(f *excelize.File) {
	f.Sheet.Range(func(_, sheet any) bool {
		rows := reflect.ValueOf(sheet).Elem().FieldByName("SheetData").FieldByName("Row")
		for r := range rows.Len() {
			cells := rows.Index(r).FieldByName("C")
			for c := range cells.Len() {
				if cell := cells.Index(c); !cell.FieldByName("F").IsNil() {
					cell.FieldByName("T").SetString("")
					cell.FieldByName("V").SetString("")
				}
			}
		}
		return true
	})
}

func typeAll(f *excelize.File, boxes map[calc.Key]target, values map[calc.Key]any) error {
	keys := make([]calc.Key, 0, len(values))
	for key := range values {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	from1904 := newReader(f).from1904()
	var faults []error
	for _, key := range keys {
		t, ok := boxes[key]
		if !ok {
			faults = append(faults, fmt.Errorf("%w: %q; keys are those of calc.Sheet.Boxes for the plan in the workbook", ErrUnknown, key))
			continue
		}
		if err := typeIn(f, t, values[key], from1904); err != nil {
			faults = append(faults, fmt.Errorf("box %q: %w", key, err))
		}
	}
	return errors.Join(faults...)
}

func typeIn(f *excelize.File, t target, value any, from1904 bool) error {
	switch v := value.(type) {
	case string:
		return f.SetCellStr(t.sheet, t.ref, v)
	case int:
		return f.SetCellInt(t.sheet, t.ref, int64(v))
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%v is no number that a workbook holds; give a finite one, or a text", v)
		}
		return setNumber(f, t.sheet, t.ref, v)
	case time.Time:
		return setNumber(f, t.sheet, t.ref, serial(v, from1904))
	}
	return fmt.Errorf("a %T cannot be typed in; give a string, float64, int or time.Time", value)
}

// setNumber stores a number exactly; SetCellFloat of excelize 2.11.1 cuts it to 15 digits.
// The cell is emptied first, or a text written inline by another program would stay in it.
func setNumber(f *excelize.File, sheet, ref string, x float64) error {
	if err := f.SetCellDefault(sheet, ref, ""); err != nil {
		return err
	}
	return f.SetCellDefault(sheet, ref, strconv.FormatFloat(x, 'f', -1, 64))
}

func bytesOf(f *excelize.File) ([]byte, error) {
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
