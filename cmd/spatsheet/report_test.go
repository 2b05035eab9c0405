package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/functions"
	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/render/report"
	"spatsheet/render/scratch"
	"spatsheet/render/seasonlog"
	"spatsheet/render/workbook"
	"spatsheet/templates"
)

// lossProtocol writes down losses by class, one row for each day and class.
const lossProtocol = `protocol: two-classes
version: 1.0.0
title: Losses by class
stage: test
purpose: To be counted in tests.
applies_to: [Patella]
sources: []
changes: [{version: 1.0.0, note: first release}]
settings:
  - {id: losses_told, label: Rows of losses, unit: "1", given_by: plan, range: [1, 99], whole: yes, source: site choice, example: 9}
amounts:
  - {id: rows, label: Rows, unit: "1", formula: losses_told, round: {to: whole}}
steps:
  - id: watch
    title: Watch
    do: Write down every loss.
    tables:
      - id: classes
        title: Classes
        rows: [%s]
        columns:
          - {id: came_in, label: Came in, kind: count, unit: animals, range: [0, 999], required: yes, example: 21}
      - id: losses
        title: Losses
        row: Loss
        count: rows
        columns:
          - {id: class, label: Class, kind: text, required: yes, example: x}
          - {id: day, label: Day, kind: number, unit: d, range: [0, 9999], required: yes, example: 1}
          - {id: dead, label: Dead, kind: count, unit: animals, range: [0, 999], required: yes, example: 0}
          - {id: removed, label: Removed, kind: count, unit: animals, range: [0, 999], required: yes, example: 0}
tells:
  deaths:
    classes: {came_in: classes.came_in}
    by_class: {class: losses.class, day: losses.day, dead: losses.dead, removed: losses.removed}
`

