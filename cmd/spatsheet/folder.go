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
)

// The names of a season folder.
const (
	siteFile       = "site.yaml"
	plansFolder    = "plans"
	sheetsFolder   = "sheets"
	workbookFolder = "workbooks"
	filledFolder   = "filled"
	outFolder      = "season"
	logFile        = "season-log.sqlite"
)

func folderFlag() cli.Flag {
	return &cli.StringFlag{Name: "folder", Aliases: []string{"f"}, Value: ".", Usage: "the season `FOLDER`"}
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

// findPlan takes a plan's file name, or a batch code whose plan is in the folder.
func findPlan(folder, argument string) string {
	if !strings.ContainsAny(argument, `/\`) && !strings.HasSuffix(argument, ".yaml") {
		return filepath.Join(folder, plansFolder, argument+".yaml")
	}
	return argument
}

// readPlan reads a plan file.
func readPlan(name string) (calc.Plan, error) {
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return calc.Plan{}, inputFault(fmt.Errorf("plan %s is not there; `spatsheet plan --help` shows how to make one", name))
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
func writeWhole(name string, replace bool, write func(f *os.File) error) (err error) {
	if _, statErr := os.Stat(name); statErr == nil && !replace {
		return inputFault(fmt.Errorf("%s is there already; give --replace to overwrite it", name))
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return inputFault(err)
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".spatsheet-*")
	if err != nil {
		return inputFault(err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		return inputFault(fmt.Errorf("%s: %w", name, err))
	}
	if err := f.Sync(); err != nil {
		return inputFault(err)
	}
	if err := f.Chmod(0o644); err != nil {
		return inputFault(err)
	}
	if err := f.Close(); err != nil {
		return inputFault(err)
	}
	if err := os.Rename(f.Name(), name); err != nil {
		return inputFault(err)
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
