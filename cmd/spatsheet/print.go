package main

import (
	"fmt"
	"os"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/cmd/station"
	"spatsheet/render/labels"
)

func (p *program) printCommand() *cli.Command {
	return &cli.Command{
		Name:      "print",
		Usage:     "make bench sheets (PDF) and blank workbooks (xlsx), labels or pocket cards of planned batches",
		UsageText: "spatsheet print [--folder <folder>] [--labels <stock> [--label-start <n>]] [--card] [--sheet] {<batch or plan.yaml>... | --all}",
		Description: `Writes sheets/CODE.pdf and workbooks/CODE.xlsx. The same plan gives the same
bytes. Fill the workbook, save it into filled/ under any name, then check it. A plan
with faults is told and does not keep the others from being printed. A workbook in
workbooks/ that was typed into stays, even with --replace.

With --labels or --card it writes these instead, with --sheet beside them all in one
call: sheets/CODE-labels.pdf has a label for each beaker, tank or other vessel and two
for the batch; sheets/CODE-card.pdf is one page of the batch's times and amounts, to
fold and carry. Print labels at actual size, not fitted to the page, on waterproof
stock: paper labels come off in seawater. Stock of your own is described in site.yaml,
under labels.

   # two batches of this season folder, or every plan
   spatsheet print KS-26-01 KS-26-02
   spatsheet print --all --replace

   # the label stocks there are; labels from the seventh label of a half-used sheet
   spatsheet print --labels list
   spatsheet print KS-26-01 --labels a4-3x8 --label-start 7

   # the pocket card for the night
   spatsheet print KS-26-01 --card

   # everything the night needs
   spatsheet print KS-26-01 --sheet --labels a4-3x8 --card`,
		Flags: []cli.Flag{
			folderFlag(), replaceFlag(),
			&cli.BoolFlag{Name: "all", Usage: "every plan of the season folder"},
			&cli.StringFlag{Name: "labels", Usage: "labels on `STOCK`; \"list\" tells the stocks"},
			&cli.IntFlag{Name: "label-start", Value: 1, Usage: "the first label to print on, `N`, row by row from 1; of one batch only"},
			&cli.BoolFlag{Name: "card", Usage: "the pocket card"},
			&cli.BoolFlag{Name: "sheet", Usage: "the bench sheet and workbook too, beside --labels or --card"},
		},
		Action: p.printAction,
	}
}

func (p *program) printAction(c *cli.Context) error {
	folder, stock := folderOf(c), c.String("labels")
	if c.IsSet("label-start") && stock == "" {
		return usageFault("--label-start goes with --labels")
	}
	if stock != "list" && !c.Args().Present() && !c.Bool("all") {
		return usageFault("name a batch or a plan file: spatsheet print KS-26-01; or every plan: spatsheet print --all")
	}
	if stock == "list" {
		return p.listStocks(folder)
	}
	site, err := folder.Site()
	if err != nil {
		return err
	}
	forms := forms{folder: folder, replace: c.Bool("replace"), sheet: c.Bool("sheet"), card: c.Bool("card"), start: c.Int("label-start")}
	if stock != "" {
		if forms.stock, err = findStock(stock, forms.start, site); err != nil {
			return err
		}
	}
	names, err := plansToPrint(folder, c.Args().Slice(), c.Bool("all"))
	if err != nil {
		return err
	}
	if forms.start > 1 && len(names) > 1 {
		return usageFault("--label-start goes with one batch, not with %d", len(names))
	}
	if forms.stock != nil {
		fmt.Fprintln(p.talk, "print labels at actual size, not fitted to the page, on waterproof stock")
	}
	return p.printPlans(names, site, forms)
}

// listStocks tells the label stocks: those that ship and, in a season folder, the site's own.
func (p *program) listStocks(folder *station.Folder) error {
	var site calc.Site
	if _, err := os.Stat(folder.File(station.SiteFile)); err == nil {
		if site, err = folder.Site(); err != nil {
			return err
		}
	}
	for _, s := range labels.Stocks(site) {
		own := ""
		if s.Place != "" {
			own = "  (" + s.Place + ")"
		}
		fmt.Fprintf(p.out, "%-12s %s%s\n", s.Name, labels.Describe(s), own)
	}
	return nil
}

func findStock(name string, start int, site calc.Site) (*calc.LabelStock, error) {
	stock, err := labels.Find(name, site)
	if err != nil {
		var names []string
		for _, s := range labels.Stocks(site) {
			names = append(names, s.Name)
		}
		return nil, usageFault("%w%s", err, station.DidYouMean(name, names))
	}
	if start < 1 || start > stock.Labels() {
		return nil, usageFault("--label-start %d: a sheet of %s has labels 1 to %d", start, name, stock.Labels())
	}
	return &stock, nil
}

// plansToPrint finds the plan files of what was named, each once, or all of them.
func plansToPrint(folder *station.Folder, arguments []string, all bool) ([]string, error) {
	if all && len(arguments) > 0 {
		return nil, usageFault("--all prints every plan; leave %s out, or --all", strings.Join(arguments, " "))
	}
	if all {
		names := folder.PlanFiles()
		if len(names) == 0 {
			return nil, inputFault(fmt.Errorf("there is no plan in %s; `spatsheet plan --help` shows how to make one", folder.File(station.PlansFolder)))
		}
		return names, nil
	}
	var names []string
	for _, a := range arguments {
		names = append(names, folder.PlanFile(a))
	}
	return station.EachOnce(names), nil
}
