package main

import (
	"fmt"
	"math"
	"strings"

	"spatsheet/calc/limits"
	"spatsheet/protocols/quantity"
)

// question is one single calculation at the bench.
type question struct {
	name    string // a word of the trade
	asks    string // what it answers, one line
	example string // its flags, as typed
	note    string // what to know before asking, may be empty
	inputs  []input
	work    func(*bench) error // reads b's values, adds working, results, source, cautions
}

// bench is one question being answered: what was given, and what goes on paper.
type bench struct {
	values map[string]reading
	sheet  benchAnswer
	fault  error // of a result that is no number
}

// benchAnswer is the answer as --json prints it.
type benchAnswer struct {
	Question string   `json:"question"`
	Given    []figure `json:"given"`
	Working  []string `json:"working"`
	Results  []figure `json:"results"`
	Source   string   `json:"source"`
	Cautions []string `json:"cautions"`
}

// figure is a named value; Value is a number, a list of numbers or a word.
type figure struct {
	Name  string `json:"name"`
	Value any    `json:"value"`
	Unit  string `json:"unit"`

	figures int // printed of a result, 0 for resultFigures
}

// resultFigures are the significant figures of a printed result: one more than a pipette or a
// balance at the bench can use. --json has all of them.
const resultFigures = 4

// workingFigures are those of the working, so that a pocket calculator follows.
const workingFigures = 6

func (f figure) words(figures int) string {
	if f.figures > 0 && figures > 0 {
		figures = f.figures
	}
	switch v := f.Value.(type) {
	case float64:
		return printed(v, f.Unit, figures)
	case []int:
		return strings.Trim(fmt.Sprint(v), "[]")
	case []float64:
		return strings.TrimSpace(strings.Trim(fmt.Sprint(v), "[]") + " " + f.Unit)
	}
	return fmt.Sprint(f.Value)
}

// printed writes a value with its unit: "1/d" as "per d", and a pH as a number alone.
func printed(x float64, unit string, figures int) string {
	if below, isRate := strings.CutPrefix(unit, "1/"); isRate {
		return quantity.FormatNumber(x, figures) + " per " + below
	}
	if unit == "pH" {
		unit = ""
	}
	if u, err := quantity.ParseUnit(unit); err == nil {
		if q, err := quantity.New(x, u); err == nil {
			return q.Format(figures)
		}
	}
	return quantity.FormatNumber(x, figures) + " " + unit
}

// of writes a number of the working with its unit.
func of(x float64, unit string) string { return printed(x, unit, workingFigures) }

// finely is of where a difference follows that would eat its figures.
func finely(x float64, unit string) string { return printed(x, unit, 9) }

// line adds a line of working.
func (b *bench) line(format string, args ...any) {
	b.sheet.Working = append(b.sheet.Working, fmt.Sprintf(format, args...))
}

// result adds a result; one that is no finite number is a fault of the whole answer.
func (b *bench) result(name string, value float64, unit string) {
	if _, err := limits.Result(name, value); err != nil && b.fault == nil {
		b.fault = err
	}
	b.sheet.Results = append(b.sheet.Results, figure{Name: name, Value: value, Unit: unit})
}

// rest adds a result that with another one, in the same unit, makes up a whole: it is printed
// to the last decimal of the other, so that the two add up on paper.
func (b *bench) rest(name string, value, other float64, unit string) {
	b.result(name, value, unit)
	_, decimals, _ := strings.Cut(quantity.FormatNumber(other, resultFigures), ".")
	if whole := int(math.Floor(math.Log10(math.Abs(value)))) + 1; value != 0 && !strings.Contains(decimals, "e") {
		b.sheet.Results[len(b.sheet.Results)-1].figures = max(resultFigures, min(whole, 12)+len(decimals))
	}
}

func (b *bench) source(text string) { b.sheet.Source = text }

func (b *bench) caution(text string) { b.sheet.Cautions = append(b.sheet.Cautions, text) }
