package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/cmd/station"
	"spatsheet/cmd/station/demo"
	"spatsheet/protocols"
	"spatsheet/render/scratch"
	"spatsheet/render/seasonlog"
)

// TestDemoSeason makes the large season once and looks at it from every side.
func TestDemoSeason(t *testing.T) {
	folder := filepath.Join(scratch.Folder(t), "d")
	var out, talk bytes.Buffer
	if code := run([]string{"spatsheet", "demo", "--season", folder}, &out, &talk, noClock(t)); code != exitGood {
		t.Fatalf("exit code %d: %s", code, talk.String())
	}
	log, err := seasonlog.Open(filepath.Join(folder, station.LogFile))
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close() // only read from
	t.Run("what is in it", func(t *testing.T) { whatIsInDemoSeason(t, log) })
	t.Run("readings come back from CSV", func(t *testing.T) { csvEqualsLog(t, log, folder) })
	t.Run("cells fit the descriptor", func(t *testing.T) { cellsFitDescriptor(t, folder) })
	t.Run("another program works out survival", func(t *testing.T) { anotherProgramWorksOutSurvival(t, folder) })
	t.Run("another program works out the report", func(t *testing.T) { anotherProgramWorksOutReport(t, folder) })
	t.Run("an error between batches", func(t *testing.T) { errorBetweenBatches(t, folder) })
	t.Run("the same again", func(t *testing.T) { sameAgain(t, folder) })
}

// noClock fails a test that asks for the time: the demo's times are fixed.
func noClock(t *testing.T) func() time.Time {
	return func() time.Time {
		t.Error("the clock was asked")
		return time.Time{}
	}
}

func whatIsInDemoSeason(t *testing.T, log *seasonlog.Log) {
	batches, err := station.At("").Collected(log, season.Batch.Ready)
	if err != nil {
		t.Fatal(err)
	}
	if len(batches) != len(demo.SeasonBatches) || len(batches)-demo.CarriedOver != 30 {
		t.Errorf("%d batches, of which %d carried over; want 30 of five months", len(batches), demo.CarriedOver)
	}
	s := season.Compile(batches, pedigree.Across)
	first, last := s.Batches[demo.CarriedOver].Sheet.Plan.Start, s.Batches[len(batches)-1].Sheet.Plan.Start
	if first.AddDate(0, 5, 0).Before(last) || first.Year() != last.Year() {
		t.Errorf("the season runs from %v to %v, longer than five months of a year", first, last)
	}
	deviationsOfDemoSeason(t, log, s)
	l, err := pedigree.Trace(s)
	if err != nil {
		t.Fatal(err)
	}
	if day, closed := l.ClosedOn(); !closed || day.Format("2006-01-02") != "2026-02-20" {
		t.Errorf("the cycle is closed on the day of the crosses of KS-26-F1, 2026-02-20; got %v, %v", day, closed)
	}
	survivals := map[float64]bool{}
	for _, st := range s.Stages {
		if st.ID == "settlement" && st.HasSurvival {
			survivals[st.Survival] = true
		}
	}
	if len(survivals) < 6 {
		t.Errorf("settlement is to differ between batches: %v", survivals)
	}
}

func deviationsOfDemoSeason(t *testing.T, log *seasonlog.Log, s season.Season) {
	versions, levels, codes := map[string]int{}, map[protocols.Level]int{}, map[string]int{}
	for _, b := range s.Batches {
		versions[b.Sheet.Protocol.Ref()]++
		for _, f := range b.Findings {
			levels[f.Level]++
			codes[f.Code]++
		}
	}
	if versions["limpet-spawning@1.0.0"] == 0 || versions["limpet-spawning@2.0.0"] == 0 {
		t.Errorf("both versions of the spawning are wanted: %v", versions)
	}
	for _, id := range []string{"shore-collection", "broodstock-acclimation", "gonad-check", "diatom-culture",
		"plate-seeding", "larval-rearing", "settlement", "nursery", "grow-out", "out-planting", "f1-broodstock"} {
		if !slices.ContainsFunc(slices.Collect(maps.Keys(versions)), func(ref string) bool { return strings.HasPrefix(ref, id+"@") }) {
			t.Errorf("no batch of %s", id)
		}
	}
	if levels[protocols.Error] != 0 || codes["step-not-done"] == 0 || codes["off-plan"] == 0 || codes["alarming-choice"] == 0 {
		t.Errorf("deviations are wanted, but none at error level in what counts: %v %v", levels, codes)
	}
	if revisions, err := log.Revisions("KS-26-S3"); err != nil || len(revisions) != 2 || revisions[1].Reason == "" {
		t.Errorf("KS-26-S3 was corrected once: %v, %v", revisions, err)
	}
}

