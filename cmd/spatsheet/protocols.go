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
   spatsheet protocols compare limpet-spawning@1.0.0 limpet-spawning@1.1.0 --plan KS-26-01`,
		Subcommands: []*cli.Command{
			p.listCommand(), p.showCommand(), p.newProtocolCommand(), p.verifyCommand(), p.lockCommand(), p.compareCommand(),
			{Name: "schema", Usage: "print the JSON Schema of protocol files, for your editor", Action: func(*cli.Context) error {
				_, err := p.out.Write(protocols.Schema)
				return err
			}},
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("protocols has no %q; there are list, show, new, verify, lock, compare and schema", c.Args().First())
			}
			return p.listProtocols(catalogOf("."))
		},
	}
}

func (p *program) listCommand() *cli.Command {
	return &cli.Command{Name: "list", Usage: "list protocols and species profiles", Flags: []cli.Flag{folderFlag()},
		Action: func(c *cli.Context) error { return p.listProtocols(catalogOf(c.String("folder"))) }}
}

func (p *program) showCommand() *cli.Command {
	return &cli.Command{Name: "show", Usage: "show one protocol or species profile", UsageText: "spatsheet protocols show <id[@version]>", Flags: []cli.Flag{folderFlag()},
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 {
				return usageFault("name one protocol, such as limpet-spawning or limpet-spawning@1.0.0")
			}
			return p.show(catalogOf(c.String("folder")), c.Args().First())
		}}
}

func (p *program) listProtocols(c catalog) error {
	for _, kind := range []struct {
		heading, prefix string
		shipped         []string
	}{{"Protocols", "", library.Refs()}, {"Species profiles", "species/", library.ProfileRefs()}} {
		own, err := c.ownRefs(kind.prefix)
		if err != nil {
			return err
		}
		fmt.Fprintf(p.out, "%s\n", kind.heading)
		for _, ref := range append(own, kind.shipped...) {
			title, err := c.title(ref, kind.prefix != "")
			if err != nil {
				title = "(cannot be read; see `spatsheet protocols verify`)"
			}
			fmt.Fprintf(p.out, "  %-32s %s\n", ref, title)
		}
	}
	return nil
}

// title is what a protocol or profile is called, and what it is for.
func (c catalog) title(ref string, isProfile bool) (string, error) {
	if isProfile {
		profile, err := c.profile(ref)
		if err != nil {
			return "", err
		}
		return profile.Title + " (" + profile.Species + ")", nil
	}
	protocol, err := c.protocol(ref)
	if err != nil {
		return "", err
	}
	return protocol.Title + " (" + strings.Join(protocol.AppliesTo, ", ") + ")", nil
}

// show prints a protocol, or a species profile of that name.
func (p *program) show(c catalog, ref string) error {
	protocol, err := c.protocol(ref)
	if err == nil {
		p.showProtocol(protocol)
		return nil
	}
	profile, profileErr := c.profile(ref)
	if profileErr != nil {
		return err
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

func (p *program) showProtocol(protocol *protocols.Protocol) {
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
	fmt.Fprintln(p.out, "\nCautions")
	for _, c := range protocol.Cautions {
		fmt.Fprintf(p.out, "  - %s\n", c.Text)
	}
	p.showSources(protocol.Sources)
	fmt.Fprintln(p.out, "\nVersions")
	for _, c := range protocol.Changes {
		fmt.Fprintf(p.out, "  %-9s %s\n", c.Version, c.Note)
	}
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
