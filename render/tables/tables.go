// Package tables writes a season as open tables: CSV files, and one workbook with the
// same tables as sheets.
//
// What may enter: a compiled season. What may not: calculations; they are calc/season's.
package tables

import (
	"iter"
	"strconv"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/season"
	"spatsheet/protocols"
)

// Table is a table with typed cells: string, float64, int, or nil for "no value". Rows are
// made when they are asked for, some at a time: all of a long season take gigabytes.
type Table struct {
	Name    string // file name without ending, and sheet name
	Title   string // one line that says what a row is
	Columns []string
	Rows    iter.Seq[[]any] // the same each time
}

// each gives the rows of one thing after another.
func each[T any](list []T, rows func(T) [][]any) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, x := range list {
			for _, row := range rows(x) {
				if !yield(row) {
					return
				}
			}
		}
	}
}

// count is how many rows a table has.
func (t Table) count() int {
	n := 0
	for range t.Rows {
		n++
	}
	return n
}

// Of gives the season's tables: batches, stages (one row for each batch and stage),
// survival (pooled over the season), readings (one row for each box), planned (settings
// and amounts), hands_over (what batches leave for others), findings, season_findings
// (between batches), and corrections (what revisions after the first changed).
func Of(s season.Season, corrected ...season.Correction) []Table {
	return []Table{
		{"batches", "One row for each batch: its latest revision",
			[]string{"batch", "protocol", "species", "start", "site", "digest", "revision", "readings_given", "boxes", "errors", "warnings", "parents"},
			each(s.Batches, batch)},
		{"stages", "One row for each batch and stage: counts in, counts out, survival",
			[]string{"batch", "protocol", "species", "start", "stage", "label", "count_in", "unit_in", "count_out",
				"unit_out", "survival", "note", "in_from", "out_from"},
			each(s.Stages, stage)},
		{"survival", "One row for each protocol, species and stage over the season: all out over all in, stages without a note",
			[]string{"protocol", "species", "stage", "label", "batches", "count_in", "unit_in", "count_out", "unit_out", "survival"},
			each(s.Pooled, survival)},
		{"readings", "One row for each box: what was read, and the text it came from",
			[]string{"batch", "protocol", "revision", "step", "key", "entry", "state", "value", "unit", "text", "raw", "sheet", "cell"},
			each(s.Batches, readings)},
		{"planned", "One row for each setting and amount of a batch, as planned",
			[]string{"batch", "protocol", "kind", "id", "label", "value", "unit", "from"},
			each(s.Batches, planned)},
		{"hands_over", "One row for each batch and thing it leaves for other batches",
			[]string{"batch", "protocol", "species", "id", "label", "value", "unit", "from"},
			each(s.Batches, handsOver)},
		{"findings", "One row for each finding on the latest revision of a batch",
			[]string{"batch", "revision", "level", "code", "entry", "raw", "says", "remedy", "sheet", "cell"},
			each(s.Batches, findings)},
		{"season_findings", "One row for each finding between batches, at the batch where it shows",
			[]string{"batch", "level", "code", "says", "remedy"},
			each(s.Across, seasonFinding)},
		{"corrections", "One row for each box that a later revision of a batch changed",
			[]string{"batch", "revision", "collected", "reason", "entry", "was", "now"},
			each(corrected, corrections)},
	}
}

const (
	dayForm  = "2006-01-02"
	timeForm = "2006-01-02T15:04"
)

func batch(b season.Batch) [][]any {
	given := 0
	for _, r := range b.Readings {
		if r.State == calc.Given {
			given++
		}
	}
	levels := check.Levels(b.Findings)
	p := b.Sheet.Plan
	return [][]any{{p.Batch, b.Sheet.Protocol.Ref(), p.Species, p.Start.Format(timeForm), b.Sheet.Site.Name, b.Sheet.Digest,
		b.Revision, given, len(b.Readings), levels[protocols.Error], levels[protocols.Warning], parents(p)}}
}

