package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/calc/schedule"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/document"
	"spatsheet/render/calendar"
)

func (p *program) calendarCommand() *cli.Command {
	return &cli.Command{
		Name:      "calendar",
		Usage:     "the season's calendar: latest starts, what every day asks, clashes",
		UsageText: "spatsheet calendar [--folder <folder>] [--spawn <day>]... [--species <name>] [--set <name=value>]... [--have <protocol>]...",
		Description: `Reckons back from each spawning to what must be ready for it and forward to what
follows, adds up beakers, tanks, plates, seawater and people by day from today on, and
names each clash with a way out that fits. Plans of the season folder take part; what is not planned yet is
proposed. Writes calendar.pdf for the wall and calendar.ics for calendar programs.

   # two spawnings, and all that is planned
   spatsheet calendar --spawn 2026-03-14 --spawn 2026-04-11 --species "Patella aspera"

   # larger ones, with ripe animals in the house
   spatsheet calendar --spawn "2026-03-14 19:00" --species "Patella aspera" \
     --set spat_wanted=90000 --have gonad-check

   # only what is planned
   spatsheet calendar --replace`,
		Flags: []cli.Flag{
			folderFlag(), replaceFlag(),
			&cli.StringSliceFlag{Name: "spawn", Usage: "`DAY` to reckon from, such as 2026-03-14 or '2026-03-14 18:00'; repeat for each"},
			&cli.StringFlag{Name: "protocol", Value: "limpet-spawning", Usage: "protocol `ID` of these days"},
			&cli.StringFlag{Name: "species", Usage: "species `NAME` of what is proposed (default: that of the plans)"},
			&cli.StringSliceFlag{Name: "set", Usage: "a setting of these days' batches, `NAME=VALUE`; the rest as in the protocol's examples"},
			&cli.StringSliceFlag{Name: "have", Usage: "a `PROTOCOL` whose yield is at hand: nothing is proposed for it; repeat for each"},
			&cli.StringFlag{Name: "out", Usage: "`FOLDER` for the files (default: calendar in the season folder)"},
			&cli.BoolFlag{Name: "json", Usage: "the whole schedule as JSON on standard output"},
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("calendar takes no argument %q; give days with --spawn", c.Args().First())
			}
			return p.calendar(c)
		},
	}
}

// Times of day where none is said. Site choice.
const (
	spawnAt = "18:00"       // an overnight spawning
	opensAt = 9 * time.Hour // when proposed batches start
)

func (p *program) calendar(c *cli.Context) error {
	folder := folderOf(c)
	order, err := p.calendarOrder(c, folder)
	if err != nil {
		return err
	}
	s, err := schedule.Arrange(order)
	if err != nil {
		return inputFault(err)
	}
	out := c.String("out")
	if out == "" {
		out = folder.File(station.CalendarFolder)
	}
	form := calendar.Calendar{Schedule: s, Site: order.Site.Name, Code: order.Site.Code, Paper: order.Site.Paper, Made: p.now()}
	pdf, ics := filepath.Join(out, "calendar.pdf"), filepath.Join(out, "calendar.ics")
	if err := station.WriteWhole(pdf, c.Bool("replace"), func(f *os.File) error { return calendar.WritePDF(f, form) }); err != nil {
		return err
	}
	if err := station.WriteWhole(ics, c.Bool("replace"), func(f *os.File) error { return calendar.WriteICS(f, form) }); err != nil {
		return err
	}
	if c.Bool("json") {
		if err := writeScheduleJSON(p.out, s); err != nil {
			return err
		}
	} else {
		p.showSchedule(s)
		fmt.Fprintf(p.out, "\nwrote %s and %s\n", pdf, ics)
	}
	if slices.ContainsFunc(s.Clashes, func(c schedule.Clash) bool { return c.Level == protocols.Error }) {
		return errFindings
	}
	return nil
}

// calendarOrder puts together what the calendar is made for.
func (p *program) calendarOrder(c *cli.Context, folder *station.Folder) (schedule.Order, error) {
	site, err := folder.Site()
	if err != nil {
		return schedule.Order{}, err
	}
	plans, err := allPlans(folder, site)
	if err != nil {
		return schedule.Order{}, err
	}
	now := p.now()
	order := schedule.Order{
		Site: site, Plans: plans, Protocol: folder.Protocol, Have: c.StringSlice("have"), Opens: opensAt, Species: c.String("species"),
		Today: time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC),
	}
	for _, id := range order.Have {
		if _, err := folder.Protocol(id); err != nil {
			return order, inputFault(fmt.Errorf("--have: %w", err))
		}
	}
	if order.Targets, err = targets(c, folder); err != nil {
		return order, err
	}
	if len(order.Targets) == 0 && len(plans) == 0 {
		return order, usageFault("there is no plan in %s; give a day to reckon from: --spawn 2026-03-14", folder.File(station.PlansFolder))
	}
	if order.Species == "" {
		order.Species = speciesOf(plans, c.String("protocol"))
	}
	if order.Species == "" && len(order.Targets) > 0 {
		return order, usageFault("--species is missing: which animals are spawned?")
	}
	profile, err := folder.ProfileFor(order.Species)
	if err != nil || profile == nil {
		return order, err
	}
	order.Profile, order.Values = profile.Ref(), map[string]calc.Written{}
	for _, v := range profile.Values {
		order.Values[v.ID] = calc.Written{Text: v.Quantity.String(), Place: document.Place{File: profile.Ref()}}
	}
	return order, nil
}

