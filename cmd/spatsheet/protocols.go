package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/functions"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

func (p *program) protocolsCommand() *cli.Command {
	return &cli.Command{
		Name:  "protocols",
		Usage: "list, show, compare, verify and release protocols; start a new one",
		Description: `Protocols and species profiles ship with spatsheet; a season may hold its own in
protocols/ID/VERSION.yaml and protocols/species/ID/VERSION.yaml.

   # what there is
   spatsheet protocols list

   # one protocol, newest version
   spatsheet protocols show limpet-spawning

   # a protocol of your own: write it, check it, release it
   spatsheet protocols new our-spawning
   spatsheet protocols verify
   spatsheet protocols lock

   # what a version changes, and what that does to a plan
   spatsheet protocols compare limpet-spawning@1.0.0 limpet-spawning@2.0.0 --plan KS-26-01`,
		Subcommands: []*cli.Command{
			p.listCommand(), p.showCommand(), p.newProtocolCommand(), p.verifyCommand(), p.lockCommand(), p.compareCommand(),
			p.schemaCommand(),
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				word := c.Args().First()
				return usageFault("protocols has no %q%s", word, meantOr(word, protocolsWords, "there are "+strings.Join(protocolsWords, ", ")))
			}
			return p.listProtocols(station.At("."))
		},
	}
}

func (p *program) schemaCommand() *cli.Command {
	return &cli.Command{Name: "schema", Usage: "print the JSON Schema of protocol files, for your editor, or the functions that formulas may call",
		UsageText: "spatsheet protocols schema [--functions]",
		Description: `An editor that knows YAML completes and checks protocol files with it.

   spatsheet protocols schema > protocol.schema.json

   # which functions formulas may call, with units, limits and sources
   spatsheet protocols schema --functions`,
		Flags: []cli.Flag{&cli.BoolFlag{Name: "functions", Usage: "print the functions that formulas may call instead"}},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("schema takes no %q; it prints one schema for all protocols", c.Args().First())
			}
			if c.Bool("functions") {
				p.showFunctions(functions.All())
				return nil
			}
			_, err := p.out.Write(protocols.Schema)
			return err
		}}
}

// protocolsWords are the subcommands of protocols.
var protocolsWords = []string{"list", "show", "new", "verify", "lock", "compare", "schema"}

func (p *program) listCommand() *cli.Command {
	return &cli.Command{Name: "list", Usage: "list protocols and species profiles", UsageText: "spatsheet protocols list [--folder <folder>]",
		Description: `Those of the season folder first, then those that ship.

   spatsheet protocols list`,
		Flags: []cli.Flag{folderFlag()},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("list takes no %q; `spatsheet protocols show %s` shows one", c.Args().First(), c.Args().First())
			}
			return p.listProtocols(folderOf(c))
		}}
}

func (p *program) showCommand() *cli.Command {
	return &cli.Command{Name: "show", Usage: "show one protocol or species profile", UsageText: "spatsheet protocols show [--folder <folder>] <id[@version]>",
		Description: `Settings with their ranges and sources, amounts with their formulas, steps, what it tells
the season, cautions, versions. Without a version, the newest.

   # which settings a spawning takes
   spatsheet protocols show limpet-spawning

   # an older version; a species profile
   spatsheet protocols show limpet-spawning@1.0.0
   spatsheet protocols show patella-aspera`,
		Flags: []cli.Flag{folderFlag()},
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 {
				return usageFault("name one protocol, such as limpet-spawning or limpet-spawning@1.0.0")
			}
			return p.show(folderOf(c), c.Args().First())
		}}
}

func (p *program) listProtocols(c *station.Folder) error {
	for _, kind := range []struct {
		heading, prefix string
		shipped         []string
	}{{"Protocols", "", library.Refs()}, {"Species profiles", "species/", library.ProfileRefs()}} {
		own, err := c.OwnRefs(kind.prefix)
		if err != nil {
			return err
		}
		fmt.Fprintf(p.out, "%s\n", kind.heading)
		for _, ref := range append(own, kind.shipped...) {
			title, err := titleOf(c, ref, kind.prefix != "")
			if err != nil {
				title = "(cannot be read; see `spatsheet protocols verify`)"
			}
			fmt.Fprintf(p.out, "  %-32s %s\n", ref, title)
		}
	}
	return nil
}

// titleOf is what a protocol or profile is called, and what it is for.
func titleOf(c *station.Folder, ref string, isProfile bool) (string, error) {
	if isProfile {
		profile, err := c.Profile(ref)
		if err != nil {
			return "", err
		}
		return profile.Title + " (" + profile.Species + ")", nil
	}
	protocol, err := c.Protocol(ref)
	if err != nil {
		return "", err
	}
	return protocol.Title + " (" + strings.Join(protocol.AppliesTo, ", ") + ")", nil
}

// show prints a protocol, or a species profile of that name.
func (p *program) show(c *station.Folder, ref string) error {
	protocol, err := c.Protocol(ref)
	if err == nil {
		return p.showProtocol(protocol)
	}
	profile, profileErr := c.Profile(ref)
	if profileErr != nil {
		return c.Neither(ref, err)
	}
	fmt.Fprintf(p.out, "%s  %s (%s)\n\nValues\n", profile.Ref(), profile.Title, profile.Species)
	for _, v := range profile.Values {
		fmt.Fprintf(p.out, "  %-24s %s: %s [%s]\n", v.ID, v.Label, v.Quantity.Format(0), v.Source)
		if v.Note != "" {
			fmt.Fprintf(p.out, "  %-24s %s\n", "", v.Note)
		}
	}
	p.showSources(profile.Sources)
	return nil
}

func (p *program) showProtocol(protocol *protocols.Protocol) error {
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
	if len(protocol.HandsOver) > 0 {
		fmt.Fprintln(p.out, "\nHands over to a next batch")
	}
	for _, h := range protocol.HandsOver {
		fmt.Fprintf(p.out, "  %-20s %s, %s\n", h.ID, h.Label, unitName(h.Unit.Print()))
	}
	if err := p.showTells(protocol); err != nil {
		return err
	}
	fmt.Fprintln(p.out, "\nCautions")
	for _, c := range protocol.Cautions {
		fmt.Fprintf(p.out, "  - %s\n", c.Text)
	}
	p.showSources(protocol.Sources)
	fmt.Fprintln(p.out, "\nVersions")
	for _, c := range protocol.Changes {
		fmt.Fprintf(p.out, "  %-9s %s\n", c.Version, c.Note)
	}
	return nil
}

func (p *program) showSources(list []protocols.Source) {
	fmt.Fprintln(p.out, "\nSources")
	for _, s := range list {
		fmt.Fprintf(p.out, "  %-9s %s\n", s.ID, s.Text)
	}
}

func (p *program) showSettings(protocol *protocols.Protocol) {
	for _, giver := range []protocols.Giver{protocols.ByPlan, protocols.BySpecies, protocols.BySite, protocols.ByProtocol} {
		heading := fmt.Sprintf("\nSettings given by the %s\n", giver)
		for _, s := range protocol.Settings {
			if s.GivenBy != giver {
				continue
			}
			fmt.Fprint(p.out, heading)
			heading = ""
			value := ""
			if giver == protocols.ByProtocol {
				value = s.Default.Format(0) + ", "
			}
			fmt.Fprintf(p.out, "  %-20s %s: %s%s [%s]\n", s.ID, s.Label, value, bounds(&s), s.Source)
		}
	}
}

func unitName(u string) string {
	if u == "" {
		return "number"
	}
	return u
}
