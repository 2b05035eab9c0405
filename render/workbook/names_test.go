package workbook

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
	"spatsheet/protocols"
	"spatsheet/templates"
)

func TestTabNames(t *testing.T) {
	cases := map[string]struct {
		number int
		title  string
		want   string
	}{
		"short":                         {1, "Set up the beakers", "1 Set up the beakers"},
		"31 units fit":                  {2, "abcdefghij klmnopqrs tuvwxyza", "2 abcdefghij klmnopqrs tuvwxyza"},
		"32 do not":                     {2, "abcdefghij klmnopqrs tuvwxyzab", "2 abcdefghij klmnopqrs"},
		"cut at a word":                 {12, "Count the spat on the plates of day 7", "12 Count the spat on the plates"},
		"letters that no program takes": {3, `pH: 7/8 [or] \ what?`, "3 pH 7 8 or what"},
		"one long word":                 {4, strings.Repeat("x", 40), "4 " + strings.Repeat("x", 29)},
		"quotes at the end":             {5, "the 'best'", "5 the 'best"},
		"beyond the base plane":         {6, "𝒳𝒳𝒳𝒳𝒳𝒳𝒳𝒳𝒳𝒳 𝒳𝒳𝒳𝒳𝒳", "6 𝒳𝒳𝒳𝒳𝒳𝒳𝒳𝒳𝒳𝒳"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			got := tabName(c.number, c.title)
			if got != c.want || units(got) > maxTab {
				t.Errorf("got %q of %d units, want %q", got, units(got), c.want)
			}
		})
	}
}