// targets reads --spawn and --set.
func targets(c *cli.Context, folder *station.Folder) ([]schedule.Target, error) {
	settings := map[string]calc.Written{}
	for _, pair := range c.StringSlice("set") {
		name, value, ok := strings.Cut(pair, "=")
		if name, value = strings.TrimSpace(name), strings.TrimSpace(value); !ok || name == "" || value == "" {
			return nil, usageFault("--set %q: write NAME=VALUE, such as spat_wanted=60000", pair)
		}
		settings[name] = calc.Written{Text: value, Place: document.Place{File: "--set " + name}}
	}
	if len(settings) > 0 && len(c.StringSlice("spawn")) == 0 {
		return nil, usageFault("--set goes with --spawn; what is planned stands in its plan")
	}
	var out []schedule.Target
	for _, text := range c.StringSlice("spawn") {
		day, clock, ok := strings.Cut(strings.TrimSpace(text), " ")
		if !ok {
			clock = spawnAt
		}
		start, err := time.Parse("2006-01-02 15:04", day+" "+strings.TrimSpace(clock))
		if err != nil {
			return nil, usageFault("--spawn %q: write a day, such as 2026-03-14 or '2026-03-14 18:00'", text)
		}
		protocol, err := folder.Protocol(c.String("protocol"))
		if err != nil {
			return nil, err
		}
		out = append(out, schedule.Target{Protocol: protocol.Ref(), Start: start, Settings: settings})
	}
	return out, nil
}

// allPlans scales every plan of the folder; none when there is no folder of plans.
func allPlans(folder *station.Folder, site calc.Site) ([]*calc.Sheet, error) {
	var sheets []*calc.Sheet
	for _, name := range folder.PlanFiles() {
		plan, err := station.ReadPlan(name)
		if err != nil {
			return nil, err
		}
		sheet, err := folder.Scale(site, plan)
		if err != nil {
			return nil, err
		}
		sheets = append(sheets, sheet)
	}
	return sheets, nil
}

// speciesOf is the species of the plans of a protocol, else of the first plan; empty when
// the plans do not agree.
func speciesOf(plans []*calc.Sheet, protocol string) string {
	species := ""
	for _, s := range plans {
		if s.Protocol.ID != protocol {
			continue
		}
		if species != "" && s.Plan.Species != species {
			return ""
		}
		species = s.Plan.Species
	}
	if species == "" && len(plans) > 0 {
		return plans[0].Plan.Species
	}
	return species
}

// showSchedule prints a line for each step, then the loads and the clashes, both from today on.
func (p *program) showSchedule(s schedule.Schedule) {
	type line struct {
		at   time.Time
		text string
	}
	var lines []line
	for _, b := range s.Batches {
		latest, slack := "", ""
		if !b.Latest.IsZero() {
			latest, slack = b.Latest.Format("2006-01-02 15:04"), calendar.Slack(b.Slack)
		}
		state := ""
		if !b.Planned {
			state = " (proposed)"
		}
		for i, e := range b.Events {
			if i > 0 { // said once for each batch
				latest, slack = "", ""
			}
			what := e.Step.Definition.Title
			if e.Times > 1 {
				what += fmt.Sprintf(" (%d times, to %s)", e.Times, e.Last().Format("2006-01-02"))
			}
			lines = append(lines, line{e.Start, fmt.Sprintf("%s\t%s\t%s\t%s\t%s%s\t%s",
				e.Start.Format("2006-01-02 15:04"), what, latest, slack, b.Code, state, b.Sheet.Protocol.ID)})
		}
	}
	slices.SortStableFunc(lines, func(x, y line) int { return x.at.Compare(y.at) })
	w := tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "date\twhat\tlatest start\tslack\tbatch\tprotocol")
	for _, l := range lines {
		fmt.Fprintln(w, l.text)
	}
	if len(s.Loads) > 0 {
		fmt.Fprintf(w, "\nof the site\tmost on a day from %s on\tthe site has\ton\tby\t\n", s.Today.Format(time.DateOnly))
	}
	for _, l := range s.Loads {
		most, on, limit := "nothing", "", "not said"
		peak, ok := l.Peak(s.Today)
		if ok {
			most, on = l.Show(peak.Sum), peak.Day.Format(time.DateOnly)
		}
		if l.Known {
			limit = l.Show(l.Limit)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t\n", l.What, most, limit, on, strings.Join(peak.Batches, ", "))
	}
	w.Flush() // out is not a file that fails
	for _, c := range s.Clashes {
		fmt.Fprintf(p.out, "\n%s: %s\n  remedy: %s\n", c.Level, c.Says, c.ToDo(remedyWords))
	}
}
