package tables

import (
	"os"
	"regexp"
	"slices"
	"testing"
)

// The page for the person with the data names files and columns: each must be written.
func TestPageNamesColumnsThatAreWritten(t *testing.T) {
	page, err := os.ReadFile("../../templates/for-the-data-person.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := regexp.MustCompile("(?m)^\\| `([a-z_]+)\\.csv` \\| .* \\| (.*) \\|$").FindAllStringSubmatch(string(page), -1)
	if len(rows) != len(fields) {
		t.Errorf("the page has %d tables, season writes %d", len(rows), len(fields))
	}
	for _, row := range rows {
		for _, name := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(row[2], -1) {
			if !slices.ContainsFunc(fields[row[1]], func(f Field) bool { return f.Name == name[1] }) {
				t.Errorf("%s.csv has no column %s", row[1], name[1])
			}
		}
	}
}