func TestDefinedNamesStayApart(t *testing.T) {
	b := &book{taken: map[string]bool{}}
	for _, n := range []struct{ kind, of string }{
		{kindEntry, "egg_counts.2.counted"}, {kindEntry, "egg_counts_2_counted"}, {kindAmount, "beaker.volume"}, {kindAmount, "beaker_volume"},
	} {
		b.name(n.kind, n.of, 0, "1 Eggs", "B2")
	}
	b.name(kindPart, "water", 12, "it's", "C3")
	var got []string
	for _, n := range b.names {
		got = append(got, n.Name+"="+n.refers)
	}
	want := "e_egg_counts_2_counted='1 Eggs'!$B$2 e_egg_counts_2_counted__2='1 Eggs'!$B$2 a_beaker_volume='1 Eggs'!$B$2 " +
		"a_beaker_volume__2='1 Eggs'!$B$2 p_water_12='it''s'!$C$3"
	if strings.Join(got, " ") != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestTargets(t *testing.T) {
	cases := map[string]struct {
		sheet, ref string
		wide, ok   bool
	}{
		"'1 Set up'!$B$7":       {"1 Set up", "B7", false, true},
		"Working!$B$7":          {"Working", "B7", false, true},
		"=Working!B7":           {"Working", "B7", false, true},
		"$Working!$B$7":         {"Working", "B7", false, true}, // as LibreOffice's own grammar
		"'it''s, a! b'!$AA$10":  {"it's, a! b", "AA10", false, true},
		"Working!$B$7:$B$7":     {"Working", "B7", false, true},
		"Working!$B$7:$C$9":     {"Working", "B7", true, true},
		"Working!#REF!":         {},
		"#REF!$B$7":             {},
		"#REF!":                 {},
		"":                      {},
		"5":                     {},
		"Working!$B":            {},
		"Working!$B$7,Start!$A": {},
		"Working!$XFD$1048576":  {},
	}
	for refers, want := range cases {
		t.Run(refers, func(t *testing.T) {
			got, ok := parseTarget(refers)
			if ok != want.ok || ok && (got.sheet != want.sheet || got.ref != want.ref || got.wide != want.wide) {
				t.Errorf("got %+v, %t; want %+v", got, ok, want)
			}
		})
	}
}

func TestManifestKeepsTextsToTheByte(t *testing.T) {
	for name, text := range map[string]string{
		"empty": "", "no line end": "a: 1", "windows": "a: 1\r\nb: =2\r\n", "tabs and blanks": "\t a \n\n  \n", "codes": "_x0041_ _xyz\x01\xff",
		"long": strings.Repeat("µ", 3*textPiece), "looks like a formula": "=1+1\n-3\n@x\n",
	} {
		t.Run(name, func(t *testing.T) {
			rows := textRows("plan", []byte(text))
			m, texts := &manifest{}, map[string]*strings.Builder{}
			for _, row := range rows {
				if len(row[1]) > 32767 || strings.ContainsAny(row[1][:1], "=+-@0123456789") {
					t.Errorf("row %.50q would not be kept as text", row[1])
				}
				must(t, m.take(row, texts))
			}
			must(t, m.takeTexts(texts))
			if m.identity.Plan != text {
				t.Errorf("got %.80q, want %.80q", m.identity.Plan, text)
			}
		})
	}
}

// TestManifestOfEarlierWorkbooks reads one that has a row for each line and each name.
func TestManifestOfEarlierWorkbooks(t *testing.T) {
	rows := [][]string{
		{magic}, {"format", "1"}, {"batch", "SK-26-01"}, {"plan", `"batch: SK-26-01\n"`}, {"plan", `"note: x\n"`},
		{"name", "entry e_water_ph water_ph 0"}, {"name", "part p_dose_2 dose 2"},
	}
	m, err := readManifest(append(rows, []string{"sha256", earlierSum(rows)}))
	must(t, err)
	want := []named{{Kind: kindEntry, Name: "e_water_ph", Of: "water_ph"}, {Kind: kindPart, Name: "p_dose_2", Of: "dose", Row: 2}}
	if m.identity.Plan != "batch: SK-26-01\nnote: x\n" || !slices.Equal(m.names, want) {
		t.Errorf("got plan %q and names %+v, want both lines and %+v", m.identity.Plan, m.names, want)
	}
}

// TestLargestTables writes a batch with tables of hundreds of rows, and reads it back.
func TestLargestTables(t *testing.T) {
	sheet := largeSample(t)
	values := everyBox(sheet)
	if len(values) < 1000 {
		t.Fatalf("got %d boxes; this is to test many", len(values))
	}
	checkCells(t, read(t, filledIn(t, written(t, sheet), values)), values)
}

// largeSample is the spawning plan at a station with room for 900 animals.
func largeSample(t testing.TB) *calc.Sheet {
	t.Helper()
	site := bytes.ReplaceAll(templates.Site, []byte("    count: "), []byte("    count: 9"))
	plan := strings.NewReplacer("females: 18", "females: 600", "males: 12", "males: 300", "2.4e6", "6e7", "60000", "1600000").Replace(string(plans["spawning"]))
	return scaled(t, site, fixture.Plan(plan))
}

// TestLongChoicesAndWords holds that a list too long for a validation, and labels and
// notes longer than a prompt, are still written.
func TestLongChoicesAndWords(t *testing.T) {
	sheet := sample(t, "diatoms")
	step := *sheet.Steps[0].Definition
	long := strings.Repeat("a long word ", 60)
	step.Entries = append([]protocols.Entry{}, step.Entries...)
	step.Entries[1].Choices = []string{"yes, fully", `"quoted"`, long[:200], long[:150]}
	step.Entries[2].Label, step.Entries[2].Note = long, long
	boxes, before := sheet.Boxes(), sheet.Steps[0].Definition.Entries // boxes are listed once
	for i := range boxes {
		for e := range before {
			if boxes[i].Entry == &before[e] {
				boxes[i].Entry = &step.Entries[e]
			}
		}
	}
	sheet.Steps[0].Definition, sheet.Steps[0].Do = &step, strings.Repeat(long, 20)
	content := written(t, sheet)
	f, err := excelize.OpenReader(bytes.NewReader(content))
	must(t, err)
	defer f.Close()
	all, err := f.GetDataValidations("1 Sterilise the seawater")
	must(t, err)
	lists := 0
	for _, v := range all {
		if units(value(v.Prompt)) > 255 || units(value(v.PromptTitle)) > 32 || units(value(v.Error)) > 255 {
			t.Errorf("too long: %q, %q, %q", value(v.PromptTitle), value(v.Prompt), value(v.Error))
		}
		if v.Type == "list" {
			lists++
			checkList(t, f, v.Formula1, step.Entries[1].Choices)
		}
	}
	if lists != 1 {
		t.Errorf("got %d lists, want 1", lists)
	}
	if filled := read(t, content); len(filled.Lost) != 0 {
		t.Errorf("lost %v", filled.Lost)
	}
}

// checkList reads the choices where the validation looks for them.
func checkList(t *testing.T, f *excelize.File, formula string, want []string) {
	t.Helper()
	first, ok := parseTarget(formula)
	if !ok {
		t.Fatalf("list at %q", formula)
	}
	for i, choice := range want {
		got, err := f.GetCellValue(first.sheet, column(first.col+i)+strings.TrimLeft(first.ref, "ABCDEFGHIJ"))
		must(t, err)
		if got != choice {
			t.Errorf("choice %d: got %q at %s, want %q", i+1, got, formula, choice)
		}
	}
}
