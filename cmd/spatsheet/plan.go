package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"regexp"
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
			&cli.StringSliceFlag{Name: "set", Usage: "a setting, `NAME=VALUE`, such as females=18 or contact='20 min'; repeat for each"},
		},
		Action: func(c *cli.Context) error { return p.plan(c) },
	}
}

func (p *program) plan(c *cli.Context) error {
	for _, name := range []string{"protocol", "batch", "species", "date", "start"} {
		if c.String(name) == "" {
			return usageFault("--%s is missing; `spatsheet plan --help` shows an example", name)
		}
	}
	protocol, err := loadProtocol(c.String("protocol"))
	if err != nil {
		return err
	}
	text, err := planText(c, protocol)
	if err != nil {
		return err
	}
	site, err := readSite(c.String("folder"))
	if err != nil {
		return err
	}
	if err := calc.CheckBatchCode(c.String("batch")); err != nil {
		return usageFault("--batch: %w", err)
	}
	name := filepath.Join(c.String("folder"), plansFolder, c.String("batch")+".yaml")
	plan, err := calc.ReadPlan(name, text)
	if err != nil {
		return inputFault(err)
	}
	sheet, err := scale(site, plan)
	if err != nil {
		return err
	}
	if err := writeBytes(name, c.Bool("replace"), text); err != nil {
		return err
	}
	p.showAmounts(sheet)
	fmt.Fprintf(p.out, "\nwrote %s\nnext: spatsheet print --folder %s %s\n", name, c.String("folder"), plan.Batch)
	return nil
}

// planText writes the plan file from the flags.
func planText(c *cli.Context, protocol *protocols.Protocol) ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "batch: %s\nprotocol: %s\nspecies: %s\ndate: %s\nstart: %s\n", quoted(c.String("batch")), protocol.Ref(), quoted(c.String("species")), quoted(c.String("date")), quoted(c.String("start")))
	if c.String("note") != "" {
		fmt.Fprintf(&b, "note: %s\n", quoted(c.String("note")))
	}
	b.WriteString("settings:\n")
	for _, pair := range c.StringSlice("set") {
		name, value, ok := strings.Cut(pair, "=")
		if !ok || name == "" || value == "" {
			return nil, usageFault("--set %q: write NAME=VALUE, such as females=18", pair)
		}
		fmt.Fprintf(&b, "  %s: %s\n", quoted(strings.TrimSpace(name)), quoted(strings.TrimSpace(value)))
	}
	if len(c.StringSlice("set")) == 0 {
		b.WriteString("  {}\n")
	}
	return b.Bytes(), nil
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
