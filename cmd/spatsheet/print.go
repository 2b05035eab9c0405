package main

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/render/benchsheet"
	"spatsheet/render/style"
	"spatsheet/render/workbook"
)

func (p *program) printCommand() *cli.Command {
	return &cli.Command{
		Name:      "print",
		Usage:     "make the bench sheet (PDF) and the blank workbook (xlsx) of planned batches",
		UsageText: "spatsheet print [--folder <folder>] <batch or plan.yaml>...",
		Description: `Writes sheets/CODE.pdf and workbooks/CODE.xlsx. The same plan gives the same
bytes. Fill the workbook, save it into filled/ under any name, then check it.

   # one batch of this season folder
   spatsheet print KS-26-01

   # every plan
   spatsheet print plans/*.yaml --replace`,
		Flags: []cli.Flag{folderFlag(), replaceFlag()},
		Action: func(c *cli.Context) error {
			if !c.Args().Present() {
				return usageFault("name a batch or a plan file: spatsheet print KS-26-01")
			}
			site, err := readSite(c.String("folder"))
			if err != nil {
				return err
			}
			for _, argument := range c.Args().Slice() {
				if err := p.printBatch(c.String("folder"), site, findPlan(c.String("folder"), argument), c.Bool("replace")); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

// printBatch writes both forms of one batch.
func (p *program) printBatch(folder string, site calc.Site, planFile string, replace bool) error {
	plan, err := readPlan(planFile)
	if err != nil {
		return err
	}
	sheet, err := scale(folder, site, plan)
	if err != nil {
		return err
	}
	return p.printSheet(folder, sheet, replace)
}

func (p *program) printSheet(folder string, sheet *calc.Sheet, replace bool) error {
	plan := sheet.Plan
	if _, replaced := style.Printable(plan.Note + plan.Species + sheet.Site.Name); replaced {
		fmt.Fprintf(p.talk, "spatsheet: %s: some letters of the note, species or site are not in the printed font and stand as □\n", plan.Batch)
	}
	paper := filepath.Join(folder, sheetsFolder, plan.Batch+".pdf")
	if err := writeWhole(paper, replace, func(f *os.File) error { return benchsheet.Write(f, sheet) }); err != nil {
		return err
	}
	book := filepath.Join(folder, workbookFolder, plan.Batch+".xlsx")
	if err := writeWhole(book, replace, func(f *os.File) error { return workbook.Write(f, sheet) }); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s  digest %s\n  paper     %s\n  workbook  %s\n", plan.Batch, sheet.Digest, paper, book)
	return nil
}
