package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/render/seasonlog"
)

// The names of a season folder.
const (
	siteFile       = "site.yaml"
	plansFolder    = "plans"
	sheetsFolder   = "sheets"
	workbookFolder = "workbooks"
	filledFolder   = "filled"
	outFolder      = "season"
	calendarFolder = "calendar"
	logFile        = "season-log.sqlite"
	benchPage      = "for-the-bench-worker.md"
	mistakesPage   = "mistakes.md"
)

func folderFlag() cli.Flag {
	return &cli.StringFlag{Name: "folder", Aliases: []string{"f"}, Value: ".", Usage: "the season `FOLDER`"}
}

// inFolder is the flag that names a folder, as it is typed; nothing for the one we are in.
func inFolder(folder string) string {
	if filepath.Clean(folder) == "." {
		return ""
	}
	return " " + flagText("folder", folder)
}

func replaceFlag() cli.Flag {
	return &cli.BoolFlag{Name: "replace", Usage: "overwrite files that are there already"}
}

// readSite reads the season folder's site file.
func readSite(folder string) (calc.Site, error) {
	name := filepath.Join(folder, siteFile)
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return calc.Site{}, inputFault(fmt.Errorf("%s is not there; run `spatsheet start %s` to make a season folder, or name one with --folder", name, folder))
	}
	if err != nil {
		return calc.Site{}, inputFault(err)
	}
	site, err := calc.ReadSite(name, text)
	if err != nil {
		return calc.Site{}, inputFault(err)
	}
	return site, nil
}

// openLog opens the season log of a folder.
func openLog(folder string) (*seasonlog.Log, error) {
	log, err := seasonlog.Open(filepath.Join(folder, logFile))
	if err != nil {
		return nil, logFault(noLog(folder, err))
	}
	return log, nil
}

// noLog says what to do where there is no season log; other errors it leaves as they are.
func noLog(folder string, err error) error {
	if !errors.Is(err, seasonlog.ErrNoLog) {
		return err
	}
	name := filepath.Join(folder, logFile)
	if _, siteErr := os.Stat(filepath.Join(folder, siteFile)); siteErr == nil {
		return fmt.Errorf("season log %s is not there; fetch it from a copy, or make an empty one with `spatsheet start %s` and collect the filled workbooks again", name, folder)
	}
	return fmt.Errorf("season log %s is not there, nor is %s: %s is no season folder; run `spatsheet start %s` to make one, or name one with --folder", name, siteFile, folder, folder)
}

// filledIn are the workbooks and folders that were named, or else filled/ of the season
// folder.
func filledIn(c *cli.Context) ([]string, error) {
	if c.Args().Present() {
		return c.Args().Slice(), nil
	}
	folder := c.String("folder")
	name := filepath.Join(folder, filledFolder)
	if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) {
		return nil, inputFault(fmt.Errorf("%s is not there; run `spatsheet start %s` to make a season folder, name one with --folder, or name a filled workbook", name, folder))
	}
	return []string{name}, nil
}

// findPlan takes a plan's file name, or a batch code whose plan is in the folder.
func findPlan(folder, argument string) string {
	if !strings.ContainsAny(argument, `/\`) && !strings.HasSuffix(argument, ".yaml") {
		return filepath.Join(folder, plansFolder, argument+".yaml")
	}
	return argument
}

// planFiles lists the plans of a season folder by name; none where it has no plans.
func planFiles(folder string) []string {
	dir := filepath.Join(folder, plansFolder)
	entries, err := os.ReadDir(dir) // sorted by name
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		if filepath.Ext(e.Name()) == ".yaml" && !e.IsDir() && !isLockFile(e.Name()) {
			names = append(names, filepath.Join(dir, e.Name()))
		}
	}
	return names
}

// otherPlan proposes a plan of the same season folder whose batch code is like that of name.
func otherPlan(name string) string {
	var codes []string
	if dir := filepath.Dir(name); filepath.Base(dir) == plansFolder {
		codes = plannedCodes(filepath.Dir(dir))
	}
	return meantOr(strings.TrimSuffix(filepath.Base(name), ".yaml"), codes, "`spatsheet plan --help` shows how to make one")
}

// readPlan reads a plan file.
func readPlan(name string) (calc.Plan, error) {
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return calc.Plan{}, inputFault(fmt.Errorf("plan %s is not there%s", name, otherPlan(name)))
	}
	if err != nil {
		return calc.Plan{}, inputFault(err)
	}
	plan, err := calc.ReadPlan(name, text)
	if err != nil {
		return calc.Plan{}, inputFault(err)
	}
	return plan, nil
}

// scale loads the plan's protocol and computes the sheet.
func scale(folder string, site calc.Site, plan calc.Plan) (*calc.Sheet, error) {
	return catalogOf(folder).scale(site, plan)
}

func (catalog catalog) scale(site calc.Site, plan calc.Plan) (*calc.Sheet, error) {
	protocol, err := catalog.protocol(plan.Protocol)
	if err != nil {
		return nil, err
	}
	if err := sameAsProfile(catalog, plan); err != nil {
		return nil, err
	}
	sheet, err := calc.Scale(protocol, site, plan)
	if err != nil {
		return nil, inputFault(err)
	}
	return sheet, nil
}

// writeWhole writes a file whole or not at all: into a temporary file beside it, then
// moved into place. It refuses to overwrite unless replace is set.
func writeWhole(name string, replace bool, write func(f *os.File) error) error {
	if err := notThere(name, replace); err != nil {
		return err
	}
	ready, err := writeBeside(name, write)
	if err != nil {
		return err
	}
	return putInPlace(ready, name)
}

// writeBeside writes a file whole into a temporary file beside its place, and names that;
// after an error there is none.
func writeBeside(name string, write func(f *os.File) error) (ready string, err error) {
	fail := func(err error) (string, error) { return "", inputFault(writeFault(name, err)) }
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return fail(err)
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".spatsheet-*")
	if err != nil {
		return fail(err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		return fail(err)
	}
	if err := f.Sync(); err != nil {
		return fail(err)
	}
	if err := f.Chmod(0o644); err != nil {
		return fail(err)
	}
	if err := f.Close(); err != nil {
		return fail(err)
	}
	return f.Name(), nil
}

// putInPlace moves a file that writeBeside wrote into its place, or away.
func putInPlace(ready, name string) error {
	if err := os.Rename(ready, name); err != nil {
		os.Remove(ready)
		return inputFault(writeFault(name, err))
	}
	return nil
}

// notThere refuses a file that is there, unless it may be replaced.
func notThere(name string, replace bool) error {
	if _, err := os.Stat(name); err == nil && !replace {
		return inputFault(fmt.Errorf("%s is there already; give --replace to overwrite it", name))
	}
	return nil
}

// writeNew is writeWhole for a file that must not be there yet; remedy says what to do
// when it is.
func writeNew(name string, content []byte, remedy string) error {
	if _, err := os.Stat(name); err == nil {
		return inputFault(fmt.Errorf("%s is there already; %s", name, remedy))
	}
	return writeBytes(name, false, content)
}

// writeBytes is writeWhole for content at hand.
func writeBytes(name string, replace bool, content []byte) error {
	return writeWhole(name, replace, func(f *os.File) error {
		_, err := f.Write(content)
		return err
	})
}
