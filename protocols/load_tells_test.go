package protocols

import (
	"os"
	"spatsheet/calc/functions"
	"strings"
	"testing"
)

// TestTellsFaults breaks one declaration of a shipped protocol at a time.
func TestTellsFaults(t *testing.T) {
	for _, c := range []struct{ name, protocol, from, to, want string }{
		{"no such entry", "shore-collection", "shore: shore_site", "shore: shore_sight",
			`there is no entry "shore_sight", nor a column of that name (table.column); did you mean "shore_site"?`},
		{"no such name in a formula", "shore-collection", "dead: dead_on_arrival", "dead: dead_on_arival", `dead_on_arival`},
		{"a number of another thing", "shore-collection", "landed: animals_collected", "landed: hours_in_air", `the formula comes out as`},
		{"a column for an entry", "shore-collection", "permit: permit", "permit: bag_counts.place", `"bag_counts.place" is a column; permit wants a single entry`},
		{"an entry for a column", "shore-collection", "place: bag_counts.place", "place: permit", `"permit" is a single entry; place wants a column`},
		{"the wrong kind", "shore-collection", "animals: bag_counts.kept", "animals: bag_counts.place",
			`"bag_counts.place" is a text; animals wants one of: number, count`},
		{"an unknown part", "shore-collection", "    landed: ", "    landet: ", `unknown key "landet"`},
		{"a part that must be there", "shore-collection", "    taken: sum(bag_counts.taken)\n", "", `"taken" is missing; add it`},
		{"a length in another unit", "shore-collection", "of: [lengths.first", "of: [bag_counts.kept, lengths.first", `"bag_counts.kept" is in animals; of wants mm`},
		{"a sample with neither", "shore-collection",
			", of: [lengths.first, lengths.second, lengths.third, lengths.fourth, lengths.fifth]", "",
			`a sample has either of: columns in mm, or mean`},
		{"other rows", "out-planting", "live: seen.live", "live: plot_release.number", `seen.date and plot_release.number are read row by row`},
		{"an unknown topic", "out-planting", "  release:\n    shore", "  releases:\n    shore", `unknown key "releases"`},
		{"larvae without a time", "limpet-spawning", "alive: changes.alive, at: changes.at", "alive: changes.alive", `when were the larvae counted?`},
		{"a first count without a time", "limpet-spawning", "first_at: hatched_at, ", "", `first and first_at belong together`},
		{"an age from nowhere", "larval-rearing", "    fertilised: fertilised_at\n", "", ``},
		{"classes that end nowhere", "broodstock-acclimation", "    daily: {dead: daily.dead, removed: daily.removed, alive: daily.alive}\n", "", `give daily too`},
		{"no part of deaths", "broodstock-acclimation",
			"  deaths:\n    daily: {dead: daily.dead, removed: daily.removed, alive: daily.alive}\n" +
				"    classes: {came_in: classes.came_in, counts: [{alive: classes.day_7, at: 7 d}, {alive: " +
				"classes.at_end}]}\n", "  deaths: {}\n", `deaths tells nothing`},
		{"a time that is none", "broodstock-acclimation", "at: 7 d", "at: 7 mm", `mm`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text, err := os.ReadFile("library/" + c.protocol + "/1.0.0.yaml")
			if err != nil {
				t.Fatal(err)
			}
			at := strings.LastIndex(string(text), "\ntells:")
			broken := string(text[:at]) + strings.Replace(string(text[at:]), c.from, c.to, 1)
			if broken == string(text) {
				t.Fatalf("%q does not stand in the tells of %s", c.from, c.protocol)
			}
			_, err = Load("s.yaml", []byte(broken), functions.All())
			switch {
			case c.want == "" && err != nil:
				t.Errorf("refused: %v", err)
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}

// TestTellsOfAShippedProtocol reads each shape once.
func TestTellsOfAShippedProtocol(t *testing.T) {
	text, err := os.ReadFile("library/out-planting/1.0.0.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := Load("o.yaml", text, functions.All())
	if err != nil {
		t.Fatal(err)
	}
	r := p.Tells.Release
	if r.Lost.Formula.String() != "died_marking + died_transport" || len(r.Mark) != 2 || r.Mark[1].Entry.Label != "Colour or numbers" {
		t.Errorf("a number or words: %+v", r)
	}
	if r.VisitLive.Table == nil || r.VisitLive.Table.ID != "seen" || r.VisitLive.Entry != &r.VisitLive.Table.Columns[2] {
		t.Errorf("a series: %+v", r.VisitLive)
	}
	if at := p.Tells.Lengths.Samples[0].At; at.Name != "release_day" || at.Table != nil {
		t.Errorf("a time: %+v", at)
	}
	var parts []string
	for _, d := range p.Tells.Declared {
		parts = append(parts, d.Part+"="+d.By)
	}
	if got := strings.Join(parts, "; "); !strings.HasPrefix(got, "release.shore=shore; release.permit=permit; ") ||
		!strings.Contains(got, "release.mark=mark, mark_code; release.released=released; ") {
		t.Errorf("declared: %s", got)
	}
}
