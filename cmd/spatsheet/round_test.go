package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/cmd/station"
	"spatsheet/cmd/station/demo"
	"spatsheet/render/scratch"
)

// TestMistakesInAWorkbookAreAllFound types mistakes into a printed workbook and wants
// exactly their findings, through the whole way: file, read-back, check, JSON.
func TestMistakesInAWorkbookAreAllFound(t *testing.T) {
	folder := filepath.Join(scratch.Folder(t), "season")
	var out, talk bytes.Buffer
	now := func() time.Time { return time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC) }
	if code := run([]string{"spatsheet", "demo", folder}, &out, &talk, now); code != exitGood {
		t.Fatalf("demo: exit code %d: %s", code, talk.String())
	}
	p := &program{out: &out, talk: &talk, now: now}
	wrote := maps.Clone(demo.SpawningNotes)
	maps.Copy(wrote, demo.Invented{
		"water_temperature": "13,2",      // decimal comma
		"hatch_water":       "288000 mL", // unit typed beside the number
		"sperm_motile":      "most",      // text in a number cell
		"rinses_done":       nil,         // a missing required entry
		"larvae_hatched":    1.361e6,
		"spat_counts.area":  1, // settled > stocked, worked out from it
	})
	name, err := p.demoFill(station.At(folder), "KS-26-01", "mistakes", wrote)
	if err != nil {
		t.Fatal(err)
	}
	changeAmount(t, name, "a_egg_pool")

	out.Reset()
	if code := run([]string{"spatsheet", "check", "--json", name}, &out, &talk, now); code != exitFindings {
		t.Fatalf("check: exit code %d, want %d: %s", code, exitFindings, talk.String())
	}
	var files []checked
	if err := json.Unmarshal(out.Bytes(), &files); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range files[0].Findings {
		got = append(got, fmt.Sprintf("%s %s %s", f.Level, f.Code, f.Key))
		if f.Ref == "" || f.Entry == "" || f.Remedy == "" {
			t.Errorf("a finding without cell, printed name or remedy: %+v", f)
		}
	}
	want := []string{
		"error amount-changed ",
		"note number-as-text water_temperature",
		"error text-for-number sperm_motile",
		"error missing rinses_done",
		"note number-as-text hatch_water",
		"error settled-not-more-than-stocked spat_settled",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// changeAmount overwrites the locked cell that a defined name points at.
func changeAmount(t *testing.T, file, name string) {
	t.Helper()
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, n := range f.GetDefinedName() {
		if n.Name != name {
			continue
		}
		sheet, cell, ok := bytes.Cut(bytes.ReplaceAll([]byte(n.RefersTo), []byte("$"), nil), []byte("!"))
		if !ok {
			t.Fatalf("%s refers to %s", name, n.RefersTo)
		}
		if err := f.SetCellValue(string(bytes.Trim(sheet, "'")), string(cell), 60); err != nil {
			t.Fatal(err)
		}
		if err := f.SaveAs(file); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Fatalf("there is no name %s", name)
}
