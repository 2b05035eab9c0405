package workbook

import (
	"bytes"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// notesOf lists a workbook's notes: "sheet!cell" to text.
func notesOf(t *testing.T, content []byte) map[string]string {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	notes := map[string]string{}
	for _, sheet := range f.GetSheetList() {
		comments, err := f.GetComments(sheet)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range comments {
			notes[sheet+"!"+c.Cell] = noteText(c)
		}
	}
	return notes
}

func findingsFor(t *testing.T, content []byte) []check.Finding {
	return findingsAt(read(t, content))
}

func findingsAt(filled *calc.Filled) []check.Finding {
	cell := filled.Cells["water_temperature"]
	return []check.Finding{
		{Level: protocols.Error, Code: "a", Sheet: cell.Sheet, Ref: cell.Ref, Key: "water_temperature",
			Entry: "Water temperature", Raw: "=1", Says: "not a reading", Remedy: "type it"},
		{Level: protocols.Warning, Code: "b", Sheet: cell.Sheet, Ref: cell.Ref, Key: "water_temperature",
			Entry: "Water temperature", Says: "out of range", Remedy: "look again"},
		{Level: protocols.Note, Code: "c", Says: "about the whole sheet", Remedy: "nothing"},
		{Level: protocols.Note, Code: "d", Sheet: "no such sheet", Ref: "A1", Says: "elsewhere", Remedy: "nothing"},
	}
}

func TestAnnotateNotesEachCellOnce(t *testing.T) {
	content := filledIn(t, written(t, sample(t, "spawning")), map[calc.Key]any{"water_temperature": 35})
	kept := bytes.Clone(content)
	findings := findingsFor(t, content)
	marked, err := Annotate(content, findings)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(content, kept) {
		t.Error("Annotate changed the bytes it was given")
	}
	got := notesOf(t, marked)
	note := got[findings[0].Place()]
	if len(got) != 1 || !strings.Contains(note, "ERROR: not a reading") || !strings.Contains(note, "WARNING: out of range") {
		t.Errorf("got notes %q, want one with both findings", got)
	}
	if filled := read(t, marked); filled.Cells["water_temperature"].Number != 35 || len(filled.Lost) != 0 {
		t.Errorf("the copy reads %+v, lost %v", filled.Cells["water_temperature"], filled.Lost)
	}
}

func TestAnnotateListsEveryFinding(t *testing.T) {
	content := written(t, sample(t, "spawning"))
	findings := findingsFor(t, content)
	marked, err := Annotate(content, findings)
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(marked))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows("Findings")
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 3+len(findings) || rows[3][3] != "=1" || rows[5][4] != "about the whole sheet" {
		t.Errorf("got rows %q, want 3 of heads and %d findings", rows, len(findings))
	}
	if !strings.Contains(rows[1][0], "1 error, 1 warning, 2 notes") {
		t.Errorf("got %q, want the findings counted", rows[1][0])
	}
}

func TestAnnotateAgainReplacesAndKeepsOwnNotes(t *testing.T) {
	content := written(t, sample(t, "spawning"))
	findings := findingsFor(t, content)
	f, err := excelize.OpenReader(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	own := excelize.Comment{Cell: findings[0].Ref, Author: "AB", Text: "thermometer 2"}
	if err := f.AddComment(findings[0].Sheet, own); err != nil {
		t.Fatal(err)
	}
	if content, err = bytesOf(f); err != nil {
		t.Fatal(err)
	}
	once, err := Annotate(content, findings)
	if err != nil {
		t.Fatal(err)
	}
	twice, err := Annotate(once, findings[1:2])
	if err != nil {
		t.Fatal(err)
	}
	note := notesOf(t, twice)[findings[0].Place()]
	if strings.Contains(note, "not a reading") || !strings.Contains(note, "out of range") || strings.Count(note, "thermometer 2") != 1 {
		t.Errorf("got note %q, want the new finding and the person's words once", note)
	}
	none, err := Annotate(twice, nil)
	if err != nil {
		t.Fatal(err)
	}
	if note := notesOf(t, none)[findings[0].Place()]; note != "thermometer 2" {
		t.Errorf("got note %q, want only the person's words", note)
	}
	g, err := excelize.OpenReader(bytes.NewReader(none))
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	if n := strings.Count(strings.Join(g.GetSheetList(), " "), "Findings"); n != 1 {
		t.Errorf("got %d sheets of findings, want 1: %v", n, g.GetSheetList())
	}
}
