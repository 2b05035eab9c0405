package main

import (
	"cmp"
	"errors"
	"os"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/check"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/render/workbook"
)

func (p *program) checkCommand() *cli.Command {
	return &cli.Command{
		Name:      "check",
		Usage:     "check filled workbooks, cell by cell",
		UsageText: "spatsheet check [--folder <folder>] [--json] [--notes <file.xlsx>] [--watch] [<workbook or folder>...]",
		Description: `Tells what is wrong, where, and what to do next. The workbook is never changed.
Without a name, all in filled/ of the season folder.

   # one workbook
   spatsheet check filled/KS-26-01.xlsx

   # a copy with a note at each finding
   spatsheet check filled/KS-26-01.xlsx --notes notes.xlsx

   # while people type: again whenever a workbook is saved, until Ctrl-C
   spatsheet check --watch filled`,
		Flags: []cli.Flag{
			folderFlag(),
			&cli.BoolFlag{Name: "json", Usage: "print the findings as JSON"},
			&cli.StringFlag{Name: "notes", Usage: "write a copy of the workbook with a note at each finding to `FILE`"},
			&cli.BoolFlag{Name: "watch", Usage: "look again whenever a workbook is added or saved, and tell what changed"},
			replaceFlag(),
		},
		Action: func(c *cli.Context) error {
			arguments, err := filledIn(c)
			if c.Bool("watch") && err == nil {
				return p.watchAction(c, arguments)
			}
			var names []string
			if err == nil {
				names, err = station.WorkbooksIn(arguments)
			}
			if err != nil && c.Bool("json") {
				return errors.Join(p.printJSON([]checked{{File: strings.Join(arguments, ", "), Fault: inWords(err), Findings: []check.Finding{}}}), err)
			}
			if err != nil {
				return err
			}
			if c.String("notes") != "" && len(names) != 1 {
				return usageFault("--notes goes with one workbook, not with %d", len(names))
			}
			p.tellPassedOver(arguments)
			return p.check(folderOf(c), names, c.Bool("json"), c.String("notes"), c.Bool("replace"))
		},
	}
}

// checked is one workbook's part of the JSON output.
type checked struct {
	File     string          `json:"file"`
	Batch    string          `json:"batch,omitempty"`
	Protocol string          `json:"protocol,omitempty"`
	Fault    string          `json:"fault,omitempty"` // why it could not be read
	Findings []check.Finding `json:"findings"`
}

func (p *program) check(folder *station.Folder, names []string, asJSON bool, notes string, replace bool) error {
	var list []checked // only for JSON, which is one piece
	var all summary
	var unreadable, found error
	type looked struct {
		*station.Returned
		err error
	}
	look := func(name string) looked { r, err := folder.ReadBack(name); return looked{r, err} }
	station.BoundGarbage()
	bar := p.progress(len(names), "checking")
	defer bar.Done()
	err := station.InOrder(names, look, func(name string, l looked) error {
		defer bar.Step()
		if l.err != nil {
			all.addUnread()
			if asJSON {
				list = append(list, checked{File: name, Fault: inWords(l.err), Findings: []check.Finding{}})
			}
			unreadable = errors.Join(unreadable, l.err)
			return nil
		}
		if asJSON {
			list = append(list, checked{File: name, Batch: l.Sheet.Plan.Batch, Protocol: l.Sheet.Protocol.Ref(),
				Findings: append([]check.Finding{}, l.Result.Findings...)})
		} else {
			p.showFindings(name, l.Returned)
		}
		all.add(name, l.Result.Findings)
		if l.Result.Worst() == protocols.Error {
			found = errFindings
		}
		if notes != "" {
			return writeNotes(l.Returned, notes, replace)
		}
		return nil
	})
	bar.Done()
	switch {
	case err == nil && asJSON:
		err = p.printJSON(list)
	case err == nil && len(names) > 1:
		p.showSummary(all)
	}
	if err != nil {
		return err
	}
	return cmp.Or(unreadable, found) // what cannot be read outweighs findings
}

func writeNotes(r *station.Returned, name string, replace bool) error {
	if sameFile(r.Name, name) {
		return usageFault("--notes %s is the filled workbook itself, which is never written to; name another file", name)
	}
	content, err := workbook.Annotate(r.Content, r.Result.Findings)
	if err != nil {
		return inputFault(err)
	}
	return station.WriteBytes(name, replace, content)
}

// sameFile says whether two names stand for one file on the disk.
func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}
