package pedigree

import (
	"reflect"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/season"
	"spatsheet/protocols"
)

// TestBriefSaysTheSame: what is wrong between batches, their lineage and the report do not
// miss what Brief leaves out.
func TestBriefSaysTheSame(t *testing.T) {
	var whole, brief []season.Batch
	for i, p := range twoGenerations() {
		b := made(t, p)
		b.Findings = []check.Finding{{Level: protocols.Error, Code: "missing", Key: b.Readings[0].Key, Entry: "Entry", Says: "this must be filled in"}}
		b.Readings[i%len(b.Readings)].State = calc.NotDone
		whole = append(whole, b)
	}
	for _, b := range whole {
		short := b.Brief()
		if short.Readings != nil || short.Findings != nil || len(short.Sheet.Boxes()) > 0 {
			t.Fatalf("%s keeps %d readings, %d findings and %d boxes", b.Sheet.Plan.Batch, len(short.Readings), len(short.Findings), len(short.Sheet.Boxes()))
		}
		if len(b.Sheet.Boxes()) == 0 || len(b.Readings) == 0 {
			t.Fatalf("%s lost what Brief is to leave out of its copy", b.Sheet.Plan.Batch)
		}
		brief = append(brief, short)
	}
	a, b := season.Compile(whole, Across), season.Compile(brief, Across)
	got, want := season.ReportOf(b, nil), season.ReportOf(a, nil)
	gotLine, err := Trace(b)
	if err != nil {
		t.Fatal(err)
	}
	wantLine, err := Trace(a)
	if err != nil {
		t.Fatal(err)
	}
	if len(gotLine.Closings) != len(wantLine.Closings) || len(gotLine.Animals) != len(wantLine.Animals) || len(wantLine.Closings) == 0 {
		t.Errorf("%d closings and %d animals, want %d and %d", len(gotLine.Closings), len(gotLine.Animals), len(wantLine.Closings), len(wantLine.Animals))
	}
	got.Season.Batches, want.Season.Batches = nil, nil
	if len(want.Season.Across) == 0 || len(want.Season.Stages) == 0 || want.Deviations.Errors == 0 {
		t.Fatalf("the sample has %d findings between batches, %d stages and %d errors; want some of each",
			len(want.Season.Across), len(want.Season.Stages), want.Deviations.Errors)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
}
