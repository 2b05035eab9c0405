package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
			offer, ok, err := offered(batch, lineage, s, d.batch)
			if err != nil {
				return inputFault(fmt.Errorf("parent %s: %s: %w", code, s.Handed, err))
			}
			if !ok {
				continue
			}
			if other := given[s.ID]; other != "" {
				return usageFault("both %s and %s hand over %s; say which counts with --set %s=...", other, code, s.Handed, s.ID)
			}
			given[s.ID], d.settings[s.ID], parent.Gave[s.ID] = code, offer.left.String(), s.Handed
			fmt.Fprintf(p.out, "from %s: %s %s%s\n", code, s.ID, offer.left.Format(0), offer.note)
		}
		if n := check.Levels(batch.Findings)[protocols.Error]; n > 0 {
			fmt.Fprintf(p.talk, "spatsheet: %s has %s; what it hands over may be wrong: spatsheet check tells\n", code, counted(n, "error", "errors"))
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

// offer is what a batch has for a setting.
type offer struct {
	left quantity.Quantity
	note string // what others took of it
}

// offered finds what a batch has left for a setting of the batch that is planned; ok is
// false when it has nothing of the kind, or a reading is missing.
//
// Animals are not used up: those that spawned may spawn again.
func offered(parent season.Batch, lineage *pedigree.Lineage, s *protocols.Setting, planned string) (o offer, ok bool, err error) {
	for _, h := range season.HandsOver(parent) {
		if h.ID != s.Handed {
			continue
		}
		if h.Err != nil || !h.Has {
			return o, false, h.Err
		}
		unit, err := quantity.ParseUnit(h.Unit)
		if err != nil {
			return o, false, err
		}
		rest := h.Number
		taken := lineage.TakenFrom(parent.Sheet.Plan.Batch, h.ID, planned)
		thing, count := unit.Dimension().CountOf()
		if count && thing != "animal" && taken.Number > 0 {
			rest -= taken.Number
			o.note = fmt.Sprintf(" (of %s %s; %s to %s)", quantity.FormatNumber(h.Number, 0), h.Unit, quantity.FormatNumber(taken.Number, 0), strings.Join(taken.By, " and "))
		}
		if count && rest < 1 {
			return o, false, fmt.Errorf("nothing is left%s; say with --set %s=... if there is more", o.note, s.ID)
		}
		o.left, err = inSetting(rest, unit, s)
		return o, err == nil, err
	}
	return o, false, nil
}

// inSetting gives a number in a setting's unit, whole where it must be.
func inSetting(x float64, unit quantity.Unit, s *protocols.Setting) (quantity.Quantity, error) {
	q, err := quantity.New(x, unit)
	if err != nil {
		return q, err
	}
	if q, err = q.In(s.Unit); err == nil && s.Whole {
		q, err = quantity.New(math.Floor(q.Value()+1e-9), s.Unit)
	}
	return q, err
}

// tellAhead warns of what would be wrong between a planned batch and its parents.
func (p *program) tellAhead(others []season.Batch, planned *calc.Sheet) {
	for _, f := range pedigree.Ahead(others, planned) {
		fmt.Fprintf(p.talk, "spatsheet: as planned, %s: %s\n           %s\n", f.Batch, f.Says, f.Remedy)
	}
}
