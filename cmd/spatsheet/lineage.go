package main

import (
	"errors"
	"fmt"
	"os"
	"slices"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/render/lineage"
)

func (p *program) lineageCommand() *cli.Command {
	return &cli.Command{
		Name:      "lineage",
		Usage:     "trace a batch or an animal back to the shore and on to its offspring",
		UsageText: "spatsheet lineage [--json] [--pdf <file>] [--svg <file>] [<batch or animal code>]",
		Description: `Follows the parents that plans name, over all collected batches: ancestors with
the numbers that they had left to take, descendants, effective sizes, generations, the founders' shares, and
the day on which an animal reared here was spawned. Without a code, all batches.

   # where the animals of a release came from
   spatsheet lineage KS-27-04

   # one animal of the register
   spatsheet lineage F1-07

   # the whole season on paper
   spatsheet lineage --pdf lineage.pdf`,
		Flags: []cli.Flag{
			folderFlag(), replaceFlag(),
			&cli.BoolFlag{Name: "json", Usage: "print as JSON"},
			&cli.StringFlag{Name: "pdf", Usage: "draw it into `FILE`"},
			&cli.StringFlag{Name: "svg", Usage: "draw it into `FILE`, a picture for a browser"},
		},
		Action: func(c *cli.Context) error {
			if c.NArg() > 1 {
				return usageFault("lineage takes one batch or animal code, not %d", c.NArg())
			}
			return p.lineage(c)
		},
	}
}

func (p *program) lineage(c *cli.Context) error {
	traced, err := traceFolder(folderOf(c))
	if err != nil {
		return err
	}
	answer, err := answerFor(folderOf(c), traced, c.Args().First())
	if err != nil {
		return err
	}
	if err := draw(c, answer); err != nil {
		return err
	}
	if c.Bool("json") {
		err = answer.showJSON(p.out)
	} else {
		answer.show(p.out)
		for _, flag := range []string{"pdf", "svg"} {
			if c.String(flag) != "" {
				fmt.Fprintf(p.out, "wrote %s\n", c.String(flag))
			}
		}
	}
	if err == nil && slices.ContainsFunc(answer.findings(), func(f season.Finding) bool { return f.Level == protocols.Error }) {
		return errFindings
	}
	return err
}

// traceFolder reads the season log of a folder and links its batches.
func traceFolder(folder *station.Folder) (*pedigree.Lineage, error) {
	batches, err := folder.AllCollected(season.Batch.Brief)
	if err != nil {
		return nil, err
	}
	if len(batches) == 0 {
		return nil, inputFault(fmt.Errorf("nothing is collected yet in %s; run `spatsheet collect%s` first", folder.File(station.LogFile), inFolder(folder)))
	}
	traced, err := pedigree.Trace(season.Compile(batches, pedigree.Across))
	if err != nil {
		return nil, inputFault(err)
	}
	return traced, nil
}

// asked is what was asked: a batch, an animal of a register, or everything.
type asked struct {
	traced *pedigree.Lineage
	lot    *pedigree.Lot    // nil: everything
	animal *pedigree.Animal // nil: a batch
}

// answerFor finds a code among batches and animals; an animal's batch is the one that its cohort
// names, or else the one whose register it stands in. folder is the season folder.
func answerFor(folder *station.Folder, traced *pedigree.Lineage, code string) (asked, error) {
	q := asked{traced: traced}
	if code == "" {
		return q, nil
	}
	if lot, ok := traced.Lot(code); ok {
		q.lot = lot
		return q, nil
	}
	if a, ok := traced.Animal(code); ok {
		q.animal, q.lot = a, a.Lot
		return q, nil
	}
	if slices.Contains(folder.PlannedCodes(), code) {
		return q, plannedOnly(folder, traced, code)
	}
	var known []string
	for _, lot := range traced.Lots {
		known = append(known, lot.Batch)
	}
	for _, a := range traced.Animals {
		known = append(known, a.Code)
	}
	return q, inputFault(fmt.Errorf("neither a collected batch nor an animal of a register is called %q%s", code,
		meantOr(code, known, "`spatsheet lineage` lists them")))
}

// plannedOnly says what to do about a batch that is planned and not collected; where its plan
// cannot be read, what is wrong with that.
func plannedOnly(folder *station.Folder, traced *pedigree.Lineage, code string) error {
	plan, err := station.ReadPlan(folder.PlanFile(code))
	if err != nil {
		return err
	}
	text := fmt.Sprintf("%s is planned and not collected yet; fill in its workbook and run `spatsheet collect%s` first", code, inFolder(folder))
	if from := plan.From(); from != "" {
		text += "; its plan starts from " + from
	}
	for _, parent := range plan.Parents {
		if _, ok := traced.Lot(parent.Batch); ok {
			text += fmt.Sprintf(": until then `spatsheet lineage%s %s`", inFolder(folder), parent.Batch)
			break
		}
	}
	return inputFault(errors.New(text))
}

// lots are those that the question is about.
func (q asked) lots() []*pedigree.Lot {
	if q.lot == nil {
		return q.traced.Lots
	}
	return q.traced.Relatives(q.lot)
}

// findings are those of the lots asked about.
func (q asked) findings() []season.Finding {
	in := map[string]bool{}
	for _, lot := range q.lots() {
		in[lot.Batch] = true
	}
	out := []season.Finding{}
	for _, f := range q.traced.Findings {
		if in[f.Batch] {
			out = append(out, f)
		}
	}
	return out
}

// draw writes the drawings asked for.
func draw(c *cli.Context, q asked) error {
	if c.String("pdf") == "" && c.String("svg") == "" {
		return nil
	}
	drawing, err := lineage.Draw(q.traced, q.lots(), q.lot)
	if err != nil {
		return inputFault(err)
	}
	if name := c.String("pdf"); name != "" {
		site, err := folderOf(c).Site()
		if err != nil {
			return err
		}
		if err := station.WriteWhole(name, c.Bool("replace"), func(f *os.File) error { return drawing.WritePDF(f, site.Paper) }); err != nil {
			return err
		}
	}
	if name := c.String("svg"); name != "" {
		return station.WriteWhole(name, c.Bool("replace"), func(f *os.File) error { return drawing.WriteSVG(f) })
	}
	return nil
}
