package station

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// WorkbooksIn lists the files named, and of a folder its workbooks in order of name,
// leaving out the lock files that office programs lay beside an open workbook. None at all
// is an error.
func WorkbooksIn(arguments []string) ([]string, error) {
	names, err := WorkbooksNow(arguments)
	if err == nil && len(names) == 0 {
		err = ofInput(fmt.Errorf("there is no workbook (.xlsx) in %s%s; save the filled workbooks there first, as "+
			".xlsx", strings.Join(arguments, ", "), othersIn(arguments)))
	}
	return names, err
}

// othersIn names what lies in folders without a workbook.
func othersIn(folders []string) string {
	var names []string
	for _, folder := range folders {
		names = append(names, PassedOver(folder)...)
	}
	if len(names) == 0 {
		return ""
	}
	return ", only " + strings.Join(names, ", ")
}

// PassedOver lists what of a folder is not read, and perhaps should be: tables of other
// kinds, and folders that hold workbooks. Of a file it lists nothing.
func PassedOver(folder string) []string {
	var names []string
	entries, _ := os.ReadDir(folder) // was read just now
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() && !strings.HasPrefix(name, ".") { // hidden folders keep other programs' copies
			if within, _ := WorkbooksInFolder(filepath.Join(folder, name)); len(within) > 0 {
				names = append(names, name+"/")
			}
			continue
		}
		if slices.Contains([]string{".ods", ".xls", ".xlsm", ".csv", ".numbers"}, strings.ToLower(filepath.Ext(name))) && !IsLockFile(name) {
			names = append(names, name)
		}
	}
	return names
}

// WorkbooksNow lists the same for those who wait for workbooks to come.
func WorkbooksNow(arguments []string) ([]string, error) {
	var names []string
	for _, a := range arguments {
		info, err := os.Stat(a)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil, &Fault{Kind: ErrInput, Err: fmt.Errorf("%s is not there", a), Remedy: NameWorkbook}
		case err != nil:
			return nil, ofInput(err)
		case !info.IsDir():
			names = append(names, a)
			continue
		}
		found, err := WorkbooksInFolder(a)
		if err != nil {
			return nil, err
		}
		names = append(names, found...)
	}
	return EachOnce(names), nil
}

// EachOnce leaves out a file that was named before, also by way of its folder.
func EachOnce(names []string) []string {
	seen := map[string]bool{}
	return slices.DeleteFunc(names, func(name string) bool {
		clean := filepath.Clean(name)
		twice := seen[clean]
		seen[clean] = true
		return twice
	})
}

func WorkbooksInFolder(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder) // sorted by name
	if err != nil {
		return nil, ofInput(err)
	}
	var names []string
	for _, e := range entries {
		name := e.Name()
		if !e.IsDir() && !IsLockFile(name) && strings.EqualFold(filepath.Ext(name), ".xlsx") {
			names = append(names, filepath.Join(folder, name))
		}
	}
	return names, nil
}

// otherKind says what a file is that cannot be read as a workbook, by its name; nil where the
// name does not tell.
func otherKind(name string) error {
	says, remedy := "", Remedy(0)
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv", ".tsv", ".txt":
		says, remedy = "text without the boxes of the workbook", TypePrinted
	case ".pdf":
		says = "paper; name the workbook that was typed from it, in filled/"
	case ".yaml", ".yml":
		says = "a text for spatsheet, no workbook; name the filled workbook, in filled/"
	case ".numbers":
		says = "a file of Numbers; export it to Excel (.xlsx)"
	}
	if IsLockFile(filepath.Base(name)) {
		says, remedy = "a lock file, which an office program keeps beside an open workbook; name the workbook itself", 0
	}
	if says == "" {
		return nil
	}
	return &Fault{Kind: ErrInput, Err: fmt.Errorf("%s is %s", name, says), Remedy: remedy}
}

// IsLockFile tells the files that office programs lay beside an open one, by name.
func IsLockFile(name string) bool {
	return strings.HasPrefix(name, "~$") || strings.HasPrefix(name, ".~")
}
