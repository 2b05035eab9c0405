package main

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/example"
	"spatsheet/calc/functions"
	"spatsheet/calc/season"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/render/benchsheet"
	"spatsheet/render/workbook"
	"spatsheet/templates"
)

// TestEveryProtocol takes every shipped protocol, with no species profile at three batch
// sizes and with each profile at one of these in turn, all the way round: scaled, printed, filled in from its own
// examples, read back without a finding, compiled. Where a species does not go with a
// protocol, planning must say so or say what is missing.
func TestEveryProtocol(t *testing.T) {
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	for _, ref := range library.Refs() {
		p, err := library.Load(ref, functions.All())
		if err != nil {
			t.Error(err)
			continue
		}
		t.Run(ref, func(t *testing.T) {
			t.Parallel()
			ran := roundOfSizes(t, site, p, nil, batchSizes...)
			for n, profileRef := range library.ProfileRefs() {
				profile, err := library.LoadProfile(profileRef)
				if err != nil {
					t.Error(err)
					continue
				}
				ran += roundOfSizes(t, site, p, profile, batchSizes[n%len(batchSizes)])
			}
			if ran == 0 {
				t.Error("no species goes with this protocol")
			}
		})
	}
}

// batchSizes are shares of a protocol's examples. What a species changes, the values of
// settings, is tried at one size: nothing in a profile hangs on it.
var batchSizes = []float64{0.25, 0.5, 1}

// roundOfSizes gives the number of sizes that went round: all, or none when the species is
// refused in words.
func roundOfSizes(t *testing.T, site calc.Site, p *protocols.Protocol, profile *protocols.Profile, sizes ...float64) int {
	t.Helper()
	ran := 0
	for _, k := range sizes {
		plan, err := calc.ReadPlan("plan.yaml", examplePlan(p, profile, k))
		if err != nil {
			t.Error(err)
			continue
		}
		sheet, err := calc.Scale(p, site, plan)
		if err != nil {
			if !refusedInWords(err, profile) {
				t.Errorf("x%g: %v", k, err)
			}
			continue
		}
		ran++
		if err := roundTrip(sheet); err != nil {
			t.Errorf("%s x%g: %v", plan.Species, k, err)
		}
	}
	return ran
}

func refusedInWords(err error, profile *protocols.Profile) bool {
	for _, words := range []string{"is written for", "species profile"} {
		if strings.Contains(err.Error(), words) {
			return true
		}
	}
	return false
}

// examplePlan is a plan from the examples of the protocol's settings, k times as large.
func examplePlan(p *protocols.Protocol, profile *protocols.Profile, k float64) []byte {
	var b bytes.Buffer
	species := p.AppliesTo[0]
	if profile != nil {
		species = profile.Species
	}
	fmt.Fprintf(&b, "batch: EX-1\nprotocol: %s\nspecies: %s\ndate: 2026-02-14\nstart: \"09:00\"\n", p.Ref(), species)
	if profile != nil {
		fmt.Fprintf(&b, "profile: %s\n", profile.Ref())
		writeSettings(&b, "species_values", valuesFor(p, profile))
	}
	settings := map[string]string{}
	for _, s := range p.Settings {
		if s.GivenBy != protocols.ByPlan {
			continue
		}
		x := s.Example.Value()
		if s.Scales {
			x *= k
		}
		if s.Whole {
			x = math.Max(1, math.Round(x))
		}
		settings[s.ID] = fmt.Sprintf("%g", x)
	}
	writeSettings(&b, "settings", settings)
	return b.Bytes()
}

func roundTrip(sheet *calc.Sheet) error {
	if err := benchsheet.Write(&bytes.Buffer{}, sheet); err != nil {
		return fmt.Errorf("bench sheet: %w", err)
	}
	var blank bytes.Buffer
	if err := workbook.Write(&blank, sheet); err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	values, err := example.Fill(sheet, nil)
	if err != nil {
		return fmt.Errorf("example: %w", err)
	}
	content, err := workbook.Fill(blank.Bytes(), values)
	if err != nil {
		return err
	}
	filled, err := workbook.Read(content)
	if err != nil {
		return err
	}
	again, err := station.At("").ScaleAgain(filled.Manifest)
	if err != nil {
		return err
	}
	if err := inTypingOrder(again, filled); err != nil {
		return err
	}
	result := check.Sheet(again, filled)
	for _, f := range result.Findings {
		return fmt.Errorf("%d findings, the first: %s %s at %s (%s): %s", len(result.Findings), f.Level, f.Code, f.Entry, f.Raw, f.Says)
	}
	for _, st := range season.Stages(season.Batch{Sheet: again, Readings: result.Readings}) {
		if !st.HasSurvival || st.Note != "" {
			return fmt.Errorf("stage %s has no survival: %s", st.ID, st.Note)
		}
	}
	numbers := check.NewNumbers(again, result.Readings)
	for _, h := range again.Protocol.HandsOver {
		if _, ok, err := numbers.Number(h.Formula); err != nil || !ok {
			return fmt.Errorf("hand-over %s cannot be worked out: %v", h.ID, err)
		}
	}
	return nil
}

// inTypingOrder wants the boxes of each workbook sheet in calc's order from the left to the
// right and down: that is how Tab goes through the open cells of a locked sheet.
func inTypingOrder(sheet *calc.Sheet, filled *calc.Filled) error {
	last := map[string][2]int{}
	for _, b := range sheet.Boxes() {
		cell := filled.Cells[b.Key]
		col, row, err := excelize.CellNameToCoordinates(cell.Ref)
		if err != nil {
			return err
		}
		before := last[cell.Sheet]
		if at := [2]int{row, col}; slices.Compare(at[:], before[:]) <= 0 {
			return fmt.Errorf("%s at %s!%s comes after row %d, column %d", b.Key, cell.Sheet, cell.Ref, before[0], before[1])
		}
		last[cell.Sheet] = [2]int{row, col}
	}
	return nil
}
