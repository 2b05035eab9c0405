package protocols

import (
	"os"
	"spatsheet/calc/functions"
	"strings"
	"testing"
)

func TestLineageNamesEntries(t *testing.T) {
	text, err := os.ReadFile("library/shore-collection/1.0.0.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := Load("s.yaml", text, functions.All())
	if err != nil {
		t.Fatal(err)
	}
	if p.Lineage[FoundSite] != "shore_site" || p.Lineage[BagPlace] != "bag_counts.place" {
		t.Errorf("got %v", p.Lineage)
	}
	for _, c := range []struct{ name, from, to, want string }{
		{"no such entry", "site: shore_site", "site: shore_sight", `there is no entry "shore_sight"`},
		{"no such column", "bag_counts.place", "bag_counts.palce", `there is no entry "bag_counts.palce"`},
		{"a column for an entry", "permit: permit", "permit: bag_counts.place", `"bag_counts.place" is a column; permit wants a single entry`},
		{"an entry for a column", "bag_place: bag_counts.place", "bag_place: permit", `"permit" is a single entry; bag_place wants a column`},
		{"the wrong kind", "bag_animals: bag_counts.kept", "bag_animals: bag_counts.place", `"bag_counts.place" is a text; bag_animals wants one of: number, count`},
		{"an unknown part", "lineage: {site: ", "lineage: {sight: ", "sight"},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := strings.LastIndex(string(text), "lineage:")
			_, err := Load("s.yaml", []byte(string(text[:at])+strings.Replace(string(text[at:]), c.from, c.to, 1)), functions.All())
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}
