package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/check"
	"spatsheet/protocols/quantity"
)

// inputKind says how the text of a flag is read.
type inputKind int

const (
	measured inputKind = iota // a quantity of the input's own dimension
	whole                     // the same, without a fraction
	part                      // a part of one: 0.6 or 60 %, and a bare 1 is asked back
	strength                  // a quantity of any dimension
	list                      // whole numbers, with commas or blanks between
	row                       // quantities of the input's own dimension, with blanks between
	word                      // one of the choices
)

// input is one flag of a question.
type input struct {
	name     string
	says     string // what it is, in the trade's words
	unit     string // of the value handed on, and of a number alone; empty for a pure number
	kind     inputKind
	like     string // an example
	fallback string // taken when the flag is left out
	optional bool   // may be left out, without a fallback
	choices  []string
}

// reading is an input's value: number is in the input's own unit.
type reading struct {
	number   float64
	quantity quantity.Quantity
	list     []int
	row      []float64
	word     string
}

// usage is the flag's line of help.
func (in input) usage() string {
	says := in.says
	switch {
	case in.kind == word:
		says += ": `" + strings.Join(in.choices, "|") + "`"
	case in.kind == list:
		says += ": `WHOLE NUMBERS` with commas between"
	case in.kind == row && in.unit != "":
		says += ": `NUMBERS` in " + in.unit + " with blanks between"
	case in.kind == row:
		says += ": `NUMBERS` with blanks between"
	case in.unit != "":
		says += ": `QUANTITY`, a number alone is in " + in.unit
	case in.kind == strength:
		says += ": `QUANTITY` in any unit"
	case in.kind == part:
		says += ": `PART` of one, such as 0.6 or '60 %'"
	default:
		says += ": `NUMBER`"
	}
	switch {
	case in.fallback != "":
		says += "; without it " + in.fallback
	case in.optional:
		says += "; may be left out"
	}
	return says
}

// read takes every flag of the question, and reports all that are wrong, not the first only.
func (b *bench) read(c *cli.Context, q question) error {
	if c.Args().Present() {
		return usageFault("bench %s takes flags only, and %q is none; put quotes round a quantity: --volume '40 L'", q.name, c.Args().First())
	}
	b.values = map[string]reading{}
	var faults []error
	for _, in := range q.inputs {
		text := strings.TrimSpace(c.String(in.name))
		if text == "" {
			text = in.fallback
		}
		if text == "" {
			if !in.optional {
				faults = append(faults, fmt.Errorf("--%s is missing: %s, such as --%s %s", in.name, in.says, in.name, in.example()))
			}
			continue
		}
		value, err := in.read(text)
		if err != nil {
			faults = append(faults, fmt.Errorf("--%s %q: %w", in.name, text, err))
			continue
		}
		b.values[in.name] = value
		b.sheet.Given = append(b.sheet.Given, in.given(value))
	}
	if len(faults) > 0 {
		return usageFault("bench %s: %w", q.name, errors.Join(faults...))
	}
	return nil
}

func (in input) example() string {
	if strings.ContainsAny(in.like, " %") {
		return "'" + in.like + "'"
	}
	return in.like
}

func (in input) read(text string) (reading, error) {
	switch in.kind {
	case word:
		for _, choice := range in.choices {
			if strings.EqualFold(choice, text) {
				return reading{word: choice}, nil
			}
		}
		return reading{}, fmt.Errorf("wanted is one of %s", strings.Join(in.choices, ", "))
	case list:
		return readList(text)
	case row:
		return in.readRow(text)
	}
	q, err := readQuantity(text)
	if err != nil {
		return reading{}, fmt.Errorf("%w (wanted is %s, such as %s)", err, in.wanted(), in.example())
	}
	if in.kind == strength {
		return reading{number: q.Value(), quantity: q}, nil
	}
	if in.kind == part && q.Value() == 1 && q.Unit() == (quantity.Unit{}) {
		return reading{}, errors.New("that can be read in two ways; write '1 %' for one in a hundred, '100 %' for all")
	}
	return in.convert(q)
}