func csvTable(t *testing.T, folder, name string) (columns []string, list []map[string]string) {
	t.Helper()
	f, err := os.Open(filepath.Join(folder, station.OutFolder, name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) == 0 {
		t.Fatalf("%s.csv: %d lines, %v", name, len(lines), err)
	}
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, cell := range line {
			if len(cell) > 1 && cell[0] == '\'' && strings.ContainsRune("=+-@", rune(cell[1])) {
				cell = cell[1:] // made harmless for spreadsheet programs
			}
			row[lines[0][i]] = cell
		}
		list = append(list, row)
	}
	return lines[0], list
}

// csvEqualsLog compares readings.csv with the log: every reading of every latest revision,
// numbers bit for bit, dates to the second.
func csvEqualsLog(t *testing.T, log *seasonlog.Log, folder string) {
	_, list := csvTable(t, folder, "readings")
	byKey := map[string]map[string]string{}
	for _, row := range list {
		byKey[row["batch"]+" "+row["key"]] = row
	}
	revisions, err := log.Batches()
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, r := range revisions {
		readings, err := log.Readings(r.Batch, r.Number)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range readings {
			row := byKey[r.Batch+" "+string(want.Key)]
			if got := readingOf(t, row); got != want || row["protocol"] != r.Protocol || row["revision"] != strconv.Itoa(r.Number) {
				t.Errorf("%s %s: the file gives %+v, the log %+v", r.Batch, want.Key, got, want)
			}
			compared++
		}
	}
	if compared != len(list) || compared != len(byKey) || compared < 5000 {
		t.Errorf("%d readings in the log, %d rows in the file, %d keys", compared, len(list), len(byKey))
	}
}

func readingOf(t *testing.T, row map[string]string) calc.Reading {
	r := calc.Reading{Key: calc.Key(row["key"]), Printed: row["entry"], Sheet: row["sheet"], Ref: row["cell"],
		State: calc.State(row["state"]), Raw: row["raw"], Unit: row["unit"], Text: row["text"]}
	if row["value"] != "" {
		x, err := strconv.ParseFloat(row["value"], 64)
		if err != nil || math.IsNaN(x) {
			t.Errorf("%s: %q is no number", row["key"], row["value"])
		}
		r.Number = x
	}
	for _, form := range []string{"2006-01-02", "2006-01-02T15:04:05"} {
		if at, err := time.Parse(form, r.Text); err == nil && r.State == calc.Given {
			r.Number = float64(at.Unix())
		}
	}
	return r
}

// describedTable is what datapackage.json says of a CSV file.
type describedTable struct {
	Name   string
	Bytes  int64
	Schema struct {
		Fields     []describedField
		PrimaryKey []string
	}
}

type describedField struct {
	Name, Type, Format string
	Constraints        struct {
		Required bool
		Enum     []string
	}
}

// fits says whether a cell is what the field is described as.
func (f describedField) fits(cell string) bool {
	if cell == "" {
		return !f.Constraints.Required
	}
	return cellIs(cell, f.Type, f.Format) && (f.Constraints.Enum == nil || slices.Contains(f.Constraints.Enum, cell))
}

// cellsFitDescriptor reads every CSV file as datapackage.json says, and nothing else.
func cellsFitDescriptor(t *testing.T, folder string) {
	content, err := os.ReadFile(filepath.Join(folder, station.OutFolder, "datapackage.json"))
	if err != nil {
		t.Fatal(err)
	}
	var p struct{ Resources []describedTable }
	if err := json.Unmarshal(content, &p); err != nil {
		t.Fatal(err)
	}
	_, batches := csvTable(t, folder, "batches")
	codes := map[string]bool{}
	for _, row := range batches {
		codes[row["batch"]] = true
	}
	for _, r := range p.Resources {
		columns, list := csvTable(t, folder, r.Name)
		if info, err := os.Stat(filepath.Join(folder, station.OutFolder, r.Name+".csv")); err != nil || info.Size() != r.Bytes {
			t.Errorf("%s.csv: described with %d bytes, %v", r.Name, r.Bytes, err)
		}
		if len(list) == 0 || len(columns) != len(r.Schema.Fields) {
			t.Errorf("%s: %d rows, %d columns, %d described", r.Name, len(list), len(columns), len(r.Schema.Fields))
			continue
		}
		seen := map[string]bool{}
		for _, row := range list {
			key := ""
			for _, k := range r.Schema.PrimaryKey {
				key += row[k] + "\n"
			}
			if key != "" && seen[key] {
				t.Errorf("%s: two rows of %q", r.Name, key)
			}
			seen[key] = true
			if code, ok := row["batch"]; ok && !codes[code] {
				t.Errorf("%s: batch %q is not in batches", r.Name, code)
			}
			for i, f := range r.Schema.Fields {
				if columns[i] != f.Name || !f.fits(row[f.Name]) {
					t.Errorf("%s.%s: %q is not what is described", r.Name, f.Name, row[f.Name])
				}
			}
		}
	}
	if len(p.Resources) != 9 {
		t.Errorf("%d tables described", len(p.Resources))
	}
}

