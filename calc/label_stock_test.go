package calc_test

import (
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/templates"
)

const tankTags = `
labels:
  - {name: tank-tags, paper: Letter, columns: 2, rows: 4, width: 4 cm, height: 25.4 mm, left: 5 mm, top: 0 mm, across: 10.16 cm}
`

func TestSiteNamesItsLabelStock(t *testing.T) {
	want := calc.LabelStock{Name: "tank-tags", Paper: "Letter", Columns: 2, Rows: 4, Width: 40, Height: 25.4, Left: 5, Across: 101.6, Down: 25.4}
	got := site(t, tankTags).Labels
	if len(got) != 1 || !strings.HasPrefix(got[0].Place, "site.yaml:") {
		t.Fatalf("got %+v", got)
	}
	got[0].Place = ""
	if got[0] != want || got[0].Labels() != 8 {
		t.Errorf("got %+v, want %+v", got[0], want)
	}
}

// TestLabelStockLeavesTheSheetAlone because it changes no amount and no box.
func TestLabelStockLeavesTheSheetAlone(t *testing.T) {
	plain, err := scaled(t, site(t, ""), spawn(0.3, ""))
	if err != nil {
		t.Fatal(err)
	}
	with, err := scaled(t, site(t, tankTags), spawn(0.3, ""))
	if err != nil || with.Digest != plain.Digest {
		t.Errorf("digest %s, %v; want %s", with.Digest, err, plain.Digest)
	}
}

func TestLabelStockRefuses(t *testing.T) {
	for _, c := range []struct{ name, from, to, want string }{
		{"no paper", "paper: Letter, ", "", `"paper" is missing`},
		{"another paper", "Letter", "A3", "one of: A4, Letter"},
		{"name", "tank-tags", "Tank tags", "use small letters"},
		{"no columns", "columns: 2", "columns: 0", "whole number from 1 to 50"},
		{"half a row", "rows: 4", "rows: 4.5", "whole number from 1 to 50"},
		{"a bare number", "25.4 mm", "25.4", "length of zero or more"},
		{"below zero", "left: 5 mm", "left: -5 mm", "length of zero or more"},
		{"another kind", "4 cm", "4 kg", "length of zero or more"},
		{"no unit at all", "4 cm", "wide", "site.yaml:"},
		{"overlapping", "10.16 cm", "39 mm", "at least the width, 40 mm"},
		{"overlapping rows", "across: 10.16 cm", "down: 25 mm", "at least the height, 25.4 mm"},
		{"unknown key", "left: 5 mm", "leftt: 5 mm", `"leftt"`},
		{"twice", "\nlabels:\n", "\nlabels:\n" + strings.TrimPrefix(tankTags, "\nlabels:\n"), `two label stocks named "tank-tags"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := calc.ReadSite("site.yaml", []byte(string(templates.Site)+strings.Replace(tankTags, c.from, c.to, 1)))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}

// TestTemplateShowsLabelStock reads the example in the starter's comments.
func TestTemplateShowsLabelStock(t *testing.T) {
	_, example, ok := strings.Cut(string(templates.Site), "\n# labels:\n#")
	if !ok {
		t.Fatal("the starter shows no label stock")
	}
	got := site(t, "\nlabels:\n"+example).Labels
	if len(got) != 1 || got[0].Across != 102 || got[0].Down != 67.5 {
		t.Errorf("got %+v", got)
	}
}
