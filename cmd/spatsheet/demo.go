package main

import (
	"errors"
	"fmt"
	"os"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/cmd/station"
	"spatsheet/cmd/station/demo"
	"spatsheet/render/workbook"
	"spatsheet/templates"
)

func (p *program) demoCommand() *cli.Command {
	return &cli.Command{
		Name:      "demo",
		Usage:     "run an invented season from plan to survival, in a folder of its own",
		UsageText: "spatsheet demo [--season] [folder]",
		Description: `Plans three batches at an invented station, prints their sheets and workbooks,
fills the workbooks in, checks and collects them, and compiles the season. One workbook
is filled in with mistakes first, so that findings are seen.

   spatsheet demo

   # thirty batches of five months, from two shores to the second generation
   spatsheet demo --season`,
		Flags: []cli.Flag{&cli.BoolFlag{Name: "season", Usage: "a large season of thirty batches instead of three"}},
		Action: func(c *cli.Context) error {
			if c.NArg() > 1 {
				return usageFault("demo takes one folder at most")
			}
			folder, err := newFolder(c.Args().First())
			if err != nil {
				return err
			}
			if c.Bool("season") {
				return p.demoYear(station.At(folder))
			}
			return p.demo(station.At(folder))
		},
	}
}

// newFolder is the folder named, or else the first free one of spatsheet-demo, -2, -3.
func newFolder(name string) (string, error) {
	free := func(name string) bool {
		_, err := os.Stat(name)
		return errors.Is(err, os.ErrNotExist)
	}
	if name != "" {
		if !free(name) {
			return "", inputFault(fmt.Errorf("%s is there already; name a new folder", name))
		}
		return name, nil
	}
	name = "spatsheet-demo"
	for n := 2; !free(name); n++ {
		name = fmt.Sprintf("spatsheet-demo-%d", n)
	}
	return name, nil
}

func (p *program) demo(folder *station.Folder) error {
	p.say("1. A season folder for an invented station")
	if err := p.makeFolder(folder, templates.Site); err != nil {
		return err
	}
	p.say("2. Three batches planned, their bench sheets and workbooks printed")
	site, err := folder.Site()
	if err != nil {
		return err
	}
	for _, b := range demo.Batches {
		plan := folder.PlanFile(b.Code)
		if err := station.WriteBytes(plan, false, []byte(b.Plan)); err != nil {
			return err
		}
		if err := p.printBatch(folder, site, plan, false); err != nil {
			return err
		}
	}
	p.say("3. The workbooks filled in, as by the people at the bench")
	var filled []string
	for _, b := range demo.Batches {
		name, err := p.demoFill(folder, b.Code, b.Code, b.Wrote)
		if err != nil {
			return err
		}
		filled = append(filled, name)
	}
	return p.demoReadBack(folder, filled)
}

func (p *program) demoReadBack(folder *station.Folder, filled []string) error {
	p.say("4. Checked: one of them was filled in with mistakes")
	if err := p.check(folder, filled, false, "", false); err != nil && !errors.Is(err, errFindings) {
		return err
	}
	p.say("5. Collected into the season log, mistakes and all; then the corrected workbook as revision 2")
	if err := p.collect(folder, filled, ""); err != nil && !errors.Is(err, errFindings) {
		return err
	}
	last := demo.Batches[len(demo.Batches)-1]
	corrected, err := p.demoFill(folder, last.Code, last.Code+"-corrected", last.Corrected)
	if err != nil {
		return err
	}
	if err := p.collect(folder, []string{corrected}, "read again from the wet paper"); err != nil {
		return err
	}
	p.say("6. The season compiled")
	if err := p.season(folder, folder.File(station.OutFolder), false, false); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "\nlook at %s and %s\n", folder.File(station.SheetsFolder, demo.Batches[0].Code+".pdf"), folder.File(station.OutFolder, "season.xlsx"))
	return nil
}

func (p *program) say(heading string) { fmt.Fprintf(p.out, "\n== %s\n", heading) }

// demoFill types invented readings into a copy of a printed workbook.
func (p *program) demoFill(folder *station.Folder, code, as string, wrote demo.Invented) (string, error) {
	blank := folder.File(station.WorkbookFolder, code+".xlsx")
	content, err := os.ReadFile(blank)
	if err != nil {
		return "", inputFault(err)
	}
	plan, err := station.ReadPlan(folder.PlanFile(code))
	if err != nil {
		return "", err
	}
	site, err := folder.Site()
	if err != nil {
		return "", err
	}
	sheet, err := folder.Scale(site, plan)
	if err != nil {
		return "", err
	}
	return p.typeIn(sheet, content, folder.File(station.FilledFolder, as+".xlsx"), wrote)
}

func (p *program) typeIn(sheet *calc.Sheet, blank []byte, name string, wrote demo.Invented) (string, error) {
	values, err := example.Fill(sheet, wrote.Onto(sheet))
	if err != nil {
		return "", err
	}
	content, err := workbook.Fill(blank, values)
	if err != nil {
		return "", err
	}
	fmt.Fprintf(p.out, "  %s: %d boxes filled\n", name, len(values))
	return name, station.WriteBytes(name, false, content)
}
