// Package tables writes a season as open tables: CSV files, and one workbook with the
// same tables as sheets.
//
// What may enter: a compiled season. What may not: calculations; they are calc/season's.
package tables

import (
	"strconv"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/season"
	"spatsheet/protocols"
)

// Table is a table with typed cells: string, float64, int, or nil for "no value".
type Table struct {
	Name    string // file name without ending, and sheet name
	Title   string // one line that says what a row is
	Columns []string
	Rows    [][]any
}

// Of gives the season's tables: batches, stages (one row for each batch and stage),
// survival (pooled over the season), readings (one row for each box), planned (settings
// and amounts), hands_over (what batches leave for others), findings, season_findings
// (between batches), and corrections (what revisions after the first changed).
func Of(s season.Season, corrected ...season.Correction) []Table {
	return []Table{batches(s), stages(s), survival(s), readings(s), planned(s), handsOver(s), findings(s), seasonFindings(s), corrections(corrected)}
}

const (
	dayForm  = "2006-01-02"
	timeForm = "2006-01-02T15:04"
)

func batches(s season.Season) Table {
	t := Table{Name: "batches", Title: "One row for each batch: its latest revision",
		Columns: []string{"batch", "protocol", "species", "start", "site", "digest", "revision", "readings_given", "boxes", "errors", "warnings", "parents"}}
	for _, b := range s.Batches {
		given := 0
		for _, r := range b.Readings {
			if r.State == calc.Given {
				given++
			}
		}
		levels := check.Levels(b.Findings)
		p := b.Sheet.Plan
		t.Rows = append(t.Rows, []any{p.Batch, b.Sheet.Protocol.Ref(), p.Species, p.Start.Format(timeForm), b.Sheet.Site.Name, b.Sheet.Digest,
			b.Revision, given, len(b.Readings), levels[protocols.Error], levels[protocols.Warning], parents(p)})
	}
	return t
}

// parents are the batches that a plan was made from, as words.
func parents(p calc.Plan) string {
	var codes []string
	for _, parent := range p.Parents {
		codes = append(codes, parent.Batch)
	}
	return strings.Join(codes, " ")
}

func stages(s season.Season) Table {
	t := Table{Name: "stages", Title: "One row for each batch and stage: counts in, counts out, survival",
		Columns: []string{"batch", "protocol", "species", "start", "stage", "label", "count_in", "unit_in", "count_out", "unit_out", "survival", "note", "in_from", "out_from"}}
	for _, st := range s.Stages {
		t.Rows = append(t.Rows, []any{st.Batch, st.Protocol, st.Species, st.Start.Format(dayForm), st.ID, st.Label,
			when(st.HasIn, st.In), st.InUnit, when(st.HasOut, st.Out), st.OutUnit, when(st.HasSurvival, st.Survival), st.Note, st.InFrom, st.OutFrom})
	}
	return t
}

func survival(s season.Season) Table {
	t := Table{Name: "survival", Title: "One row for each protocol, species and stage over the season: all out over all in, stages without a note",
		Columns: []string{"protocol", "species", "stage", "label", "batches", "count_in", "unit_in", "count_out", "unit_out", "survival"}}
	for _, p := range s.Pooled {
		t.Rows = append(t.Rows, []any{p.Protocol, p.Species, p.ID, p.Label, p.Batches, p.In, p.InUnit, p.Out, p.OutUnit, p.Survival})
	}
	return t
}

func readings(s season.Season) Table {
	t := Table{Name: "readings", Title: "One row for each box: what was read, and the text it came from",
		Columns: []string{"batch", "protocol", "revision", "step", "key", "entry", "state", "value", "unit", "text", "raw", "sheet", "cell"}}
	for _, b := range s.Batches {
		boxes := b.Sheet.Boxes()
		for i, r := range b.Readings {
			step := any(nil)
			if i < len(boxes) {
				step = boxes[i].Step + 1
			}
			isNumber := r.State == calc.Given && r.Text == ""
			t.Rows = append(t.Rows, []any{b.Sheet.Plan.Batch, b.Sheet.Protocol.Ref(), b.Revision, step, string(r.Key), r.Printed, string(r.State),
				when(isNumber, r.Number), r.Unit, r.Text, r.Raw, r.Sheet, r.Ref})
		}
	}
	return t
}

// planned gives what the sheets said before anything was filled in: with it, readings
// and the formulas in stages, every count can be worked out again from the CSV files.
func planned(s season.Season) Table {
	t := Table{Name: "planned", Title: "One row for each setting and amount of a batch, as planned",
		Columns: []string{"batch", "protocol", "kind", "id", "label", "value", "unit", "from"}}
	for _, b := range s.Batches {
		code, ref := b.Sheet.Plan.Batch, b.Sheet.Protocol.Ref()
		for _, v := range b.Sheet.Settings {
			t.Rows = append(t.Rows, []any{code, ref, "setting", v.Setting.ID, v.Setting.Label, v.Quantity.Value(), v.Quantity.Unit().Symbol(), string(v.From)})
		}
		for _, a := range b.Sheet.Amounts {
			t.Rows = append(t.Rows, []any{code, ref, "amount", a.Definition.ID, a.Definition.Label, a.Rounded.Value(), a.Rounded.Unit().Symbol(), a.Definition.Formula.String()})
		}
	}
	return t
}

func handsOver(s season.Season) Table {
	t := Table{Name: "hands_over", Title: "One row for each batch and thing it leaves for other batches",
		Columns: []string{"batch", "protocol", "species", "id", "label", "value", "unit", "from"}}
	for _, b := range s.Batches {
		for _, h := range season.HandsOver(b) {
			t.Rows = append(t.Rows, []any{b.Sheet.Plan.Batch, b.Sheet.Protocol.Ref(), b.Sheet.Plan.Species, h.ID, h.Label, when(h.Has, h.Number), h.Unit, h.From})
		}
	}
	return t
}

func findings(s season.Season) Table {
	t := Table{Name: "findings", Title: "One row for each finding on the latest revision of a batch",
		Columns: []string{"batch", "revision", "level", "code", "entry", "raw", "says", "remedy", "sheet", "cell"}}
	for _, b := range s.Batches {
		for _, f := range b.Findings {
			t.Rows = append(t.Rows, []any{b.Sheet.Plan.Batch, b.Revision, string(f.Level), f.Code, f.Entry, f.Raw, f.Says, f.Remedy, f.Sheet, f.Ref})
		}
	}
	return t
}

func seasonFindings(s season.Season) Table {
	t := Table{Name: "season_findings", Title: "One row for each finding between batches, at the batch where it shows",
		Columns: []string{"batch", "level", "code", "says", "remedy"}}
	for _, f := range s.Across {
		t.Rows = append(t.Rows, []any{f.Batch, string(f.Level), f.Code, f.Says, f.Remedy})
	}
	return t
}

func corrections(list []season.Correction) Table {
	t := Table{Name: "corrections", Title: "One row for each box that a later revision of a batch changed",
		Columns: []string{"batch", "revision", "collected", "reason", "entry", "was", "now"}}
	for _, c := range list {
		changes := c.Changes
		if len(changes) == 0 { // collected again, with nothing changed
			changes = []season.Change{{}}
		}
		for _, x := range changes {
			t.Rows = append(t.Rows, []any{c.Batch, c.Number, c.At.UTC().Format(timeForm), c.Reason, x.Entry, x.Was, x.Now})
		}
	}
	return t
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
