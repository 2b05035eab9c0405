package main

import (
	"errors"
	"fmt"
	"slices"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// takeParents fills settings from what collected batches hand over and others have not
// taken, and records which revision of which batch gave what: the link that lineage goes by.
func (p *program) takeParents(d *draft, folder *station.Folder, protocol *protocols.Protocol, codes []string) error {
	collected, err := folder.AllCollected(season.Batch.Ready)
	if err != nil {
		return err
	}
	d.others = append(slices.Clip(collected), plannedFrom(folder, codes, collected)...)
	lineage, err := pedigree.Trace(season.Compile(collected, pedigree.Across))
	if err != nil {
		return inputFault(err)
	}
	given := map[string]string{} // setting by the batch that gave it
	for _, code := range codes {
		batch, err := batchNamed(collected, code)
		if err != nil {
			return err
		}
		parent := calc.Parent{Batch: code, Revision: batch.Revision, Gave: map[string]string{}}
		for i := range protocol.Settings {
			s := &protocol.Settings[i]
			if _, set := d.settings[s.ID]; s.Handed == "" || (set && given[s.ID] == "") {
				continue // not handed over, or given on the command line
			}
			offer, ok, err := lineage.Offered(batch, s, d.batch)
			if errors.Is(err, pedigree.ErrNothingLeft) {
				err = fmt.Errorf("%w; say with --set %s=... if there is more", err, s.ID)
			}
			if err != nil {
				return inputFault(fmt.Errorf("parent %s: %s: %w", code, s.Handed, err))
			}
			if !ok {
				continue
			}
			if other := given[s.ID]; other != "" {
				return usageFault("both %s and %s hand over %s; say which counts with --set %s=...", other, code, s.Handed, s.ID)
			}
			given[s.ID], d.settings[s.ID], parent.Gave[s.ID] = code, offer.Left.String(), s.Handed
			fmt.Fprintf(p.out, "from %s: %s %s%s\n", code, s.ID, offer.Left.Format(0), offer.Note)
		}
		if n := check.Levels(batch.Findings)[protocols.Error]; n > 0 {
			fmt.Fprintf(p.talk, "spatsheet: %s has %s; what it hands over may be wrong: spatsheet check tells\n", code, quantity.Counted(n, "error", "errors"))
		}
		d.parents = append(d.parents, parent)
	}
	return nil
}

// plannedFrom lists the batches planned from some others and not collected yet. A plan or
// site that cannot be read is told where it is used.
func plannedFrom(folder *station.Folder, parents []string, collected []season.Batch) []season.Batch {
	site, err := folder.Site()
	if err != nil {
		return nil
	}
	catalog := folder
	var list []season.Batch
	for _, name := range folder.PlanFiles() {
		plan, err := station.ReadPlan(name)
		named := func(p calc.Parent) bool { return slices.Contains(parents, p.Batch) }
		done := func(b season.Batch) bool { return b.Sheet.Plan.Batch == plan.Batch }
		if err != nil || !slices.ContainsFunc(plan.Parents, named) || slices.ContainsFunc(collected, done) {
			continue
		}
		if sheet, err := catalog.Scale(site, plan); err == nil {
			list = append(list, season.Planned(sheet))
		}
	}
	return list
}

func batchNamed(batches []season.Batch, code string) (season.Batch, error) {
	var codes []string
	for _, b := range batches {
		if b.Sheet.Plan.Batch == code {
			return b, nil
		}
		codes = append(codes, b.Sheet.Plan.Batch)
	}
	return season.Batch{}, logFault(fmt.Errorf("parent %s is not collected%s", code, meantOr(code, codes, "collect its filled workbook first: spatsheet collect")))
}

// tellAhead warns of what would be wrong between a planned batch and its parents.
func (p *program) tellAhead(others []season.Batch, planned *calc.Sheet) {
	for _, f := range pedigree.Ahead(others, planned) {
		fmt.Fprintf(p.talk, "spatsheet: as planned, %s: %s\n           %s\n", f.Batch, f.Says, f.Remedy)
	}
}
