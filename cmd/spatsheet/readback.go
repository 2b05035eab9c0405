package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
	"spatsheet/render/workbook"
)

// returned is a filled workbook, understood.
type returned struct {
	name    string
	content []byte
	sheet   *calc.Sheet
	result  check.Result
}

// readBack is understand for a file.
func readBack(name string) (*returned, error) {
	content, err := os.ReadFile(name)
	if err != nil {
		return nil, inputFault(readFault(name, err))
	}
	return understand(name, content)
}

// understand reads a filled workbook, scales its protocol again from the plan and site that
// came with it, and checks it. Goroutines may do so at once.
func understand(name string, content []byte) (r *returned, err error) {
	defer func() { // one file must not end the reading of a folder of them
		if fault := recover(); fault != nil {
			r, err = nil, inputFault(fmt.Errorf("%s: it cannot be understood (%v), which is a fault of spatsheet; report it, with the file", name, fault))
		}
	}()
	filled, err := workbook.Read(content)
	if errors.Is(err, workbook.ErrNotOurs) && isOtherKind(name) != "" {
		return nil, inputFault(fmt.Errorf("%s is %s", name, isOtherKind(name)))
	}
	if err != nil {
		return nil, inputFault(fmt.Errorf("%s: %w", name, err))
	}
	sheet, err := scaleAgain(filled.Manifest)
	if err != nil {
		return nil, inputFault(fmt.Errorf("%s: %w", name, err))
	}
	result := check.Sheet(sheet, filled)
	result.Findings = append(otherText(sheet), result.Findings...)
	return &returned{name, content, sheet, result}, nil
}

// untouched says whether nothing is filled in.
func (r *returned) untouched() bool { return len(r.result.Readings) > 0 && r.filledBoxes() == 0 }

// filledBoxes counts the boxes that something was typed into.
func (r *returned) filledBoxes() int {
	n := 0
	for _, reading := range r.result.Readings {
		if reading.State != calc.Blank {
			n++
		}
	}
	return n
}

// scaleAgain computes the sheet a workbook was printed from, by the protocol, plan and
// site that it carries: newer versions of a protocol change nothing for it.
func scaleAgain(m calc.Manifest) (*calc.Sheet, error) {
	protocol, err := loadOnce(m.Protocol+" kept in the workbook", []byte(m.ProtocolText))
	if err != nil {
		return nil, hiddenChanged(err)
	}
	sheet, err := rescale(protocol, []byte(m.Plan), []byte(m.Site))
	if err != nil {
		return nil, hiddenChanged(err)
	}
	if protocol.Digest != m.ProtocolDigest || sheet.Digest != m.Digest {
		return nil, fmt.Errorf("its digest %s does not fit the protocol, plan and site it carries, which give %s; the hidden sheet was changed: copy the readings into a freshly printed workbook", m.Digest, sheet.Digest)
	}
	return sheet, nil
}

// hiddenChanged gives the remedy for texts that cannot be scaled: they could when they were
// printed.
func hiddenChanged(err error) error {
	return fmt.Errorf("%w; the hidden sheet was changed: copy the readings into a freshly printed workbook", err)
}

// otherText warns when a workbook carries another text of a protocol than the one that
// ships under its name.
func otherText(sheet *calc.Sheet) []check.Finding {
	known, err := shippedOnce(sheet.Protocol.Ref())
	if err != nil || known.Digest == sheet.Protocol.Digest { // not shipped: the season's own
		return nil
	}
	return []check.Finding{{
		Level: protocols.Warning, Code: "other-protocol-text", Entry: sheet.Protocol.Ref(),
		Says:   "this workbook was printed from another text of " + sheet.Protocol.Ref() + " than the one that ships with spatsheet",
		Remedy: "give a changed protocol a version of its own; compare the two before comparing batches",
	}}
}

// rescale computes a sheet from texts that were kept.
func rescale(protocol *protocols.Protocol, planText, siteText []byte) (*calc.Sheet, error) {
	plan, err := calc.ReadPlan("the plan kept in the workbook", planText)
	if err != nil {
		return nil, err
	}
	site, err := keptSiteOnce(siteText)
	if err != nil {
		return nil, err
	}
	return scaled.of(protocol, site, plan)
}

