package main

import (
	"archive/zip"
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"

	"spatsheet/cmd/station"
)

// asserted finds what the scripts want to read: stderr 'PATTERN'.
var asserted = regexp.MustCompile(`(?m)^(?:\[[a-z]+\] )?std(?:err|out) '(.*)'$`)

// TestMistakesAreToldAsWritten holds the table of templates/mistakes.md against what the
// scripts, and the cases below, read from the program.
func TestMistakesAreToldAsWritten(t *testing.T) {
	page, err := os.ReadFile("../../templates/mistakes.md")
	if err != nil {
		t.Fatal(err)
	}
	wants, told := scriptPatterns(t), toldElsewhere(t)
	rows := regexp.MustCompile("(?m)^\\| (.+?) \\| ``(.+?)`` \\| .+ \\|$").FindAllStringSubmatch(string(page), -1)
	if n := strings.Count(string(page), "\n| ") - 1; len(rows) != n || n < 30 { // without the heading
		t.Fatalf("%d rows understood of %d; want all, and 30 at least", len(rows), n)
	}
	for _, row := range rows {
		t.Run(row[1], func(t *testing.T) {
			for _, want := range wants {
				if want.MatchString(row[2]) {
					return
				}
			}
			for _, text := range told {
				if strings.Contains(text, row[2]) {
					return
				}
			}
			t.Errorf("no script reads %q", row[2])
		})
	}
}

// scriptPatterns are those that tell enough to know a message by.
func scriptPatterns(t *testing.T) []*regexp.Regexp {
	t.Helper()
	names, err := filepath.Glob("../../testdata/script/*.txtar")
	if err != nil || len(names) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	var list []*regexp.Regexp
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range asserted.FindAllStringSubmatch(string(text), -1) {
			if len(m[1]) >= 20 && !strings.HasPrefix(m[1], "^") {
				list = append(list, regexp.MustCompile(m[1]))
			}
		}
	}
	return list
}

// toldElsewhere are messages that a script cannot bring about.
func toldElsewhere(t *testing.T) []string {
	t.Helper()
	var ods bytes.Buffer
	archive := zip.NewWriter(&ods)
	w, err := archive.CreateHeader(&zip.FileHeader{Name: "mimetype", Method: zip.Store})
	if err == nil {
		_, err = w.Write([]byte("application/vnd.oasis.opendocument.spreadsheet"))
	}
	if err == nil {
		err = archive.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	list := []string{
		station.WriteFaultOn("windows", "workbooks/KS-26-07.xlsx", &os.LinkError{Op: "rename", Err: station.WindowsAccessDenied}).Error(),
		station.WriteFaultOn("linux", "sheets/KS-26-07.pdf", &os.PathError{Op: "write", Err: syscall.ENOSPC}).Error(),
	}
	for name, content := range map[string][]byte{"KS.ods": ods.Bytes(), "KS.xls": {0xD0, 0xCF, 0x11, 0xE0, 0, 0}} {
		_, err := station.At("").Understand(name, content)
		if err == nil {
			t.Fatalf("%s is taken for a workbook", name)
		}
		list = append(list, err.Error())
	}
	return list
}
