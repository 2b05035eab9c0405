package workbook

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
	"spatsheet/protocols"
)

// The plans are those of an invented station, templates/site.yaml.
var plans = map[string]fixture.Plan{
	"spawning": fixture.PlanOf("limpet-spawning@1.0.0").With("batch", "KS-26-01").With("start", `"18:00"`).
		With("settings", "{females: 18, males: 12, eggs_expected: 2.4e6, spat_wanted: 60000}"),
	"diatoms": fixture.PlanOf("diatom-culture@1.0.0").With("batch", "KS-26-D1").With("species", "Navicula").With("date", "2026-01-28").
		With("settings", "{medium: 40 L, parent_density: 8e5, parent_volume: 2 L}"),
}

func sample(t testing.TB, name string) *calc.Sheet {
	t.Helper()
	return fixture.ShippedSheet(t, plans[name])
}

// scaled scales what the manifest of a workbook, or a test, holds of site and plan.
func scaled(t testing.TB, siteText []byte, plan fixture.Plan) *calc.Sheet {
	t.Helper()
	site, err := calc.ReadSite("site.yaml", siteText)
	if err != nil {
		t.Fatal(err)
	}
	return fixture.ShippedAt(t, site, plan)
}

func written(t testing.TB, sheet *calc.Sheet) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, sheet); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func read(t testing.TB, content []byte) *calc.Filled {
	t.Helper()
	filled, err := Read(content)
	if err != nil {
		t.Fatal(err)
	}
	return filled
}

func filledIn(t testing.TB, content []byte, values map[calc.Key]any) []byte {
	t.Helper()
	out, err := Fill(content, values)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// everyBox gives a value to every box, each unlike its neighbours. Numbers have two
// decimals, as people type them, which binary cannot hold exactly.
func everyBox(sheet *calc.Sheet) map[calc.Key]any {
	values := map[calc.Key]any{}
	for i, b := range sheet.Boxes() {
		switch b.Entry.Kind {
		case protocols.KindNumber:
			values[b.Key] = math.Round((b.Entry.Low+float64(i)*0.1+0.01)*100) / 100
		case protocols.KindCount:
			values[b.Key] = int(b.Entry.Low) + i
		case protocols.KindChoice:
			values[b.Key] = b.Entry.Choices[i%len(b.Entry.Choices)]
		case protocols.KindDate:
			values[b.Key] = sheet.Plan.Start.Truncate(24*time.Hour).AddDate(0, 0, i%30)
		case protocols.KindTime:
			values[b.Key] = sheet.Plan.Start.Add(time.Duration(i) * 7 * time.Minute)
		default:
			values[b.Key] = "µ " + strings.ReplaceAll(string(b.Key), ".", " ")
		}
	}
	return values
}

// want is the raw cell that a typed value must come back as.
func want(value any) (calc.CellKind, string, float64) {
	switch v := value.(type) {
	case float64:
		return calc.CellNumber, "", v
	case int:
		return calc.CellNumber, "", float64(v)
	case time.Time:
		return calc.CellNumber, "", serial(v, false)
	}
	return calc.CellText, value.(string), 0
}

// timeSlack, in days, is 0.1 ms: LibreOffice 7.4 and openpyxl 3.0.9 store 15 and 16
// digits (seen in their files), so a time of day changes by microseconds. Numbers of two
// decimals come back exactly.
const timeSlack = 1e-9

// checkCells fails for each box whose value isn't what was typed.
func checkCells(t *testing.T, filled *calc.Filled, values map[calc.Key]any) {
	t.Helper()
	if len(filled.Cells) != len(values) {
		t.Errorf("got %d boxes, want %d; lost: %v", len(filled.Cells), len(values), filled.Lost)
	}
	for key, value := range values {
		kind, text, number := want(value)
		got := filled.Cells[key]
		slack := 0.0
		if _, isTime := value.(time.Time); isTime {
			slack = timeSlack
		}
		if got.Kind != kind || math.Abs(got.Number-number) > slack || kind == calc.CellText && got.Text != text {
			t.Errorf("%s at %s!%s: got kind %d, %q, %v; want kind %d, %q, %v", key, got.Sheet, got.Ref, got.Kind, got.Text, got.Number, kind, text, number)
		}
	}
}

// checkLocked fails for each printed amount that did not come back as computed.
func checkLocked(t *testing.T, sheet *calc.Sheet, filled *calc.Filled) {
	t.Helper()
	parts := 0
	for i := range sheet.Amounts {
		a := &sheet.Amounts[i]
		id := a.Definition.ID
		if got := filled.Amounts[id]; got.Kind != calc.CellNumber || got.Number != a.Rounded.Value() {
			t.Errorf("amount %s: got %+v, want %v", id, got, a.Rounded)
		}
		for _, got := range filled.Repeats[id] {
			if got.Number != a.Rounded.Value() {
				t.Errorf("amount %s at %s!%s: got %v, want %v", id, got.Sheet, got.Ref, got.Number, a.Rounded)
			}
		}
		for p, got := range filled.Parts[id] {
			parts++
			if got.Number != a.Parts[p].Value() {
				t.Errorf("amount %s, part %d: got %v, want %v", id, p+1, got.Number, a.Parts[p])
			}
		}
	}
	if parts == 0 || len(filled.Repeats) == 0 {
		t.Errorf("got %d parts and %d repeats; the samples have both", parts, len(filled.Repeats))
	}
}