// workbooksIn lists the files named, and of a folder its workbooks in order of name,
// leaving out the lock files that office programs lay beside an open workbook. None at all
// is an error.
func workbooksIn(arguments []string) ([]string, error) {
	names, err := workbooksNow(arguments)
	if err == nil && len(names) == 0 {
		err = inputFault(fmt.Errorf("there is no workbook (.xlsx) in %s%s; save the filled workbooks there first, as .xlsx", strings.Join(arguments, ", "), othersIn(arguments)))
	}
	return names, err
}

// othersIn names what lies in folders without a workbook.
func othersIn(folders []string) string {
	var names []string
	for _, folder := range folders {
		names = append(names, passedOver(folder)...)
	}
	if len(names) == 0 {
		return ""
	}
	return ", only " + strings.Join(names, ", ")
}

// passedOver lists what of a folder is not read, and perhaps should be: tables of other
// kinds, and folders that hold workbooks. Of a file it lists nothing.
func passedOver(folder string) []string {
	var names []string
	entries, _ := os.ReadDir(folder) // was read just now
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() && !strings.HasPrefix(name, ".") { // hidden folders keep other programs' copies
			if within, _ := workbooksInFolder(filepath.Join(folder, name)); len(within) > 0 {
				names = append(names, name+"/")
			}
			continue
		}
		if slices.Contains([]string{".ods", ".xls", ".xlsm", ".csv", ".numbers"}, strings.ToLower(filepath.Ext(name))) && !isLockFile(name) {
			names = append(names, name)
		}
	}
	return names
}

// tellPassedOver says on stderr what lies beside the workbooks of each folder and is not
// read.
func (p *program) tellPassedOver(arguments []string) {
	for _, a := range arguments {
		if names := passedOver(a); len(names) > 0 {
			fmt.Fprintf(p.talk, "spatsheet: passed over in %s: %s; save tables as .xlsx, and name a folder within by itself\n", a, strings.Join(names, ", "))
		}
	}
}

// workbooksNow lists the same for those who wait for workbooks to come.
func workbooksNow(arguments []string) ([]string, error) {
	var names []string
	for _, a := range arguments {
		info, err := os.Stat(a)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil, inputFault(fmt.Errorf("%s is not there; name a filled workbook or the folder they are in, such as filled/ of a season folder made by `spatsheet start`", a))
		case err != nil:
			return nil, inputFault(err)
		case !info.IsDir():
			names = append(names, a)
			continue
		}
		found, err := workbooksInFolder(a)
		if err != nil {
			return nil, err
		}
		names = append(names, found...)
	}
	return eachOnce(names), nil
}

// eachOnce leaves out a file that was named before, also by way of its folder.
func eachOnce(names []string) []string {
	seen := map[string]bool{}
	return slices.DeleteFunc(names, func(name string) bool {
		clean := filepath.Clean(name)
		twice := seen[clean]
		seen[clean] = true
		return twice
	})
}

func workbooksInFolder(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder) // sorted by name
	if err != nil {
		return nil, inputFault(err)
	}
	var names []string
	for _, e := range entries {
		name := e.Name()
		if !e.IsDir() && !isLockFile(name) && strings.EqualFold(filepath.Ext(name), ".xlsx") {
			names = append(names, filepath.Join(folder, name))
		}
	}
	return names, nil
}

// isOtherKind says what a file is that cannot be read as a workbook, by its name; empty
// where the name does not tell.
func isOtherKind(name string) string {
	if isLockFile(filepath.Base(name)) {
		return "a lock file, which an office program keeps beside an open workbook; name the workbook itself"
	}
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv", ".tsv", ".txt":
		return "text without the boxes of the workbook; open the workbook that `spatsheet print` made, type into it and save it as .xlsx"
	case ".pdf":
		return "paper; name the workbook that was typed from it, in filled/"
	case ".yaml", ".yml":
		return "a text for spatsheet, no workbook; name the filled workbook, in filled/"
	case ".numbers":
		return "a file of Numbers; export it to Excel (.xlsx)"
	}
	return ""
}

// isLockFile tells the files that office programs lay beside an open one, by name.
func isLockFile(name string) bool {
	return strings.HasPrefix(name, "~$") || strings.HasPrefix(name, ".~")
}
