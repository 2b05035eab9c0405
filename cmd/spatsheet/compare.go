package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

func (p *program) compareCommand() *cli.Command {
	return &cli.Command{
		Name: "compare", Usage: "what differs between two protocols or versions, and what it does to a plan",
		UsageText: "spatsheet protocols compare <id@version> <id@version> [--plan <batch or plan.yaml>]",
		Description: `Settings, amounts, steps and entries that differ, and with --plan what the change does
to the amounts of a plan.

   spatsheet protocols compare limpet-spawning@1.0.0 limpet-spawning@2.0.0

   # on one of your batches
   spatsheet protocols compare limpet-spawning@1.0.0 limpet-spawning@2.0.0 --plan KS-26-01`,
		Flags: []cli.Flag{folderFlag(), &cli.StringFlag{Name: "plan", Usage: "scale this `PLAN` by both and show the amounts that differ"}},
		Action: func(c *cli.Context) error {
			if c.NArg() != 2 {
				return usageFault("name two: spatsheet protocols compare limpet-spawning@1.0.0 limpet-spawning@2.0.0")
			}
			return p.compare(folderOf(c), c.Args().Get(0), c.Args().Get(1), c.String("plan"))
		},
	}
}

func (p *program) compare(folder *station.Folder, from, to, plan string) error {
	a, err := folder.Protocol(from)
	if err != nil {
		return err
	}
	b, err := folder.Protocol(to)
	if err != nil {
		return err
	}
	list := protocols.Compare(a, b)
	fmt.Fprintf(p.out, "from %s to %s: %s\n", a.Ref(), b.Ref(), quantity.Counted(len(list), "difference", "differences"))
	for _, d := range list {
		p.showDifference(d)
	}
	if a.ID == b.ID && len(list) > 0 {
		if err := protocols.CheckBump(a.Version, b.Version, list); err != nil {
			fmt.Fprintf(p.out, "\nnote: %s\n", err)
		}
	}
	if plan == "" {
		return nil
	}
	return p.compareOnPlan(folder, a, b, plan)
}

func (p *program) showDifference(d protocols.Difference) {
	switch {
	case d.From == "" && d.What == "":
		fmt.Fprintf(p.out, "  + %s %s: %s\n", d.Part, d.ID, d.To)
	case d.To == "" && d.What == "":
		fmt.Fprintf(p.out, "  - %s %s: %s\n", d.Part, d.ID, d.From)
	default:
		fmt.Fprintf(p.out, "  ~ %s %s, %s:\n      from %s\n      to   %s\n", d.Part, d.ID, d.What, orNone(d.From), orNone(d.To))
	}
}

func orNone(s string) string {
	if s == "" {
		return "(none)"
	}
	return s
}

// compareOnPlan scales one plan by both protocols.
func (p *program) compareOnPlan(folder *station.Folder, a, b *protocols.Protocol, planArgument string) error {
	site, err := folder.Site()
	if err != nil {
		return err
	}
	plan, err := station.ReadPlan(folder.PlanFile(planArgument))
	if err != nil {
		return err
	}
	var sheets [2]*calc.Sheet
	for i, protocol := range []*protocols.Protocol{a, b} {
		plan.Protocol = protocol.Ref()
		if sheets[i], err = calc.Scale(protocol, site, plan); err != nil {
			return inputFault(fmt.Errorf("plan %s by %s: %w", plan.Batch, protocol.Ref(), err))
		}
	}
	changes := calc.AmountChanges(sheets[0], sheets[1])
	fmt.Fprintf(p.out, "\nplan %s: %s\n", plan.Batch, quantity.Counted(len(changes), "amount differs", "amounts differ"))
	for _, c := range changes {
		fmt.Fprintf(p.out, "  %s %s → %s\n", c.Label, orNone(c.From), orNone(c.To))
	}
	return nil
}