// reference reads a table of testdata/reference into rows by column name.
func reference(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, column := range lines[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// typedLosses are the rows of a survival data set as typed into the two tables.
func typedLosses(t *testing.T, dataset string) (classes []string, losses int, values map[calc.Key]any) {
	t.Helper()
	type key struct{ class, time string }
	row, number := map[key]int{}, map[string]int{}
	values = map[calc.Key]any{}
	for _, r := range reference(t, "survival_data.csv") {
		if r["dataset"] != dataset {
			continue
		}
		if number[r["arm"]]++; number[r["arm"]] == 1 {
			classes = append(classes, r["arm"])
		}
		k := key{r["arm"], r["time"]}
		if row[k] == 0 {
			losses++
			row[k] = losses
			day, err := strconv.ParseFloat(r["time"], 64)
			if err != nil {
				t.Fatal(err)
			}
			values[calc.RowKey("losses", losses, "class")] = r["arm"]
			values[calc.RowKey("losses", losses, "day")] = day
			values[calc.RowKey("losses", losses, "dead")] = 0
			values[calc.RowKey("losses", losses, "removed")] = 0
		}
		column := "removed"
		if r["event"] == "1" {
			column = "dead"
		}
		box := calc.RowKey("losses", row[k], column)
		values[box] = values[box].(int) + 1
	}
	for i, class := range classes {
		values[calc.RowKey("classes", i+1, "came_in")] = number[class]
	}
	return classes, losses, values
}

// throughWorkbook prints a workbook, types the values in, and reads it back.
func throughWorkbook(t *testing.T, protocol, plan string, values map[calc.Key]any) season.Batch {
	t.Helper()
	p, err := protocols.Load("p.yaml", []byte(protocol), functions.All())
	if err != nil {
		t.Fatal(err)
	}
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	planned, err := calc.ReadPlan("plan.yaml", []byte(plan))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := calc.Scale(p, site, planned)
	if err != nil {
		t.Fatal(err)
	}
	var blank bytes.Buffer
	if err := workbook.Write(&blank, sheet); err != nil {
		t.Fatal(err)
	}
	content, err := workbook.Fill(blank.Bytes(), values)
	if err != nil {
		t.Fatal(err)
	}
	filled, err := workbook.Read(content)
	if err != nil {
		t.Fatal(err)
	}
	again, err := station.At("").ScaleAgain(filled.Manifest)
	if err != nil {
		t.Fatal(err)
	}
	result := check.Sheet(again, filled)
	for _, f := range result.Findings {
		t.Errorf("%s: %s", f.Place(), f.Says)
	}
	return season.Batch{Sheet: again, Readings: result.Readings, Findings: result.Findings, Revision: 1}
}

// lossReport is the report of one batch with a published survival data set.
func lossReport(t *testing.T, dataset string) season.Report {
	t.Helper()
	classes, losses, values := typedLosses(t, dataset)
	plan := fmt.Sprintf("batch: T-1\nprotocol: two-classes@1.0.0\nspecies: Patella vulgata\ndate: \"2026-02-14\"\n"+
		"start: \"09:00\"\nsettings: {losses_told: %d}\n", losses)
	batch := throughWorkbook(t, fmt.Sprintf(lossProtocol, strings.Join(classes, ", ")), plan, values)
	return season.ReportOf(season.Compile([]season.Batch{batch}, pedigree.Across), nil)
}

// TestReportGivesPublishedSurvival types published survival times into a workbook and
// wants the published curve and test in the report. Tolerance: half of the last digit
// printed in the reference tables.
func TestReportGivesPublishedSurvival(t *testing.T) {
	points, tests := 0, 0
	for _, dataset := range []string{"gehan", "aml"} {
		r := lossReport(t, dataset)
		if len(r.Losses) != 1 || !r.Losses[0].HasTest {
			t.Fatalf("%s: no test: %+v", dataset, r.Losses)
		}
		g := r.Losses[0]
		curves := map[string]season.LossCurve{}
		for _, c := range g.Classes {
			curves[c.Class] = c
		}
		for _, row := range reference(t, "survival.csv") {
			if row["dataset"] == dataset && row["interval"] == "log-log" {
				checkSurvival(t, curves[row["arm"]], row)
				points++
			}
		}
		for _, row := range reference(t, "survival_logrank.csv") {
			for _, group := range g.Test.Groups {
				if row["dataset"] == dataset && row["group"] == group.Name {
					near(t, row, "chi_square", g.Test.ChiSquare)
					near(t, row, "p_value", g.Test.PValue)
					near(t, row, "observed", float64(group.Observed))
					near(t, row, "expected", group.Expected)
					tests++
				}
			}
		}
	}
	if points < 25 || tests != 4 {
		t.Errorf("%d points and %d rows of tests were compared", points, tests)
	}
}

func checkSurvival(t *testing.T, c season.LossCurve, row map[string]string) {
	t.Helper()
	time, err := strconv.ParseFloat(row["time"], 64)
	if err != nil {
		t.Fatal(err)
	}
	p, err := c.Curve.At(time)
	if err != nil {
		t.Error(err)
		return
	}
	near(t, row, "survival", p.Survival)
	near(t, row, "at_risk", float64(p.AtRisk))
	if row["low"] != "" {
		near(t, row, "low", p.Low)
		near(t, row, "high", p.High)
	}
}

// near wants a number to agree with the printed digits.
func near(t *testing.T, row map[string]string, column string, got float64) {
	t.Helper()
	want, err := strconv.ParseFloat(row[column], 64)
	if err != nil {
		t.Fatal(err)
	}
	mantissa, exponent, _ := strings.Cut(row[column], "e")
	_, decimals, _ := strings.Cut(mantissa, ".")
	power, _ := strconv.Atoi(exponent)
	if math.Abs(got-want) > 0.51*math.Pow(10, float64(power-len(decimals))) {
		t.Errorf("%s %s %s: got %v, printed %s; %s; %s", row["dataset"], row["arm"], column, got, row[column], row["source"], row["method"])
	}
}

// TestReportPrintsPublishedTest reads the PDF and the page as a reader does.
func TestReportPrintsPublishedTest(t *testing.T) {
	r := lossReport(t, "gehan")
	stamp := time.Date(2026, 7, 1, 9, 34, 0, 0, time.UTC)
	var page, paper bytes.Buffer
	if err := report.WriteHTML(&page, r, stamp); err != nil {
		t.Fatal(err)
	}
	if err := report.WritePDF(&paper, r, stamp); err != nil {
		t.Fatal(err)
	}
	// 16.79, 19.25 and 10.75 are from survival_logrank.csv; 21 animals each, 9 and 21 deaths.
	wants := []string{"chi-square 16.79", "6-MP 9 deaths, 19.25 expected", "control 21 deaths, 10.75 expected", "p < 0.0001"}
	for _, want := range wants {
		if !strings.Contains(page.String(), want) && !strings.Contains(page.String(), strings.ReplaceAll(want, "<", "&lt;")) {
			t.Errorf("the page does not say %q", want)
		}
	}
	text := pdfText(t, paper.Bytes())
	for _, want := range wants {
		if !strings.Contains(text, want) {
			t.Errorf("the PDF does not say %q", want)
		}
	}
}

// TestReportOfTheDemo holds the report's parts against what demo_season.go wrote down.
func TestReportOfTheDemo(t *testing.T) {
	folder := filepath.Join(scratch.Folder(t), "season")
	var out, talk bytes.Buffer
	now := func() time.Time { return time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC) }
	if code := run([]string{"spatsheet", "demo", folder}, &out, &talk, now); code != exitGood {
		t.Fatalf("demo: exit code %d: %s", code, talk.String())
	}
	log, err := seasonlog.Open(filepath.Join(folder, station.LogFile))
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	batches, err := station.At("").Collected(log, season.Batch.Ready)
	if err != nil {
		t.Fatal(err)
	}
	s := season.Compile(batches, pedigree.Across)
	history, err := log.History()
	if err != nil {
		t.Fatal(err)
	}
	corrected, err := station.Corrections(log, history)
	if err != nil {
		t.Fatal(err)
	}
	r := season.ReportOf(s, corrected)
	if len(r.Spawnings) != 2 || r.Spawnings[0].Females != 18 || r.Spawnings[0].Spawned != 11 {
		t.Errorf("spawnings %+v", r.Spawnings)
	}
	// larvae_hatched, then the five changes of spawningNotes; 7.9e5 of 1.36e6 at the end
	if len(r.Larvae) != 2 || len(r.Larvae[0].Points) != 6 || r.Larvae[0].Points[5].Alive != 7.9e5 ||
		math.Abs(r.Larvae[0].Points[5].Share-7.9e5/r.Larvae[0].Points[0].Alive) > 1e-12 || !r.Larvae[0].FromFertilised {
		t.Errorf("larvae %+v", r.Larvae)
	}
	for _, w := range r.Water { // 13.2 when set up, then 13.4 13.6 13.5 13.2 13.3
		if w.Batch == "KS-26-01" && (w.Temperature.Number != 6 || w.Temperature.Low != 13.2 ||
			w.Temperature.High != 13.6 || math.Abs(w.Temperature.Mean-80.2/6) > 1e-9) {
			t.Errorf("water %+v", w)
		}
	}
	if len(corrected) != 1 || corrected[0].Reason != "read again from the wet paper" || corrected[0].Number != 2 || corrected[0].Changes[0].Was != "13,4" {
		t.Errorf("corrections %+v", corrected)
	}
}

// pdfText is the text of a PDF on one line; without pdftotext the test is skipped, save
// where CI asks for every tool.
func pdfText(t *testing.T, content []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "report.pdf")
	if err := os.WriteFile(name, content, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skip("pdftotext is not installed")
	}
	out, err := exec.Command("pdftotext", "-layout", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}
