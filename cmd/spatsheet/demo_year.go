package main

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"maps"
	"os"
	"runtime/debug"
	"slices"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/cmd/station"
	"spatsheet/cmd/station/demo"
	"spatsheet/protocols"
	"spatsheet/render/workbook"
	"spatsheet/templates"
)

// seasonCollected is when the large demo season was collected: a fixed time, so that the
// same program gives the same files.
var seasonCollected = time.Date(2026, 7, 1, 9, 0, 0, 0, time.UTC)

// demoYear plans, prints, fills in and collects the large invented season, batch by batch
// as a station would, since a child is planned from what its parent left.
func (p *program) demoYear(folder *station.Folder) error {
	defer debug.SetGCPercent(debug.SetGCPercent(400)) // a short run: time rather than memory
	p.say(fmt.Sprintf("1. %d batches of five months, and %d of the year before that they go back to", len(demo.SeasonBatches)-demo.CarriedOver, demo.CarriedOver))
	quiet := &program{out: io.Discard, talk: io.Discard}
	if err := quiet.makeFolder(folder, templates.Site); err != nil {
		return err
	}
	site, err := folder.Site()
	if err != nil {
		return err
	}
	for i, b := range demo.SeasonBatches {
		quiet.now = func() time.Time { return seasonCollected.Add(time.Duration(i) * time.Minute) }
		sheet, err := quiet.demoPlan(folder, site, b)
		if err == nil {
			err = quiet.demoBench(folder, b, sheet)
		}
		if err != nil {
			return fmt.Errorf("demo batch %s: %w", b.Code, err)
		}
		fmt.Fprintf(p.out, "  %-9s %s  %s\n", b.Code, b.Date, sheet.Protocol.Ref())
	}
	p.say("2. The season compiled")
	if err := p.season(folder, folder.File(station.OutFolder), false, false); err != nil && !errors.Is(err, errFindings) {
		return err
	}
	return nil
}

// demoPlan plans a batch and writes its plan.
func (p *program) demoPlan(folder *station.Folder, site calc.Site, b demo.SeasonBatch) (*calc.Sheet, error) {
	catalog := folder
	protocol, err := catalog.Protocol(b.Protocol)
	if err != nil {
		return nil, err
	}
	d, err := p.demoDraft(folder, protocol, b)
	if err != nil {
		return nil, err
	}
	name := folder.PlanFile(b.Code)
	if err := station.WriteBytes(name, false, d.text()); err != nil {
		return nil, err
	}
	plan, err := station.ReadPlan(name)
	if err != nil {
		return nil, err
	}
	sheet, err := calc.Scale(protocol, site, plan)
	if err != nil {
		return nil, inputFault(err)
	}
	return sheet, nil
}

func (p *program) demoDraft(folder *station.Folder, protocol *protocols.Protocol, b demo.SeasonBatch) (draft, error) {
	d := draft{batch: b.Code, protocol: protocol.Ref(), species: demo.SeasonSpecies, date: b.Date, start: b.Start,
		note: "invented demo batch", settings: map[string]string{}}
	if !slices.Contains(protocol.AppliesTo, "Patella") {
		d.species = demo.SeasonDiatom
	}
	for id, value := range b.Set {
		d.settings[id] = value
	}
	if err := d.takeProfile(folder, protocol, ""); err != nil {
		return draft{}, err
	}
	if len(b.Parents) > 0 {
		if err := p.takeParents(&d, folder, protocol, b.Parents); err != nil {
			return draft{}, err
		}
	}
	for i := range protocol.Settings { // the rest as the protocol's examples have it
		s := &protocol.Settings[i]
		if _, set := d.settings[s.ID]; !set && s.GivenBy == protocols.ByPlan {
			d.settings[s.ID] = s.Example.String()
		}
	}
	return d, nil
}

