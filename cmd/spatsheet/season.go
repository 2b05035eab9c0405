package main

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/cmd/station"
	"spatsheet/protocols/quantity"
	"spatsheet/render/seasonlog"
)

func (p *program) seasonCommand() *cli.Command {
	return &cli.Command{
		Name:      "season",
		Usage:     "compile the season: survival by stage, workbook, CSV",
		UsageText: "spatsheet season [--folder <folder>] [--out <folder>] [--report-only | --verify | --rebuild <new file>]",
		Description: `Compiles the latest revision of every collected batch into season.xlsx and CSV
files: batches, stages (one row for each batch and stage), survival, readings, planned,
hands_over (what each batch leaves for others), findings, season_findings (what is wrong
between batches, such as more larvae stocked than were left) and corrections. Exit code 1
when a finding between batches is an error. datapackage.json says what each column is.
report.pdf and report.html tell the season to those who give permits and money.

   # into season/ of this season folder
   spatsheet season

   # again, after more was collected
   spatsheet season --replace

   # only the report, which is sooner done where many seasons are in the log
   spatsheet season --report-only --replace

   # is everything as it was collected? every digest and every workbook again
   spatsheet season --verify

   # a new season log of the stored workbooks, or of what is whole in a damaged one
   spatsheet season --rebuild rescued.sqlite`,
		Flags: []cli.Flag{folderFlag(), replaceFlag(), &cli.StringFlag{Name: "out", Usage: "`FOLDER` for the files (default: season in the season folder)"},
			&cli.BoolFlag{Name: "report-only", Usage: "write report.pdf and report.html, not the tables"},
			&cli.BoolFlag{Name: "verify", Usage: "verify the season log instead, and tell who signed"},
			&cli.StringFlag{Name: "rebuild", Usage: "make a new season log `FILE` of the stored workbooks instead"}},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("season takes no argument %q; name the season folder with --folder", c.Args().First())
			}
			if c.Bool("verify") || c.IsSet("rebuild") {
				return p.seasonLog(c)
			}
			out := c.String("out")
			if out == "" {
				out = folderOf(c).File(station.OutFolder)
			}
			return p.season(folderOf(c), out, c.Bool("replace"), c.Bool("report-only"))
		},
	}
}

func (p *program) season(folder *station.Folder, into string, replace, reportOnly bool) error {
	log, err := folder.OpenLog()
	if err != nil {
		return err
	}
	defer log.Close() // only read from
	history, err := log.History()
	if err != nil {
		return logFault(err)
	}
	revisions := seasonlog.Latest(history)
	if len(revisions) == 0 {
		return inputFault(fmt.Errorf("nothing is collected yet in %s; run `spatsheet collect%s` first", log.Path(), inFolder(folder)))
	}
	keep := season.Batch.Ready
	if reportOnly { // with no more of each batch than the report asks for
		keep = season.Batch.Brief
		station.LetGarbage(400)
	}
	batches, err := folder.RebuildAll(log, revisions, keep)
	if err != nil {
		return logFault(err)
	}
	corrected, err := station.Corrections(log, history)
	if err != nil {
		return logFault(err)
	}
	s := season.Compile(batches, pedigree.Across)
	files := station.ReportOutput(into, season.ReportOf(s, corrected), station.LastCollected(revisions))
	if !reportOnly {
		files.AddTables(s, corrected)
	}
	var printed bytes.Buffer // while the files are written
	found := make(chan error, 1)
	go func() {
		showSeason(&printed, s)
		found <- tellAcross(&printed, s)
	}()
	if err := files.Write(replace); err != nil {
		return err
	}
	p.tellSeason(files)
	err = <-found
	p.out.Write(printed.Bytes())
	return err
}

func showSeason(w io.Writer, s season.Season) {
	fmt.Fprintf(w, "%s\n", quantity.Counted(len(s.Batches), "batch", "batches"))
	batch := ""
	for _, st := range s.Stages {
		if st.Batch != batch {
			batch = st.Batch
			fmt.Fprintf(w, "\n%s  %s  %s\n", st.Batch, st.Start.Format("2006-01-02"), st.Species)
		}
		line := fmt.Sprintf("  %-34s %16s %16s %9s  %s", st.Label, countText(st.HasIn, st.In, st.InUnit),
			countText(st.HasOut, st.Out, st.OutUnit), shareText(st.HasSurvival, st.Survival), st.Note)
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
	if len(s.Pooled) > 0 {
		fmt.Fprint(w, "\nSurvival over the season, all out over all in\n")
	}
	for _, g := range s.Pooled {
		fmt.Fprintf(w, "  %-34s %9s  %s, %s, %s\n", g.Label, shareText(true, g.Survival), quantity.Counted(g.Batches, "batch", "batches"), g.Species, g.Protocol)
	}
}

func countText(has bool, x float64, unit string) string {
	if !has {
		return "-"
	}
	return quantity.FormatNumber(x, 3) + " " + unit
}

func shareText(has bool, x float64) string {
	if !has {
		return "-"
	}
	return quantity.FormatNumber(x*100, 3) + " %"
}

// tellSeason says what was written.
func (p *program) tellSeason(s *station.SeasonOutput) {
	if s.Tables != nil {
		fmt.Fprintf(p.out, "wrote %s and %d CSV files beside it\n", s.In("season.xlsx"), len(s.Tables))
	}
	for _, t := range s.Written {
		if t.TooLong() {
			fmt.Fprintf(p.talk, "spatsheet: %s has %d rows, more than a sheet holds; season.xlsx names %s.csv instead\n", t.Name, t.Count, t.Name)
		}
	}
	fmt.Fprintf(p.out, "wrote %s and %s\n", s.In("report.pdf"), s.In("report.html"))
}
