package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/cmd/station"
)

func (p *program) planCommand() *cli.Command {
	return &cli.Command{
		Name:      "plan",
		Usage:     "plan a batch and see its amounts",
		UsageText: "spatsheet plan [--protocol <id[@version]> --batch <code> --species <name> --date <day> --start <time> --set <name=value>...]",
		Description: `Writes plans/CODE.yaml in the season folder after computing every amount at
this site; a plan that the site cannot hold is refused, with what is short.

On a terminal it asks for what is not given, and shows the amounts while you type. With
ACCESSIBLE=1 it asks line by line, for screen readers; so it does with --ask on a dumb
terminal. Elsewhere, and where CI is set, it never asks.

   # answer questions
   spatsheet plan

   # a spawning of 30 animals
   spatsheet plan --protocol limpet-spawning --batch KS-26-01 --species "Patella vulgata" \
     --date 2026-02-14 --start 18:00 --set females=18 --set males=12 \
     --set eggs_expected=2.4e6 --set spat_wanted=60000

   # the next stage, from what the last one left
   spatsheet plan --protocol nursery --batch KS-26-02 --parent KS-26-01 \
     --species "Patella vulgata" --date 2026-02-28 --start 09:00

   # which settings a protocol takes
   spatsheet protocols show limpet-spawning`,
		Flags: []cli.Flag{
			folderFlag(), replaceFlag(),
			&cli.StringFlag{Name: "protocol", Usage: "protocol `ID`, or id@version; without a version the newest"},
			&cli.StringFlag{Name: "batch", Usage: "batch `CODE`: capital letters, digits, hyphens"},
			&cli.StringFlag{Name: "species", Usage: "species `NAME`, genus first"},
			&cli.StringFlag{Name: "date", Usage: "`DAY` of the start, such as 2026-02-14"},
			&cli.StringFlag{Name: "start", Usage: "clock `TIME` of the start, such as 18:00"},
			&cli.StringFlag{Name: "note", Usage: "a `REMARK` printed on the sheet"},
			&cli.StringFlag{Name: "profile", Usage: "species `PROFILE`, id or id@version, or none (default: the newest of the species)"},
			&cli.StringSliceFlag{Name: "parent", Usage: "a collected `BATCH` this one starts from; its counts fill settings; repeat for each"},
			&cli.BoolFlag{Name: "ask", Usage: "ask even if nothing is missing, also for the remark and the profile"},
			&cli.BoolFlag{Name: "no-ask", Usage: "never ask"},
			&cli.StringSliceFlag{Name: "set", Usage: "a setting, `NAME=VALUE`, such as females=18 or contact='20 min'; repeat for each"},
		},
		Action: func(c *cli.Context) error { return p.plan(c) },
	}
}

func (p *program) plan(c *cli.Context) error {
	if c.Args().Present() {
		return usageFault("%q stands by itself; put quotes round words that belong together, such as --species "+
			"\"Patella vulgata\" or --set \"contact=20 min\"", c.Args().First())
	}
	folder, replace := folderOf(c), c.Bool("replace")
	asks, err := p.asks(c.Bool("ask"), c.Bool("no-ask"))
	if err != nil {
		return err
	}
	given, setFault := answersOf(c)
	if asks != neverAsk && setFault == nil {
		full, asked, err := p.askPlan(asks, folder, replace, c.Bool("ask"), given)
		if err != nil {
			return err
		}
		if asked {
			return p.makePlan(full, folder, replace, true)
		}
	}
	if err := complete(given, folder); err != nil {
		return err
	}
	if setFault != nil {
		return setFault
	}
	return p.makePlan(given, folder, replace, false)
}

// complete refuses answers with a flag missing.
func complete(a answers, folder *station.Folder) error {
	for _, name := range neededFlags {
		if *a.text(name) != "" {
			continue
		}
		if _, err := os.Stat(folder.File(station.SiteFile)); errors.Is(err, fs.ErrNotExist) {
			_, err := folder.Site() // tells how to start
			return err
		}
		return usageFault("--%s is missing; `spatsheet plan --help` shows an example", name)
	}
	if err := calc.CheckBatchCode(a.batch); err != nil {
		return usageFault("--batch: %w", err)
	}
	return nil
}

// makePlan computes the batch and writes its plan. asked: the answers were typed into the
// form, so that the command line that gives the same is shown too.
func (p *program) makePlan(a answers, folder *station.Folder, replace, asked bool) error {
	draft, err := p.draftPlan(a, folder)
	if err != nil {
		return err
	}
	site, err := folder.Site()
	if err != nil {
		return err
	}
	name := planName(folder, draft.batch)
	text, origins := draft.written()
	plan, err := calc.ReadPlan(name, text)
	if err != nil {
		return inputFault(byFlags(err, name, origins))
	}
	sheet, err := folder.Scale(site, plan)
	if err != nil {
		return byFlags(err, name, origins)
	}
	if err := station.WriteBytes(name, replace, text); err != nil {
		return err
	}
	p.showAmounts(sheet)
	p.tellAhead(draft.others, sheet)
	if chosen, isDraft, err := folder.DraftFor(a.protocol); err != nil {
		return err
	} else if isDraft {
		fmt.Fprintf(p.talk, "spatsheet: %s is a draft of this folder, not released; name the version you mean, or release it: spatsheet protocols lock\n", chosen)
	}
	fmt.Fprintf(p.out, "\nwrote %s\n", name)
	if asked {
		fmt.Fprintf(p.out, "the same without asking: %s\n", a.command(folder, replace))
	}
	fmt.Fprintf(p.out, "next: spatsheet print%s %s\n", inFolder(folder), plan.Batch)
	return nil
}

// showAmounts prints what the sheet will ask for.
func (p *program) showAmounts(sheet *calc.Sheet) {
	fmt.Fprintf(p.out, "%s  %s  digest %s\n\n", sheet.Plan.Batch, sheet.Protocol.Ref(), sheet.Digest)
	for _, a := range sheet.Amounts {
		split := ""
		if n := len(a.Parts); n > 1 {
			split = fmt.Sprintf("  (in %d parts)", n)
		}
		fmt.Fprintf(p.out, "  %-36s %s%s\n", a.Definition.Label, a.Rounded.Format(0), split)
	}
}
