package tables

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc/season"
)

// report is an invented one: two batches through two stages, and their larvae.
func chartReport() season.Report {
	stage := func(batch string, survival float64, has bool) season.StageEstimate {
		return season.StageEstimate{Stage: season.Stage{Batch: batch, Survival: survival, HasSurvival: has}}
	}
	return season.Report{
		Stages: []season.StageGroup{
			{Protocol: "p", Species: "Patella vulgata", Label: "=hatch", Batches: 2,
				Estimates: []season.StageEstimate{stage("T-1", 0.5, true), stage("T-2", 0.25, true)}},
			{Protocol: "p", Species: "Patella vulgata", Label: "settle", Batches: 1, Estimates: []season.StageEstimate{stage("T-1", 0, false), stage("T-2", 0.1, true)}},
		},
		Larvae: []season.LarvalCurve{
			{Batch: "T-1", Species: "Patella vulgata", Points: []season.LarvalPoint{{Days: 1, Share: 1}, {Days: 2, Share: 0.5}}},
			{Batch: "T-2", Species: "Patella vulgata", Points: []season.LarvalPoint{{Days: 1, Share: 1}, {Days: 3, Share: 0.4}}},
		},
	}
}

func TestCharts(t *testing.T) {
	list := Charts(chartReport())
	if len(list) != 2 || len(list[0].Columns) != 3 || len(list[1].Rows) != 4 {
		t.Fatalf("got %+v", list)
	}
	if from, to := list[1].span(2); from != 2 || to != 3 {
		t.Errorf("the second curve is in rows %d to %d, want 2 to 3", from, to)
	}
	var first, second bytes.Buffer
	stamp := time.Date(2026, 7, 1, 9, 34, 0, 0, time.UTC)
	table := []Table{{Name: "batches", Title: "t", Columns: []string{"batch"}, Rows: slices.Values([][]any{{"T-1"}})}}
	for _, w := range []*bytes.Buffer{&first, &second} {
		if err := WriteWorkbook(w, table, stamp, list...); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("two workbooks of one season differ")
	}
	f, err := excelize.OpenReader(&first)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for ref, want := range map[string]string{"N1": "Survival by stage, Patella vulgata, p", "N3": "T-1", "O3": "50", "P3": "", "O2": "=hatch", "P4": "10"} {
		if got, err := f.GetCellValue(figuresSheet, ref); err != nil || got != want {
			t.Errorf("%s: got %q, want %q (%v)", ref, got, want, err)
		}
	}
	if formula, err := f.GetCellFormula(figuresSheet, "O2"); err != nil || formula != "" {
		t.Errorf("a stage's name became the formula %q (%v)", formula, err)
	}
}

// TestManyLarvae: more batches than a chart can name are one series of points without
// lines, each point there with its batch.
func TestManyLarvae(t *testing.T) {
	var r season.Report
	for i := range mostCurves + 1 {
		r.Larvae = append(r.Larvae, season.LarvalCurve{Batch: fmt.Sprint("T-", i), Species: "Patella vulgata",
			Points: []season.LarvalPoint{{Days: 1, Share: 1}, {Days: 2, Share: 0.5}}})
	}
	list := Charts(r)
	if len(list) != 1 || len(list[0].Rows) != 2*(mostCurves+1) || !slices.Equal(list[0].Columns, []string{"days", "all 61 batches", "batch"}) {
		t.Fatalf("got %d charts, %+v", len(list), list[0].Columns)
	}
	for i, row := range list[0].Rows {
		if want := [][]any{{1.0, 100.0}, {2.0, 50.0}}[i%2]; !slices.Equal(row, append(want, fmt.Sprint("T-", i/2))) {
			t.Errorf("row %d: got %v, want %v", i, row, want)
		}
	}
	if drawn := chartXML(t, list); strings.Count(drawn, "<ser>") != 1 || !strings.Contains(drawn, "<a:ln><a:noFill>") {
		t.Errorf("want one series without a line, got %d series, no line %v", strings.Count(drawn, "<ser>"), strings.Contains(drawn, "<a:ln><a:noFill>"))
	}
	r.Larvae = r.Larvae[:mostCurves]
	list = Charts(r)
	if drawn := chartXML(t, list); strings.Count(drawn, "<ser>") != mostCurves || strings.Contains(drawn, "<a:ln><a:noFill>") {
		t.Errorf("%d batches: got %d series, want as many with lines", mostCurves, strings.Count(drawn, "<ser>"))
	}
}

// chartXML is the first chart as written.
func chartXML(t *testing.T, list []Chart) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteWorkbook(&b, nil, time.Time{}, list...); err != nil {
		t.Fatal(err)
	}
	files, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	f, err := files.Open("xl/charts/chart1.xml")
	if err != nil {
		t.Fatal(err)
	}
	content, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(content)
}