// decimal is a number of Table Schema: XML Schema's decimal, with an exponent.
var decimal = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$`)

func cellIs(cell, kind, format string) bool {
	var err error
	switch kind {
	case "integer":
		_, err = strconv.Atoi(cell)
	case "number":
		return decimal.MatchString(cell)
	case "date":
		_, err = time.Parse("2006-01-02", cell)
	case "datetime":
		_, err = time.Parse(strings.NewReplacer("%Y", "2006", "%m", "01", "%d", "02", "%H", "15", "%M", "04").Replace(format), cell)
	case "string":
	default:
		return false
	}
	return err == nil
}

// errorBetweenBatches gives the larvae of a spawning away a second time: each sheet is
// right by itself, and the season is not.
func errorBetweenBatches(t *testing.T, folder string) {
	again := filepath.Join(scratch.Folder(t), "again")
	if err := os.CopyFS(again, os.DirFS(folder)); err != nil {
		t.Fatal(err)
	}
	site, err := station.At(again).Site()
	if err != nil {
		t.Fatal(err)
	}
	quiet := &program{out: io.Discard, talk: io.Discard, now: func() time.Time { return seasonCollected.AddDate(0, 0, 1) }}
	b := demo.SeasonBatch{Code: "KS-26-L9", Protocol: "larval-rearing", Date: "2026-02-12", Start: "09:00", Parents: []string{"KS-26-S2"}}
	if _, err := quiet.demoPlan(station.At(again), site, b); err == nil ||
		!strings.Contains(err.Error(), "nothing is left (of 1\u202f424\u202f000 larvae; 1\u202f424\u202f000 to KS-26-L1)") {
		t.Fatalf("planning from larvae that another took: got %v", err)
	}
	b.Set = map[string]string{"larvae": "1424000 larvae"} // against better advice
	sheet, err := quiet.demoPlan(station.At(again), site, b)
	if err != nil {
		t.Fatal(err)
	}
	if err := quiet.demoBench(station.At(again), b, sheet); err != nil {
		t.Fatal(err)
	}
	var out, talk bytes.Buffer
	if code := run([]string{"spatsheet", "season", "--replace", "-f", again}, &out, &talk, noClock(t)); code != exitFindings {
		t.Errorf("exit code %d, want %d: %s", code, exitFindings, talk.String())
	}
	if want := "error   KS-26-S2: KS-26-L1 and KS-26-L9 took "; !strings.Contains(out.String(), want) {
		t.Errorf("%q is not in\n%s", want, out.String())
	}
	_, list := csvTable(t, again, "season_findings")
	if !slices.ContainsFunc(list, func(row map[string]string) bool {
		return row["code"] == "more-taken-than-left" && row["batch"] == "KS-26-S2"
	}) {
		t.Errorf("season_findings.csv does not tell it: %v", list)
	}
}

// sameAgain makes the season a second time; it takes a while, so that it runs in CI only.
func sameAgain(t *testing.T, folder string) {
	if os.Getenv("CI") == "" {
		t.Skip("CI is not set")
	}
	again := filepath.Join(scratch.Folder(t), "d")
	if code := run([]string{"spatsheet", "demo", "--season", again}, io.Discard, io.Discard, noClock(t)); code != exitGood {
		t.Fatalf("exit code %d", code)
	}
	same := 0
	err := filepath.WalkDir(folder, func(name string, entry os.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		want, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(folder, name)
		if err != nil {
			return err
		}
		if got, err := os.ReadFile(filepath.Join(again, relative)); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not the same again: %v", relative, err)
		}
		same++
		return nil
	})
	if err != nil || same < 4*len(demo.SeasonBatches) {
		t.Errorf("%d files compared, %v", same, err)
	}
}
