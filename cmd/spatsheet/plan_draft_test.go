package main

import (
	"errors"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/cmd/station"
	"spatsheet/protocols/document"
	"spatsheet/protocols/remedy"
)

func TestNextCode(t *testing.T) {
	plan := func(code, protocol, day string) calc.Plan {
		at, err := time.Parse("2006-01-02", day)
		if err != nil {
			t.Fatal(err)
		}
		return calc.Plan{Batch: code, Protocol: protocol, Start: at}
	}
	season := []calc.Plan{plan("KS-26-D1", "diatom-culture@1.0.0", "2026-01-05"), plan("KS-26-01", "limpet-spawning@1.0.0", "2026-02-14"),
		plan("KS-26-02", "limpet-spawning@2.0.0", "2026-03-02"), plan("KS-26-09", "nursery@1.0.0", "2026-03-09")}
	codes := func(plans []calc.Plan) (list []string) {
		for _, p := range plans {
			list = append(list, p.Batch)
		}
		return list
	}
	for name, c := range map[string]struct {
		plans    []calc.Plan
		more     []string // collected without a plan in the folder
		protocol string
		year     int
		want     string
	}{
		"empty folder: site and year":            {nil, nil, "nursery", 2026, "KS-26-01"},
		"pattern of the protocol":                {season, nil, "diatom-culture", 2026, "KS-26-D2"},
		"of the latest, after all that share it": {season, nil, "limpet-spawning", 2026, "KS-26-10"},
		"no plan of the protocol: of most":       {season, nil, "larval-rearing", 2026, "KS-26-10"},
		"a new year":                             {season, nil, "diatom-culture", 2027, "KS-27-D1"},
		"collected counts too":                   {season, []string{"KS-26-D7"}, "diatom-culture", 2026, "KS-26-D8"},
		"width is kept":                          {[]calc.Plan{plan("A-099", "x@1.0.0", "2026-01-01")}, nil, "x", 2026, "A-100"},
		"codes without a number":                 {[]calc.Plan{plan("SPRING", "x@1.0.0", "2026-01-01")}, nil, "x", 2026, "KS-26-01"},
	} {
		t.Run(name, func(t *testing.T) {
			got := nextCode(append(codes(c.plans), c.more...), c.plans, c.protocol, "KS", time.Date(c.year, 5, 1, 0, 0, 0, 0, time.UTC))
			if got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// TestCommandIsReadBackByAShell gives words with everything a shell may trip over.
func TestCommandIsReadBackByAShell(t *testing.T) {
	a := answers{protocol: "p@1.0.0", batch: "A-01", species: "Patella vulgata", date: "2026-02-14", start: "18:00",
		note: "it's \"$HOME\" `x` \\ !", parents: []string{"B-01", "B-02"}, settings: map[string]string{"contact": "20 min", "females": "18"}}
	words := strings.Join(shellWords(t, a.command(station.At("my season"), true)), "\n") + "\n"
	want := "spatsheet\nplan\n--folder\nmy season\n--replace\n--protocol\np@1.0.0\n--batch\nA-01\n--species\n" +
		"Patella vulgata\n--date\n2026-02-14\n--start\n18:00\n--note\n" +
		a.note + "\n--parent\nB-01\n--parent\nB-02\n--set\ncontact=20 min\n--set\nfemales=18\n"
	if words != want {
		t.Errorf("a shell reads\n%s\nwant\n%s", words, want)
	}
}

func TestFaultsNameTheirFlag(t *testing.T) {
	d := draft{batch: "A-01", protocol: "p@1.0.0", species: "Patella", date: "2026-02-14", start: "18:00",
		profile: "q@1.0.0", values: map[string]string{"days": "5 d"},
		settings: map[string]string{"females": "0", "larvae": "3"},
		parents:  []calc.Parent{{Batch: "B-01", Revision: 1, Gave: map[string]string{"larvae": "hatched"}}}}
	text, origins := d.written()
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	if len(lines) != len(origins) {
		t.Fatalf("%d lines, %d origins:\n%s", len(lines), len(origins), text)
	}
	for i, want := range map[string]string{"species: Patella": "--species Patella", "  days: 5 d": "--profile q@1.0.0", "  - batch: B-01": "--parent B-01",
		"  females: 0": "--set females=0", "  larvae: 3": "--parent B-01"} {
		at := 0
		for at < len(lines) && lines[at] != i {
			at++
		}
		if at == len(lines) || origins[at].flag != want {
			t.Errorf("line %q: want the flag %q in\n%s", i, want, text)
		}
	}
	file := errors.Join(document.Faults{{Place: document.Place{File: "x.yaml", Line: 3, Column: 1}, Says: "no good",
		Excerpt: "    3 | species: Patella\n      | ^"},
		{Place: document.Place{File: "x.yaml", Line: 99, Column: 1}, Says: "beyond"}}, errors.New("beakers:\n  needs 4"),
		document.Fault{Setting: "males", Says: "no males", Remedy: remedy.Remedy{Kind: remedy.GiveSetting, Of: "males"}},
		document.Fault{Place: document.Place{File: "site.yaml", Line: 2, Column: 4}, Says: "bad site"})
	want := "--species Patella: no good\nbeyond\nbeakers:\n  needs 4\nno males; add it: --set males=...\nsite.yaml:2:4: bad site"
	if got := byFlags(file, "x.yaml", origins).Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