// convert brings a quantity to the input's unit; a number alone is in that unit already.
func (in input) convert(q quantity.Quantity) (reading, error) {
	own := quantity.MustUnit(in.unit)
	var err error
	if q.Unit() == (quantity.Unit{}) {
		if q, err = quantity.New(q.Value(), own); err != nil {
			return reading{}, err
		}
	}
	if in.unit == "K" && q.Unit() == quantity.MustUnit("°C") { // '0.5 °C' is how a difference is said
		if q, err = quantity.New(q.Value(), own); err != nil {
			return reading{}, err
		}
	}
	if q.Dimension() != own.Dimension() {
		return reading{}, fmt.Errorf("that is a %s; wanted is %s, such as %s", q.Dimension(), in.wanted(), in.example())
	}
	converted, err := q.In(own)
	if err != nil {
		return reading{}, err
	}
	if in.kind == whole && converted.Value() != math.Trunc(converted.Value()) {
		return reading{}, fmt.Errorf("wanted is a whole number, such as %s", in.example())
	}
	// Beyond 1e9 an int would still hold; no count at a bench is larger, and calc refuses less.
	if in.kind == whole && math.Abs(converted.Value()) > 1e9 {
		return reading{}, fmt.Errorf("that is too many to have been counted; wanted is a whole number, such as %s", in.example())
	}
	return reading{number: converted.Value(), quantity: q}, nil
}

// wanted names the dimension and the unit that the input takes.
func (in input) wanted() string {
	switch own := quantity.MustUnit(in.unit); {
	case in.kind == strength:
		return "a number with a unit"
	case in.unit == "":
		return "a number without a unit"
	default:
		return fmt.Sprintf("a %s in %s", own.Dimension(), own.Print())
	}
}

// readQuantity reads as the rest of the tool does; what is refused there and that a workbook
// would take, a decimal comma or blanks between thousands, is read as from a workbook.
func readQuantity(text string) (quantity.Quantity, error) {
	q, err := quantity.Parse(text)
	if err != nil {
		if typed, typedErr := check.TypedQuantity(text); typedErr == nil {
			return typed, nil
		}
	}
	return q, err
}

// readRow reads numbers with blanks or semicolons between, each with its unit or none.
func (in input) readRow(text string) (reading, error) {
	one := in
	one.kind = measured
	fields := strings.FieldsFunc(strings.ReplaceAll(text, " %", "%"), func(r rune) bool { return r == ';' || r == ' ' })
	var values []float64
	for _, field := range fields {
		q, err := readQuantity(field)
		if err != nil {
			return reading{}, fmt.Errorf("%w (wanted are numbers with blanks between, such as %s)", err, in.example())
		}
		value, err := one.convert(q)
		if err != nil {
			return reading{}, err
		}
		values = append(values, value.number)
	}
	return reading{row: values}, nil
}

func readList(text string) (reading, error) {
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == ' ' })
	var numbers []int
	for _, field := range fields {
		n, err := strconv.Atoi(strings.ReplaceAll(field, "\u202f", "")) // as sheets print thousands
		if err != nil {
			return reading{}, fmt.Errorf("%q is no whole number; wanted are whole numbers with commas between, such as 112,98,121", field)
		}
		numbers = append(numbers, n)
	}
	return reading{list: numbers}, nil
}

// given is the input as it stands on paper: in the unit it was typed in.
func (in input) given(r reading) figure {
	switch in.kind {
	case word:
		return figure{Name: in.says, Value: r.word}
	case list:
		return figure{Name: in.says, Value: r.list}
	case row:
		return figure{Name: in.says, Value: r.row, Unit: in.unit}
	}
	return figure{Name: in.says, Value: r.quantity.Value(), Unit: r.quantity.Unit().Symbol()}
}

// in is a measured input in the unit its flag names.
func (b *bench) in(name string) float64 { return b.values[name].number }

// count is a whole input.
func (b *bench) count(name string) int { return int(b.values[name].number) }

// has says whether an input was given.
func (b *bench) has(name string) bool { _, there := b.values[name]; return there }

// needs refuses an answer by one input that lacks another it goes with.
func (b *bench) needs(by, name string) error {
	if b.has(name) {
		return nil
	}
	return fmt.Errorf("--%s is missing: it goes with --%s", name, by)
}

// without refuses inputs that an answer by another input would leave unused.
func (b *bench) without(by string, names ...string) error {
	for _, name := range names {
		if b.has(name) {
			return fmt.Errorf("--%s has no use with --%s; leave one of them out", name, by)
		}
	}
	return nil
}

// onlyOne says which of the named inputs was given, and refuses none or several.
func (b *bench) onlyOne(names ...string) (string, error) {
	given := slices.DeleteFunc(slices.Clone(names), func(name string) bool { return !b.has(name) })
	if len(given) != 1 {
		return "", fmt.Errorf("give one of --%s, not %d of them", strings.Join(names, ", --"), len(given))
	}
	return given[0], nil
}