// parents are the batches that a plan was made from, as words.
func parents(p calc.Plan) string {
	var codes []string
	for _, parent := range p.Parents {
		codes = append(codes, parent.Batch)
	}
	return strings.Join(codes, " ")
}

func stage(st season.Stage) [][]any {
	return [][]any{{st.Batch, st.Protocol, st.Species, st.Start.Format(dayForm), st.ID, st.Label,
		when(st.HasIn, st.In), st.InUnit, when(st.HasOut, st.Out), st.OutUnit, when(st.HasSurvival, st.Survival), st.Note, st.InFrom, st.OutFrom}}
}

func survival(p season.Pooled) [][]any {
	return [][]any{{p.Protocol, p.Species, p.ID, p.Label, p.Batches, p.In, p.InUnit, p.Out, p.OutUnit, p.Survival}}
}

func readings(b season.Batch) (rows [][]any) {
	boxes, code, ref := b.Sheet.Boxes(), b.Sheet.Plan.Batch, b.Sheet.Protocol.Ref()
	for i, r := range b.Readings {
		step := any(nil)
		if i < len(boxes) {
			step = boxes[i].Step + 1
		}
		isNumber := r.State == calc.Given && r.Text == ""
		rows = append(rows, []any{code, ref, b.Revision, step, string(r.Key), r.Printed, string(r.State),
			when(isNumber, r.Number), r.Unit, r.Text, r.Raw, r.Sheet, r.Ref})
	}
	return rows
}

// planned gives what the sheet said before anything was filled in: with it, readings
// and the formulas in stages, every count can be worked out again from the CSV files.
func planned(b season.Batch) (rows [][]any) {
	code, ref := b.Sheet.Plan.Batch, b.Sheet.Protocol.Ref()
	for _, v := range b.Sheet.Settings {
		rows = append(rows, []any{code, ref, "setting", v.Setting.ID, v.Setting.Label, v.Quantity.Value(), v.Quantity.Unit().Symbol(), string(v.From)})
	}
	for _, a := range b.Sheet.Amounts {
		rows = append(rows, []any{code, ref, "amount", a.Definition.ID, a.Definition.Label, a.Rounded.Value(),
			a.Rounded.Unit().Symbol(), a.Definition.Formula.String()})
	}
	return rows
}

func handsOver(b season.Batch) (rows [][]any) {
	for _, h := range season.HandsOver(b) {
		rows = append(rows, []any{b.Sheet.Plan.Batch, b.Sheet.Protocol.Ref(), b.Sheet.Plan.Species, h.ID, h.Label, when(h.Has, h.Number), h.Unit, h.From})
	}
	return rows
}

func findings(b season.Batch) (rows [][]any) {
	for _, f := range b.Findings {
		rows = append(rows, []any{b.Sheet.Plan.Batch, b.Revision, string(f.Level), f.Code, f.Entry, f.Raw, f.Says, f.Remedy, f.Sheet, f.Ref})
	}
	return rows
}

func seasonFinding(f season.Finding) [][]any {
	return [][]any{{f.Batch, string(f.Level), f.Code, f.Says, f.Remedy}}
}

func corrections(c season.Correction) (rows [][]any) {
	changes := c.Changes
	if len(changes) == 0 { // collected again, with nothing changed
		changes = []season.Change{{}}
	}
	for _, x := range changes {
		rows = append(rows, []any{c.Batch, c.Number, c.At.UTC().Format(timeForm), c.Reason, x.Entry, x.Was, x.Now})
	}
	return rows
}

// when gives the number where there is one.
func when(has bool, x float64) any {
	if !has {
		return nil
	}
	return x
}

// text prints a cell for CSV: numbers exactly, in the shortest form that reads back as
// the same number.
func text(v any) string {
	switch x := v.(type) {
	case nil:
		return ""
	case float64:
		return strconv.FormatFloat(x, 'g', -1, 64)
	case int:
		return strconv.Itoa(x)
	case string:
		return harmless(x)
	case time.Time:
		return x.Format(timeForm)
	}
	return ""
}
