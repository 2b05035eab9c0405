// Package station is what runs between the commands and the house: the season folder, filled
// workbooks read back, collecting, planning, the forms. It reads and writes files and knows no
// command line: what a person is told, and by which command to go on, is worded where it is
// called.
package station

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"spatsheet/calc"
	"spatsheet/render/seasonlog"
)

// The names of a season folder.
const (
	SiteFile        = "site.yaml"
	PlansFolder     = "plans"
	SheetsFolder    = "sheets"
	WorkbookFolder  = "workbooks"
	FilledFolder    = "filled"
	OutFolder       = "season"
	CalendarFolder  = "calendar"
	ProtocolsFolder = "protocols" // protocols and species profiles of its own
	LogFile         = "season-log.sqlite"
	BenchPage       = "for-the-bench-worker.md"
	MistakesPage    = "mistakes.md"
)

// Folder is a season folder: the site, the plans, protocols of its own and the season log,
// each read where it is asked for. What was made of a text is kept; goroutines may share it.
type Folder struct {
	Path string
	own  fs.FS // the folder of protocols
	memory
}

// At is the season folder of that name; it need not be there.
func At(path string) *Folder {
	return &Folder{Path: path, own: os.DirFS(filepath.Join(path, ProtocolsFolder))}
}

// File is the name of a file in the folder.
func (f *Folder) File(parts ...string) string {
	return filepath.Join(append([]string{f.Path}, parts...)...)
}

// Site reads the site file. Error: it is not there, or has faults, all of them told.
func (f *Folder) Site() (calc.Site, error) {
	name := f.File(SiteFile)
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return calc.Site{}, &Fault{Kind: ErrInput, Err: fmt.Errorf("%s is not there", name), Remedy: MakeFolder, About: f.Path}
	}
	if err != nil {
		return calc.Site{}, ofInput(err)
	}
	site, err := calc.ReadSite(name, text)
	if err != nil {
		return calc.Site{}, ofInput(err)
	}
	return site, nil
}

// OpenLog opens the season log.
func (f *Folder) OpenLog() (*seasonlog.Log, error) {
	log, err := seasonlog.Open(f.File(LogFile))
	if err != nil {
		return nil, f.NoLog(err)
	}
	return log, nil
}

// NoLog says what to do where there is no season log; of other errors it tells that they are
// of the log.
func (f *Folder) NoLog(err error) error {
	if !errors.Is(err, seasonlog.ErrNoLog) {
		return ofLog(err)
	}
	name, site := f.File(LogFile), f.File(SiteFile)
	if _, siteErr := os.Stat(site); siteErr == nil {
		return &Fault{Kind: ErrLog, Err: fmt.Errorf("season log %s is not there", name), Remedy: RestoreLog, About: f.Path}
	}
	return &Fault{Kind: ErrLog, Err: fmt.Errorf("season log %s is not there, nor is %s: %s is no season folder", name,
		site, f.Path), Remedy: MakeOne, About: f.Path}
}

// Filled is the folder of filled workbooks.
func (f *Folder) Filled() (string, error) {
	name := f.File(FilledFolder)
	if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) {
		return "", &Fault{Kind: ErrInput, Err: fmt.Errorf("%s is not there", name), Remedy: MakeOrName, About: f.Path}
	}
	return name, nil
}

// PlanFile takes a plan's file name, or a batch code whose plan is in the folder.
func (f *Folder) PlanFile(argument string) string {
	if !strings.ContainsAny(argument, `/\`) && !strings.HasSuffix(argument, ".yaml") {
		return f.File(PlansFolder, argument+".yaml")
	}
	return argument
}

// PlanFiles lists the plans by name; none where the folder has no plans.
func (f *Folder) PlanFiles() []string {
	entries, err := os.ReadDir(f.File(PlansFolder)) // sorted by name
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		if filepath.Ext(e.Name()) == ".yaml" && !e.IsDir() && !IsLockFile(e.Name()) {
			names = append(names, f.File(PlansFolder, e.Name()))
		}
	}
	return names
}

// PlannedCodes lists the batches whose plans are in the folder.
func (f *Folder) PlannedCodes() []string {
	names := f.PlanFiles()
	for i := range names {
		names[i] = strings.TrimSuffix(filepath.Base(names[i]), ".yaml")
	}
	return names
}

// ReadPlan reads a plan file. Error: it is not there, and which may be meant; or its faults.
func ReadPlan(name string) (calc.Plan, error) {
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return calc.Plan{}, noPlan(name)
	}
	if err != nil {
		return calc.Plan{}, ofInput(err)
	}
	plan, err := calc.ReadPlan(name, text)
	if err != nil {
		return calc.Plan{}, ofInput(err)
	}
	return plan, nil
}

// noPlan proposes a plan of the same season folder whose batch code is like that of name.
func noPlan(name string) error {
	var codes []string
	if dir := filepath.Dir(name); filepath.Base(dir) == PlansFolder {
		codes = At(filepath.Dir(dir)).PlannedCodes()
	}
	near := DidYouMean(strings.TrimSuffix(filepath.Base(name), ".yaml"), codes)
	fault := &Fault{Kind: ErrInput, Err: fmt.Errorf("plan %s is not there%s", name, near)}
	if near == "" {
		fault.Remedy = SeePlanning
	}
	return fault
}

// Scale loads the plan's protocol and computes the sheet. Goroutines may do so at once.
func (f *Folder) Scale(site calc.Site, plan calc.Plan) (*calc.Sheet, error) {
	protocol, err := f.Protocol(plan.Protocol)
	if err != nil {
		return nil, err
	}
	if err := f.sameAsProfile(plan); err != nil {
		return nil, err
	}
	sheet, err := calc.Scale(protocol, site, plan)
	if err != nil {
		return nil, ofInput(err)
	}
	return sheet, nil
}
