package main

import (
	"bytes"
	"slices"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

func TestWorstSheetFirst(t *testing.T) {
	readings := []calc.Reading{{Sheet: "1"}, {Sheet: "2"}, {Sheet: "2"}, {Sheet: "3"}}
	found := func(level protocols.Level, sheet, code string) check.Finding {
		return check.Finding{Level: level, Sheet: sheet, Code: code}
	}
	list := []check.Finding{
		found(protocols.Error, "Working", "a"), found(protocols.Note, "1", "b"), found(protocols.Warning, "2", "c"), found(protocols.Note, "2", "d"),
		found(protocols.Warning, "2", "e"), found(protocols.Note, "3", "f"), found(protocols.Error, "3", "g"), found(protocols.Warning, "", "h"),
	}
	var got []string
	for _, f := range worstFirst(list, readings) {
		got = append(got, f.Code)
	}
	if want := []string{"h", "g", "f", "a", "c", "e", "d", "b"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if list[0].Code != "a" {
		t.Error("the list that was given was sorted itself, which JSON prints in its order")
	}
}

func TestTypedDateIsReadable(t *testing.T) {
	cases := map[string]struct {
		reading calc.Reading
		want    string
	}{
		"a date and time": {calc.Reading{State: calc.Given, Raw: "46067.9375", Text: "2026-02-14T22:30:00",
			Number: 1771108200}, "2026-02-14 22:30 (stored as 46067.9375)"},
		"a date as text":  {calc.Reading{State: calc.Given, Raw: "2026-02-14", Text: "2026-02-14", Number: 1771027200}, ""},
		"a number":        {calc.Reading{State: calc.Given, Raw: "17", Number: 17}, ""},
		"a code of words": {calc.Reading{State: calc.Given, Raw: "17", Text: "17"}, ""},
		"not readable":    {calc.Reading{State: calc.Unreadable, Raw: "46067", Text: ""}, ""},
	}
	for name, c := range cases {
		if got := typedWords(c.reading); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
}

func TestSummaryNamesTheWorst(t *testing.T) {
	var out bytes.Buffer
	p := &program{out: &out}
	var s summary
	for i, name := range []string{"a", "b", "c", "d", "e", "f", "g"} {
		s.add(name, slices.Repeat([]check.Finding{{Level: protocols.Error}}, i))
	}
	s.addUnread()
	s.add("h", []check.Finding{{Level: protocols.Note}})
	p.showSummary(s)
	want := `9 workbooks: 1 without findings, 6 with errors, 1 with warnings or notes only, 1
  not readable
  6 errors              g
  5 errors              f
  4 errors              e
  3 errors              d
  2 errors              c
  and 1 more
`
	if out.String() != want {
		t.Errorf("got\n%s\nwant\n%s", out.String(), want)
	}
}
