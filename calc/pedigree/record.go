package pedigree

import (
	"math"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/season"
	"spatsheet/calc/stats"
	"spatsheet/protocols"
)

// record reads a filled sheet by what its protocol tells of descent.
type record struct {
	tells    *protocols.Tells
	start    time.Time
	readings season.LineageReadings
}

func newRecord(b season.Batch) record {
	return record{&b.Sheet.Protocol.Tells, b.Sheet.Plan.Start, b.Told().Lineage}
}

// row is the reading of a column in one row, from 1, or of a single entry; there is false
// beyond the last row, and where the field is not declared.
func (r record) row(field *protocols.Field, row int) (reading calc.Reading, there bool) {
	if field == nil {
		return calc.Reading{}, false
	}
	key := calc.Key(field.Name)
	if field.Table != nil {
		key = calc.RowKey(field.Table.ID, row, field.Entry.ID)
	}
	reading, there = r.readings.At[key]
	return reading, there
}

func (r record) rowText(field *protocols.Field, row int) string {
	reading, _ := r.row(field, row)
	if reading.State != calc.Given {
		return ""
	}
	return strings.TrimSpace(reading.Text)
}

func (r record) rowNumber(field *protocols.Field, row int) (float64, bool) {
	reading, there := r.row(field, row)
	return reading.Number, there && reading.State == calc.Given
}

// words are what entries say, joined by commas.
func (r record) words(fields []protocols.Field) string {
	var all []string
	for i := range fields {
		if text := r.rowText(&fields[i], 1); text != "" {
			all = append(all, text)
		}
	}
	return strings.Join(all, ", ")
}

func (r record) day(field *protocols.Field) time.Time {
	number, given := r.rowNumber(field, 1)
	if !given {
		return time.Time{}
	}
	return time.Unix(int64(number), 0).UTC()
}

func (r record) bags(t *protocols.TellsPlaces) []Bag {
	var bags []Bag
	for i := 1; t != nil; i++ {
		if _, there := r.row(t.Place, i); !there {
			break
		}
		n, given := r.rowNumber(t.Animals, i)
		if where := r.rowText(t.Place, i); given || where != "" {
			bags = append(bags, Bag{i, where, n})
		}
	}
	return bags
}

func (r record) founding() *Founding {
	c := r.tells.Collection
	if c == nil {
		return nil
	}
	return &Founding{r.words(c.Shore), r.words(c.Permit), r.bags(c.Bags)}
}

func (r record) release() *Release {
	t := r.tells.Release
	if t == nil {
		return nil
	}
	return &Release{r.words(t.Shore), r.words(t.Permit), r.bags(t.Plots)}
}

func (r record) spawning() *Spawning {
	t := r.tells.Spawning
	if t == nil {
		return nil
	}
	s := &Spawning{On: r.day(t.On)}
	if s.On.IsZero() {
		s.On = r.start
	}
	mothers, fathers := r.readings.Mothers, r.readings.Fathers
	switch {
	case !mothers.Has || !fathers.Has:
		s.Note = "mothers or fathers that gave offspring are not recorded"
		return s
	case mothers.Number != math.Trunc(mothers.Number) || fathers.Number != math.Trunc(fathers.Number):
		s.Note = "mothers or fathers that gave offspring are not whole numbers: see the findings"
		return s
	}
	s.Mothers, s.Fathers = int(mothers.Number), int(fathers.Number)
	size, err := stats.EffectiveSize(s.Fathers, s.Mothers)
	if err != nil {
		s.Note = "no effective size: " + err.Error()
		return s
	}
	s.Size = size
	return s
}
