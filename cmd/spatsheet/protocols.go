package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

func (p *program) protocolsCommand() *cli.Command {
	return &cli.Command{
		Name:  "protocols",
		Usage: "list the protocols, or show one",
		Description: `Lists what ships with spatsheet, and shows a protocol's settings, amounts,
steps, cautions and sources.

   # what there is
   spatsheet protocols list

   # one protocol, newest version
   spatsheet protocols show limpet-spawning`,
		Subcommands: []*cli.Command{
			{Name: "list", Usage: "list protocols and versions", Action: func(*cli.Context) error { return p.listProtocols() }},
			{Name: "show", Usage: "show one protocol", UsageText: "spatsheet protocols show <id[@version]>",
				Action: func(c *cli.Context) error {
					if c.NArg() != 1 {
						return usageFault("name one protocol, such as limpet-spawning or limpet-spawning@1.0.0")
					}
					return p.showProtocol(c.Args().First())
				}},
			{Name: "schema", Usage: "print the JSON Schema of protocol files, for your editor", Action: func(*cli.Context) error {
				_, err := p.out.Write(protocols.Schema)
				return err
			}},
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("protocols has no %q; there are list, show and schema", c.Args().First())
			}
			return p.listProtocols()
		},
	}
}

func (p *program) listProtocols() error {
	for _, ref := range library.Refs() {
		protocol, err := loadProtocol(ref)
		if err != nil {
			return err
		}
		fmt.Fprintf(p.out, "%-26s %s (%s)\n", ref, protocol.Title, strings.Join(protocol.AppliesTo, ", "))
	}
	return nil
}

func (p *program) showProtocol(ref string) error {
	protocol, err := loadProtocol(ref)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s  %s\n%s\nfor: %s\n", protocol.Ref(), protocol.Title, protocol.Purpose, strings.Join(protocol.AppliesTo, ", "))
	p.showSettings(protocol)
	fmt.Fprintln(p.out, "\nAmounts")
	for _, a := range protocol.Amounts {
		fmt.Fprintf(p.out, "  %-20s %s, %s = %s\n", a.ID, a.Label, unitName(a.Unit.Print()), a.Formula)
	}
	fmt.Fprintln(p.out, "\nSteps")
	for i, s := range protocol.Steps {
		fmt.Fprintf(p.out, "  %2d %s\n", i+1, s.Title)
	}
	fmt.Fprintln(p.out, "\nCautions")
	for _, c := range protocol.Cautions {
		fmt.Fprintf(p.out, "  - %s\n", c.Text)
	}
	fmt.Fprintln(p.out, "\nSources")
	for _, s := range protocol.Sources {
		fmt.Fprintf(p.out, "  %-9s %s\n", s.ID, s.Text)
	}
	return nil
}

func (p *program) showSettings(protocol *protocols.Protocol) {
	for _, giver := range []protocols.Giver{protocols.ByPlan, protocols.BySite, protocols.ByProtocol} {
		fmt.Fprintf(p.out, "\nSettings given by the %s\n", giver)
		for _, s := range protocol.Settings {
			if s.GivenBy != giver {
				continue
			}
			value := ""
			if giver == protocols.ByProtocol {
				value = s.Default.Format(0) + ", "
			}
			fmt.Fprintf(p.out, "  %-20s %s: %s%g to %g %s [%s]\n", s.ID, s.Label, value, s.Low, s.High, s.Unit.Print(), s.Source)
		}
	}
}

func unitName(u string) string {
	if u == "" {
		return "number"
	}
	return u
}