// demoBench prints a batch, fills its workbook in, first with its mistakes where it has
// any, and collects it.
func (p *program) demoBench(folder *station.Folder, b demo.SeasonBatch, sheet *calc.Sheet) error {
	printed := make(chan error, 1)
	go func() { printed <- p.printSheet(folder, sheet, false) }() // while the rest is made up
	list, err := filledSheets(b, sheet)
	if err := errors.Join(<-printed, err); err != nil {
		return err
	}
	blank, err := os.ReadFile(folder.File(station.WorkbookFolder, b.Code+".xlsx"))
	if err != nil {
		return inputFault(err)
	}
	for _, f := range list {
		content, err := workbook.Fill(blank, f.values)
		if err != nil {
			return err
		}
		name := folder.File(station.FilledFolder, f.name+".xlsx")
		if err := station.WriteBytes(name, false, content); err != nil {
			return err
		}
		if err := p.collect(folder, []string{name}, f.reason); err != nil && !errors.Is(err, errFindings) {
			return err
		}
	}
	return nil
}

// filledSheet is a sheet as it came back from the bench.
type filledSheet struct {
	name, reason string
	values       example.Values
}

// filledSheets gives what came back: with the mistakes first, where there were any.
func filledSheets(b demo.SeasonBatch, sheet *calc.Sheet) ([]filledSheet, error) {
	values, err := example.FillVaried(sheet, typedValues(b, sheet, b.Wrote), seasonVary(b.Code))
	if err != nil {
		return nil, err
	}
	if b.Mistakes == nil {
		return []filledSheet{{b.Code, "", values}}, nil
	}
	wrong := maps.Clone(values)
	for key, value := range b.Mistakes.Onto(sheet) {
		wrong[key] = value
	}
	return []filledSheet{{b.Code, "", wrong}, {b.Code + "-corrected", b.Reason, values}}, nil
}

// typedValues are what was written, ND in every required box of the steps not done, and
// nothing in rows that are still to come.
func typedValues(b demo.SeasonBatch, sheet *calc.Sheet, wrote demo.Invented) example.Values {
	values := wrote.Onto(sheet)
	for _, box := range sheet.Boxes() {
		if box.Table != nil && b.Until[box.Table.ID] > 0 && box.Row > b.Until[box.Table.ID] {
			values[box.Key] = nil
		}
		for _, step := range b.NotDone {
			if sheet.Steps[box.Step].Definition.ID != step {
				continue
			}
			values[box.Key] = nil
			partial := box.Table != nil && box.Table.Partial && box.Row > 1
			if box.Entry.Required && !partial {
				values[box.Key] = "ND"
			}
		}
	}
	return values
}

// seasonSeed makes this season's chances others than another's.
const seasonSeed = "spatsheet demo season"

// seasonVary gives a batch chances of its own: one for each entry, and a small one for
// each box. The same batch always gets the same.
func seasonVary(batch string) example.Vary {
	return func(b calc.Box, plain float64) float64 {
		if names := b.Entry.Example.Formula.Names(); len(names) == 1 && names[0] == b.Entry.Example.Formula.String() {
			return plain // it repeats what stands elsewhere
		}
		entry := b.Entry.ID
		if b.Table != nil {
			entry = b.Table.ID + "." + entry
		}
		chance := 0.8*chanceOf(batch, entry) + 0.2*chanceOf(batch, string(b.Key))
		return plain * (1 + spreadOf(b.Entry)*chance)
	}
}

// spreadOf is how far an entry of a kind differs between batches, as a share of its
// value. Common practice, no source; volumes, areas and times are as the protocol says.
func spreadOf(e *protocols.Entry) float64 {
	switch e.Unit.Symbol() {
	case "°C":
		return 0.03
	case "PSU", "pH":
		return 0.008
	case "mm", "µm", "g", "%", "mg/L":
		return 0.08
	case "cells/mL":
		return 0.15
	case "eggs", "larvae", "spat", "sperm", "cells", "animals", "plates":
		return 0.3
	}
	return 0
}

// chanceOf is a number from -1 to 1, the same for the same words.
//
// Source: FNV-1a, 64 bit, mixed once more by the finaliser of SplitMix64 (from memory).
func chanceOf(words ...string) float64 {
	h := fnv.New64a()
	io.WriteString(h, seasonSeed) // a hash never fails to be written to
	for _, w := range words {
		io.WriteString(h, "|"+w)
	}
	x := h.Sum64()
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	x ^= x >> 31
	return float64(x>>11)/(1<<52) - 1
}
