package main

import (
	"bytes"
	"fmt"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/protocols"
)

func (p *program) planCommand() *cli.Command {
	return &cli.Command{
		Name:      "plan",
		Usage:     "plan a batch and see its amounts",
		UsageText: "spatsheet plan --protocol <id[@version]> --batch <code> --species <name> --date <day> --start <time> --set <name=value>...",
		Description: `Writes plans/CODE.yaml in the season folder after computing every amount at
this site; a plan that the site cannot hold is refused, with what is short.

   # a spawning of 30 animals
   spatsheet plan --protocol limpet-spawning --batch KS-26-01 --species "Patella vulgata" \
     --date 2026-02-14 --start 18:00 --set females=18 --set males=12 \
     --set eggs_expected=2.4e6 --set spat_wanted=60000

   # the next stage, from what the last one left
   spatsheet plan --protocol larval-rearing --batch KS-26-02 --parent KS-26-01 \
     --species "Patella vulgata" --date 2026-02-16 --start 06:00

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
			&cli.StringSliceFlag{Name: "set", Usage: "a setting, `NAME=VALUE`, such as females=18 or contact='20 min'; repeat for each"},
		},
		Action: func(c *cli.Context) error { return p.plan(c) },
	}
}

func (p *program) plan(c *cli.Context) error {
	if c.Args().Present() {
		return usageFault("%q stands by itself; put quotes round words that belong together, such as --species \"Patella vulgata\" or --set \"contact=20 min\"", c.Args().First())
	}
	for _, name := range []string{"protocol", "batch", "species", "date", "start"} {
		if c.String(name) == "" {
			return usageFault("--%s is missing; `spatsheet plan --help` shows an example", name)
		}
	}
	if err := calc.CheckBatchCode(c.String("batch")); err != nil {
		return usageFault("--batch: %w", err)
	}
	folder := c.String("folder")
	draft, err := p.draftPlan(c, folder)
	if err != nil {
		return err
	}
	site, err := readSite(folder)
	if err != nil {
		return err
	}
	text := draft.text()
	name := filepath.Join(folder, plansFolder, draft.batch+".yaml")
	plan, err := calc.ReadPlan(name, text)
	if err != nil {
		return inputFault(err)
	}
	sheet, err := scale(folder, site, plan)
	if err != nil {
		return err
	}
	if err := writeBytes(name, c.Bool("replace"), text); err != nil {
		return err
	}
	p.showAmounts(sheet)
	fmt.Fprintf(p.out, "\nwrote %s\nnext: spatsheet print --folder %s %s\n", name, folder, plan.Batch)
	return nil
}

// draft is a plan before it is written.
type draft struct {
	batch, protocol, species, date, start, note string
	profile                                     string
	values, settings                            map[string]string
	parents                                     []calc.Parent
}

// draftPlan puts a plan together from flags, the species' profile and parent batches.
func (p *program) draftPlan(c *cli.Context, folder string) (draft, error) {
	catalog := catalogOf(folder)
	protocol, err := catalog.protocol(c.String("protocol"))
	if err != nil {
		return draft{}, err
	}
	d := draft{batch: c.String("batch"), protocol: protocol.Ref(), species: c.String("species"), date: c.String("date"), start: c.String("start"),
		note: c.String("note"), settings: map[string]string{}}
	for _, pair := range c.StringSlice("set") {
		name, value, ok := strings.Cut(pair, "=")
		if name, value = strings.TrimSpace(name), strings.TrimSpace(value); !ok || name == "" || value == "" {
			return draft{}, usageFault("--set %q: write NAME=VALUE, such as females=18", pair)
		}
		if before, twice := d.settings[name]; twice {
			return draft{}, usageFault("--set %s is given twice, %s and %s; keep one", name, before, value)
		}
		d.settings[name] = value
	}
	if err := d.takeProfile(catalog, protocol, c.String("profile")); err != nil {
		return draft{}, err
	}
	for _, id := range slices.Sorted(maps.Keys(d.values)) {
		fmt.Fprintf(p.out, "from %s: %s %s\n", d.profile, id, d.values[id])
	}
	if parents := c.StringSlice("parent"); len(parents) > 0 {
		return d, p.takeParents(&d, folder, protocol, parents)
	}
	return d, nil
}

// takeProfile copies the values of a species profile that the protocol has settings for.
func (d *draft) takeProfile(c catalog, protocol *protocols.Protocol, ref string) error {
	if ref == "none" {
		return nil
	}
	profile, err := c.profileFor(d.species)
	if ref != "" {
		profile, err = c.profile(ref)
	}
	if err != nil || profile == nil {
		return err
	}
	if profile.Species != d.species {
		return usageFault("--profile %s is of %s, not of %s", profile.Ref(), profile.Species, d.species)
	}
	if d.values = valuesFor(protocol, profile); len(d.values) > 0 {
		d.profile = profile.Ref()
	}
	return nil
}

// text writes the plan file.
func (d *draft) text() []byte {
	var b bytes.Buffer
	line := func(key, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%s: %s\n", key, quoted(value))
		}
	}
	line("batch", d.batch)
	fmt.Fprintf(&b, "protocol: %s\n", d.protocol)
	line("species", d.species)
	line("date", d.date)
	line("start", d.start)
	line("note", d.note)
	if d.profile != "" {
		fmt.Fprintf(&b, "profile: %s\n", d.profile)
		writeSettings(&b, "species_values", d.values)
	}
	if len(d.parents) > 0 {
		b.WriteString("parents:\n")
	}
	for _, parent := range d.parents {
		fmt.Fprintf(&b, "  - batch: %s\n    revision: %d\n", parent.Batch, parent.Revision)
		if len(parent.Gave) > 0 {
			b.WriteString("    gave:\n")
		}
		for _, id := range slices.Sorted(maps.Keys(parent.Gave)) {
			fmt.Fprintf(&b, "      %s: %s\n", id, parent.Gave[id])
		}
	}
	writeSettings(&b, "settings", d.settings)
	return b.Bytes()
}

// simple is a scalar that YAML takes as it stands.
var simple = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_.+/%-]*( [A-Za-z0-9_.+/%-]+)*$`)

// quoted writes a YAML scalar, in double quotes where it needs them.
func quoted(s string) string {
	if simple.MatchString(s) {
		return s
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`).Replace(s) + `"`
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
