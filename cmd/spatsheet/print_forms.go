package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"spatsheet/calc"
	"spatsheet/cmd/station"
	"spatsheet/protocols/quantity"
	"spatsheet/render/benchsheet"
	"spatsheet/render/labels"
	"spatsheet/render/style"
	"spatsheet/render/workbook"
)

// forms is what print makes of each batch: bench sheet and workbook, or else labels on a
// stock, the pocket card or both, or all of them.
type forms struct {
	folder  *station.Folder
	replace bool
	sheet   bool // bench sheet and workbook, beside the others too
	stock   *calc.LabelStock
	start   int
	card    bool
}

// form is one file to write; note adds to what is said of it.
type form struct {
	says, name string
	write      func(f *os.File) (note string, err error)
}

// of lists the files of a batch.
func (f forms) of(sheet *calc.Sheet) []form {
	paper := func(ending string) string { return f.folder.File(station.SheetsFolder, sheet.Plan.Batch+ending) }
	var list []form
	if f.sheet || f.stock == nil && !f.card {
		list = append(list,
			form{"paper", paper(".pdf"), func(w *os.File) (string, error) { return "", benchsheet.Write(w, sheet) }},
			form{"workbook", f.folder.File(station.WorkbookFolder, sheet.Plan.Batch+".xlsx"), func(w *os.File) (string, error) { return "", workbook.Write(w, sheet) }})
	}
	if f.stock != nil {
		list = append(list, form{"labels", paper("-labels.pdf"), func(w *os.File) (string, error) {
			done, err := labels.Write(w, sheet, *f.stock, f.start)
			return fmt.Sprintf(": %s on %s of %s, free from label %d", quantity.Counted(done.Labels, "label", "labels"),
				quantity.Counted(done.Sheets, "sheet", "sheets"), f.stock.Name, done.Next), err
		}})
	}
	if f.card {
		list = append(list, form{"card", paper("-card.pdf"), func(w *os.File) (string, error) { return "", benchsheet.WriteCard(w, sheet) }})
	}
	return list
}

// printedBatch is what became of one batch: what is said to stdout and stderr, or the fault.
type printedBatch struct {
	said, warned string
	err          error
}

// print writes a batch's files, all or none where one is there already or must stay.
func (f forms) print(sheet *calc.Sheet) printedBatch {
	var out printedBatch
	plan, list := sheet.Plan, f.of(sheet)
	for _, one := range list {
		if _, err := os.Stat(one.name); err == nil && !f.replace {
			out.err = errors.Join(out.err, station.NotThere(one.name, false))
		}
		if one.says == "workbook" && f.replace {
			out.err = errors.Join(out.err, notTypedInto(f.folder, one.name))
		}
	}
	if out.err != nil {
		return out
	}
	if _, replaced := style.Printable(plan.Note + plan.Species + sheet.Site.Name); replaced {
		out.warned = fmt.Sprintf("spatsheet: %s: some letters of the note, species or site are not in the printed font and stand as □\n", plan.Batch)
	}
	var said strings.Builder
	fmt.Fprintf(&said, "%s  digest %s\n", plan.Batch, sheet.Digest)
	type written struct {
		note string
		err  error
	}
	out.err = station.InOrder(list, func(one form) (w written) {
		w.err = station.WriteWhole(one.name, f.replace, func(file *os.File) (err error) { w.note, err = one.write(file); return err })
		return w
	}, func(one form, w written) error {
		if w.err == nil {
			fmt.Fprintf(&said, "  %-8s  %s%s\n", one.says, one.name, w.note)
		}
		return w.err
	})
	if out.err != nil {
		return out
	}
	out.said = said.String()
	return out
}

// notTypedInto refuses to replace a workbook that something was typed into, or may have
// been: what is in it stands nowhere else, perhaps. Of a link only the link is replaced.
func notTypedInto(folder *station.Folder, name string) error {
	if info, err := os.Lstat(name); err != nil || !info.Mode().IsRegular() {
		return nil
	}
	r, err := folder.ReadBack(name)
	if err != nil {
		return inputFault(fmt.Errorf("%s stays: it cannot be told whether something was typed into it (%v); move it away, then print again", name, err))
	}
	n := r.FilledBoxes()
	for _, finding := range r.Result.Findings {
		if finding.Code == "typed-outside" {
			n++
		}
	}
	if n > 0 {
		return inputFault(fmt.Errorf("%s stays: it is typed into, %s; move it into %s/ first, then print again", name,
			quantity.Counted(n, "cell", "cells"), station.FilledFolder))
	}
	return nil
}

// tellPrinted says what became of a batch, and gives its fault.
func (p *program) tellPrinted(done printedBatch) error {
	fmt.Fprint(p.talk, done.warned)
	fmt.Fprint(p.out, done.said)
	return done.err
}

// printPlans prints plans on every core and tells of each in their order; a fault of one
// does not keep the others from being printed.
func (p *program) printPlans(names []string, site calc.Site, f forms) error {
	station.BoundGarbage()
	plans := readPlans(names)
	var worst error
	failed := 0
	bar := p.progress(len(plans), "printing")
	defer bar.Done()
	err := station.InOrder(plans, func(r plannedBatch) printedBatch {
		if r.err != nil {
			return printedBatch{err: r.err}
		}
		sheet, err := f.folder.Scale(site, r.plan)
		if err != nil {
			return printedBatch{err: err}
		}
		return f.print(sheet)
	}, func(_ plannedBatch, done printedBatch) error {
		defer bar.Step()
		if err := p.tellPrinted(done); err != nil {
			failed++
			worst = worse(worst, err)
			if len(plans) > 1 {
				fmt.Fprintln(p.talk, "spatsheet:", inWords(err))
			}
		}
		return nil
	})
	if worst != nil && len(plans) > 1 {
		return &station.Fault{Kind: kindOf(worst), Err: fmt.Errorf("%d of %s could not be printed; see above", failed, quantity.Counted(len(plans), "plan", "plans"))}
	}
	return errors.Join(err, worst)
}

// plannedBatch is a plan file as read.
type plannedBatch struct {
	name string
	plan calc.Plan
	err  error
}

// readPlans reads plan files. Of two plans for one batch the second is refused: both would
// be printed into the same files.
func readPlans(names []string) []plannedBatch {
	var list []plannedBatch
	from := map[string]string{}
	read := func(name string) plannedBatch {
		plan, err := station.ReadPlan(name)
		return plannedBatch{name, plan, err}
	}
	_ = station.InOrder(names, read, func(name string, r plannedBatch) error { // what fails is told for each
		if first, twice := from[r.plan.Batch]; twice && r.err == nil {
			r.err = inputFault(fmt.Errorf("%s is a plan for %s, as %s is; print one of them", name, r.plan.Batch, first))
		} else if r.err == nil {
			from[r.plan.Batch] = name
		}
		list = append(list, r)
		return nil
	})
	return list
}

// printBatch writes both forms of one batch.
func (p *program) printBatch(folder *station.Folder, site calc.Site, planFile string, replace bool) error {
	return p.printPlans([]string{planFile}, site, forms{folder: folder, replace: replace})
}

// printSheet writes both forms of a sheet at hand.
func (p *program) printSheet(folder *station.Folder, sheet *calc.Sheet, replace bool) error {
	return p.tellPrinted(forms{folder: folder, replace: replace}.print(sheet))
}
