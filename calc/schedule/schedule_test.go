package schedule_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/calc/schedule"
	"spatsheet/protocols"
)

// Three invented protocols. A spawn needs plates ready 2 d before its stocking on day 5;
// plates take 8 d and need a culture 1 d before; a culture takes 6 d. A nursery follows the
// count on day 12. Times of opening: 09:00.
var invented = map[string]string{
	"spawn": head("spawn", "Patella") + `settings:
  - {id: wanted, label: Wanted, unit: plates, given_by: plan, range: [1, 1000], whole: yes, scales: yes, source: site choice, example: 40 plates}
amounts:
  - {id: plates, label: Plates, unit: plates, formula: wanted, round: {to: whole}}
steps:
  - {id: night, title: Night, at: 0 h, do: Spawn them.}
  - {id: stock, title: Stock, at: 5 d, do: Stock them.}
  - {id: count, title: Count, at: 12 d, do: Count them.}
needs_ready:
  - {protocol: plates, by: stock, spare: 2 d, keeps: 10 d, sets: {seeded: plates}, why: the larvae do not wait}
follows:
  - {protocol: nursery, after: count, wait: 1 d, sets: {kept: plates}}
uses:
  - {what: plates in tanks, needs: plates, unit: plates, has: plate.count, from: stock}
`,
	"plates": head("plates", "Patella") + `settings:
  - {id: seeded, label: Seeded, unit: plates, given_by: plan, range: [10, 1000], whole: yes, scales: yes, source: site choice, example: 20 plates}
amounts:
  - {id: set, label: Set, unit: plates, formula: seeded, round: {to: whole}}
steps:
  - {id: seed, title: Seed, at: 0 h, do: Seed.}
  - id: look
    title: Look
    at: 1 d
    every: 2 d
    until: ready
    do: Look.
    tables:
      - {id: looks, title: Looks, row: Look, count: set, partial: yes, columns: [{id: seen, label: Seen, kind: text, example: green}]}
  - {id: ready, title: Ready, at: 8 d, do: Look.}
needs_ready:
  - {protocol: culture, by: seed, spare: 1 d, why: cells to pour}
uses:
  - {what: plates in tanks, needs: set, unit: plates, has: plate.count, from: seed}
`,
	"culture": head("culture", "Navicula") + `settings:
  - {id: litres, label: Litres, unit: L, given_by: plan, range: [0.1, 100], scales: yes, source: site choice, example: 20 L}
amounts:
  - {id: made, label: Made, unit: L, formula: litres}
steps:
  - {id: water, title: Water, at: -24 h, do: Filter.}
  - {id: inoculate, title: Inoculate, at: 0 h, do: Pour.}
lasts: 6 d
needs_ready:
  - {protocol: culture, by: inoculate, rounds: 2, why: scaled up}
`,
	"nursery": head("nursery", "Patella") + `settings:
  - {id: kept, label: Kept, unit: plates, given_by: plan, range: [1, 1000], whole: yes, scales: yes, source: site choice, example: 5 plates}
amounts:
  - {id: plates, label: Plates, unit: plates, formula: kept, round: {to: whole}}
steps:
  - {id: start, title: Start, at: 0 h, do: Start.}
  - {id: end, title: End, at: 20 d, do: End.}
uses:
  - {what: plates in tanks, needs: plates, unit: plates, has: plate.count, from: start, to: end}
`,
}

func head(id, genus string) string {
	return fmt.Sprintf("protocol: %s\nversion: 1.0.0\ntitle: %s\nstage: test\npurpose: To be scheduled.\n"+
		"applies_to: [%s]\nsources: []\nchanges:\n  - {version: 1.0.0, note: first release}\n", id, id, genus)
}

func loaded(ref string) (*protocols.Protocol, error) {
	id, _, _ := strings.Cut(ref, "@")
	text, ok := invented[id]
	if !ok {
		return nil, fmt.Errorf("there is no protocol %q", ref)
	}
	if p := loadedOnce[id]; p != nil {
		return p, nil
	}
	p, err := protocols.Load(id+".yaml", []byte(text), functions.All())
	loadedOnce[id] = p
	return p, err
}

var loadedOnce = map[string]*protocols.Protocol{}

func siteOf(t testing.TB, plates string) calc.Site {
	t.Helper()
	site, err := calc.ReadSite("site.yaml", []byte("site: Test\ncode: T\npaper: A4\nequipment:\n"+
		"  plate: {count: "+plates+"}\nmeasures: [{label: jug, holds: 100 L, step: 1 L}]\n"))
	if err != nil {
		t.Fatal(err)
	}
	return site
}

func at(text string) time.Time {
	when, err := time.Parse("2006-01-02 15:04", text)
	if err != nil {
		panic(err)
	}
	return when
}

func spawnOn(dates ...string) []schedule.Target {
	var out []schedule.Target
	for _, d := range dates {
		out = append(out, schedule.Target{Protocol: "spawn", Start: at(d)})
	}
	return out
}

func order(t testing.TB, plates string, targets []schedule.Target, plans ...*calc.Sheet) schedule.Order {
	return schedule.Order{Site: siteOf(t, plates), Targets: targets, Plans: plans, Protocol: loaded, Species: "Patella vulgata", Opens: 9 * time.Hour}
}

func planOf(t testing.TB, o schedule.Order, batch, protocol, start, settings string) *calc.Sheet {
	t.Helper()
	p, err := loaded(protocol)
	if err != nil {
		t.Fatal(err)
	}
	species := p.AppliesTo[0] + " vulgata"
	plan, err := calc.ReadPlan("plan.yaml", []byte(fmt.Sprintf("batch: %s\nprotocol: %s@1.0.0\nspecies: %s\ndate: %s\n"+
		"start: %q\n%s", batch, protocol, species, start[:10], start[11:], settings)))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := calc.Scale(p, o.Site, plan)
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

func find(t testing.TB, s schedule.Schedule, code string) *schedule.Scheduled {
	t.Helper()
	for _, b := range s.Batches {
		if b.Code == code {
			return b
		}
	}
	t.Fatalf("there is no batch %s among %v", code, codes(s))
	return nil
}

func codes(s schedule.Schedule) []string {
	var out []string
	for _, b := range s.Batches {
		out = append(out, b.Code)
	}
	return out
}

// TestBackwardsByHand: spawning on 30 March 18:00, stocking on 4 April 18:00.
// Plates ready by 2 April 18:00, so begun by 25 March 18:00: opened 25 March 09:00, slack 9 h.
// Culture ready a day before 25 March 09:00, begun by 18 March 09:00: that is an opening.
// The round before it ready by 18 March 09:00, begun by 12 March 09:00, and one by 6 March.
// Nursery a day after 11 April 18:00, at the next opening: 13 April 09:00.
func TestBackwardsByHand(t *testing.T) {
	s, err := schedule.Arrange(order(t, "1000", spawnOn("2026-03-30 18:00")))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		code, start, latest, forWhom, takenOver string
		slack                                   time.Duration
	}{
		{"S1-CULTURE-3", "2026-03-06 09:00", "2026-03-06 09:00", "S1-CULTURE-2", "2026-03-12 09:00", 0},
		{"S1-CULTURE-2", "2026-03-12 09:00", "2026-03-12 09:00", "S1-CULTURE", "2026-03-18 09:00", 0},
		{"S1-CULTURE", "2026-03-18 09:00", "2026-03-18 09:00", "S1-PLATES", "2026-03-25 09:00", 0},
		{"S1-PLATES", "2026-03-25 09:00", "2026-03-25 18:00", "S1-SPAWN", "2026-04-04 18:00", 9 * time.Hour},
		{"S1-SPAWN", "2026-03-30 18:00", "", "", "2026-04-13 09:00", 0},
		{"S1-NURSERY", "2026-04-13 09:00", "", "S1-SPAWN", "", 0},
	} {
		b := find(t, s, c.code)
		if !b.Start.Equal(at(c.start)) || b.Slack != c.slack || b.Planned {
			t.Errorf("%s: start %s, slack %s", c.code, b.Start, b.Slack)
		}
		for _, pair := range []struct {
			got  time.Time
			want string
		}{{b.Latest, c.latest}, {b.TakenOver, c.takenOver}} {
			if pair.want == "" && !pair.got.IsZero() || pair.want != "" && !pair.got.Equal(at(pair.want)) {
				t.Errorf("%s: got %s, want %q", c.code, pair.got, pair.want)
			}
		}
		if got := b.For; c.forWhom == "" && got != nil || c.forWhom != "" && (got == nil || got.Code != c.forWhom) {
			t.Errorf("%s is for %v, want %s", c.code, got, c.forWhom)
		}
	}
	if len(s.Batches) != 6 || len(s.Clashes) != 0 {
		t.Errorf("%v, %+v", codes(s), s.Clashes)
	}
	// The plates are as many as the spawning asks for; looked at on days 1, 3, 5 and 7.
	plates := find(t, s, "S1-PLATES")
	if q, _ := plates.Sheet.Amount("set"); q.Rounded.Value() != 40 {
		t.Errorf("%s plates, want 40", q.Rounded)
	}
	if look := plates.Events[1]; look.Times != 4 || look.Every != 48*time.Hour || !look.Last().Equal(at("2026-04-01 09:00")) {
		t.Errorf("looks: %+v", look)
	}
	if culture := find(t, s, "S1-CULTURE"); culture.Sheet.Plan.Species != "Navicula" || !culture.Begins().Equal(at("2026-03-17 09:00")) {
		t.Errorf("culture of %s begins %s", culture.Sheet.Plan.Species, culture.Begins())
	}
}

// TestLoadsByHand: plates of one spawning are in tanks from 25 March to 3 April as seeded,
// from 4 April to 12 April as stocked, from 13 April for 20 days in the nursery: 40 each day.
func TestLoadsByHand(t *testing.T) {
	s, err := schedule.Arrange(order(t, "1000", spawnOn("2026-03-30 18:00")))
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Loads) != 1 || s.Loads[0].Has != "plate.count" || s.Loads[0].Limit != 1000 || !s.Loads[0].Known {
		t.Fatalf("loads: %+v", s.Loads)
	}
	days := s.Loads[0].Days
	if len(days) != 40 || !days[0].Day.Equal(at("2026-03-25 00:00")) || !days[39].Day.Equal(at("2026-05-03 00:00")) {
		t.Fatalf("%d days, from %s", len(days), days[0].Day)
	}
	for _, d := range days {
		if d.Sum != 40 || len(d.Batches) != 1 {
			t.Errorf("%s: %g for %v, want 40 for one batch", d.Day, d.Sum, d.Batches)
		}
	}
}

// TestClashHasAWayOut: two spawnings 5 days apart ask for 80 plates of 60 for as long as
// both are in tanks: 40 days less 5. A shift must leave less than a day in common, so 35
// days more; the largest second spawning that fits has 20 plates.
func TestClashHasAWayOut(t *testing.T) {
	o := order(t, "60", spawnOn("2026-03-30 18:00", "2026-04-04 18:00"))
	s, err := schedule.Arrange(o)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Clashes) != 1 {
		t.Fatalf("clashes: %+v", s.Clashes)
	}
	c := s.Clashes[0]
	if c.Level != protocols.Error || !c.Day.Equal(at("2026-03-30 00:00")) || !c.Until.Equal(at("2026-05-03 00:00")) {
		t.Errorf("clash from %s to %s", c.Day, c.Until)
	}
	if !strings.Contains(c.Says, "plates in tanks: 80 plates asked for on 2026-03-30 by S1-PLATES, S2-PLATES, the site has 60 plates") {
		t.Errorf("says %q", c.Says)
	}
	if want := "move S2-SPAWN 35 days later, to 2026-05-09; or plan S2-SPAWN smaller: wanted 20 plates"; c.Remedy != want {
		t.Errorf("remedy %q, want %q", c.Remedy, want)
	}
	// The way out is one: tried, it leaves no clash.
	for _, targets := range [][]schedule.Target{
		spawnOn("2026-03-30 18:00", "2026-05-09 18:00"),
		{o.Targets[0], {Protocol: "spawn", Start: o.Targets[1].Start, Settings: map[string]calc.Written{"wanted": {Text: "20"}}}},
	} {
		if s, err := schedule.Arrange(order(t, "60", targets)); err != nil || len(s.Clashes) != 0 {
			t.Errorf("%v, %+v", err, s.Clashes)
		}
	}
}

func TestPlansAreTaken(t *testing.T) {
	o := order(t, "1000", nil)
	spawning := "settings: {wanted: 30}\n"
	cases := []struct {
		name, start, parents, says string
		taken                      bool
		slack                      time.Duration
	}{
		{"in time", "2026-03-24 09:00", "", "", true, 33 * time.Hour},
		{"to the hour", "2026-03-25 18:00", "", "", true, 0},
		{"late", "2026-03-27 18:00", "", "KS-P can hand over on 2026-04-04, but KS-S needs it by 2026-04-02", true, -48 * time.Hour},
		{"too old a film", "2026-03-10 09:00", "", "", false, 0},
		{"too old, but named as parent", "2026-03-10 09:00", "parents: [{batch: KS-P, revision: 1}]\n", "", true, (15*24 + 9) * time.Hour},
		{"begun after it is needed", "2026-04-05 09:00", "", "", false, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s, err := schedule.Arrange(order(t, "1000", nil,
				planOf(t, o, "KS-S", "spawn", "2026-03-30 18:00", c.parents+spawning),
				planOf(t, o, "KS-P", "plates", c.start, "settings: {seeded: 30}\n")))
			if err != nil {
				t.Fatal(err)
			}
			b := find(t, s, "KS-P")
			if taken := b.For != nil && b.For.Code == "KS-S"; taken != c.taken || b.Slack != c.slack || !b.Planned {
				t.Errorf("taken %v, slack %s", taken, b.Slack)
			}
			if proposed := slices.ContainsFunc(codes(s), func(code string) bool { return strings.HasSuffix(code, "-PLATES") }); proposed == c.taken {
				t.Errorf("proposed %v: %v", proposed, codes(s))
			}
			if c.says == "" && len(s.Clashes) > 0 || c.says != "" && (len(s.Clashes) != 1 || s.Clashes[0].Says != c.says) {
				t.Errorf("clashes: %+v", s.Clashes)
			}
		})
	}
}

// TestTodayIsTooLate: the first round of culture begins with water on 5 March 09:00; on 10
// March 12:00 that is 6 days too late, so the spawning of 30 March moves to 5 April.
func TestTodayIsTooLate(t *testing.T) {
	o := order(t, "1000", spawnOn("2026-03-30 18:00"))
	o.Today = at("2026-03-10 12:00")
	s, err := schedule.Arrange(o)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Clashes) != 1 || s.Clashes[0].Says != "S1-CULTURE-3 should have begun on 2026-03-05 for S1-SPAWN on "+
		"2026-03-30" || !strings.HasPrefix(s.Clashes[0].Remedy, "6 days later, on 2026-04-05, is the first day") {
		t.Errorf("clashes: %+v", s.Clashes)
	}
	o.Have = []string{"culture"}
	if s, err = schedule.Arrange(o); err != nil || len(s.Clashes) != 0 || len(s.Batches) != 3 {
		t.Errorf("%v, %v, %+v", err, codes(s), s.Clashes)
	}
}

func TestShiftingASpawningShiftsEverything(t *testing.T) {
	base := order(t, "1000", spawnOn("2026-03-30 18:00", "2026-04-04 20:30"))
	before, err := schedule.Arrange(base)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(-400, 400).Draw(r, "days")
		moved := base
		moved.Targets = slices.Clone(base.Targets)
		for i := range moved.Targets {
			moved.Targets[i].Start = moved.Targets[i].Start.AddDate(0, 0, n)
		}
		after, err := schedule.Arrange(moved)
		if err != nil || len(after.Batches) != len(before.Batches) || len(after.Clashes) != len(before.Clashes) {
			r.Fatalf("%v, %v", err, codes(after))
		}
		for i, b := range before.Batches {
			x := after.Batches[i]
			same := x.Code == b.Code && x.Slack == b.Slack && len(x.Events) == len(b.Events) &&
				x.Start.Equal(b.Start.AddDate(0, 0, n)) && x.Ready.Equal(b.Ready.AddDate(0, 0, n))
			if !same || !b.Latest.IsZero() && !x.Latest.Equal(b.Latest.AddDate(0, 0, n)) {
				r.Errorf("%s: %+v became %+v", b.Code, b, x)
			}
			for e := range b.Events {
				if !x.Events[e].Start.Equal(b.Events[e].Start.AddDate(0, 0, n)) {
					r.Errorf("%s %s", b.Code, b.Events[e].Step.Definition.ID)
				}
			}
		}
		for i, d := range before.Loads[0].Days {
			if x := after.Loads[0].Days[i]; x.Sum != d.Sum || !x.Day.Equal(d.Day.AddDate(0, 0, n)) {
				r.Errorf("%s: %g became %g on %s", d.Day, d.Sum, x.Sum, x.Day)
			}
		}
	})
}

// TestSlackBelowZeroIsAClash, whatever is planned and when; and nothing takes over from a
// batch before it can hand over without one.
func TestSlackBelowZeroIsAClash(t *testing.T) {
	o := order(t, "1000", nil)
	rapid.Check(t, func(r *rapid.T) {
		start := func(name string) string {
			return at("2026-03-01 00:00").Add(time.Duration(rapid.IntRange(0, 60*24).Draw(r, name)) * time.Hour).Format("2006-01-02 15:04")
		}
		targets := []schedule.Target{{Protocol: "spawn", Start: at(start("spawn"))}}
		s, err := schedule.Arrange(order(t, "1000", targets,
			planOf(t, o, "KS-P", "plates", start("plates"), "settings: {seeded: 30}\n"),
			planOf(t, o, "KS-C", "culture", start("culture"), "settings: {litres: 10}\n"),
			planOf(t, o, "KS-S", "spawn", start("second"), "settings: {wanted: 30}\n")))
		if err != nil {
			r.Fatal(err)
		}
		for _, b := range s.Batches {
			told := slices.ContainsFunc(s.Clashes, func(c schedule.Clash) bool {
				return c.Level == protocols.Error && slices.Contains(c.Batches, b.Code)
			})
			if b.Slack < 0 && !told {
				r.Errorf("%s: slack %s and no clash", b.Code, b.Slack)
			}
			if !b.TakenOver.IsZero() && b.TakenOver.Before(b.Ready) && !told {
				r.Errorf("%s is taken over on %s, ready on %s", b.Code, b.TakenOver, b.Ready)
			}
			if !b.Planned && b.Slack < 0 {
				r.Errorf("%s is proposed too late", b.Code)
			}
		}
	})
}

func TestArrangeRefuses(t *testing.T) {
	invented["hen"] = head("hen", "Patella") + "settings: []\namounts: []\n" +
		"steps: [{id: lay, title: Lay, at: 0 h, do: Lay.}]\nneeds_ready: [{protocol: egg, by: lay, why: eggs}]\n"
	invented["egg"] = head("egg", "Patella") + "settings: []\namounts: []\n" +
		"steps: [{id: hatch, title: Hatch, at: 0 h, do: Hatch.}]\nneeds_ready: [{protocol: hen, by: hatch, why: hens}]\n"
	invented["lost"] = head("lost", "Patella") + "settings: []\namounts: []\n" +
		"steps: [{id: hatch, title: Hatch, at: 0 h, do: Hatch.}]\nneeds_ready: [{protocol: gone, by: hatch, why: hens}]\n"
	for _, c := range []struct{ protocol, species, want string }{
		{"hen", "Patella", "protocols need each other in a circle: hen → egg → hen"},
		{"lost", "Patella", `lost@1.0.0 needs gone: there is no protocol "gone"`},
		{"spawn", "Haliotis", "is written for Patella"},
	} {
		o := order(t, "100", []schedule.Target{{Protocol: c.protocol, Start: at("2026-03-01 18:00")}})
		o.Species = c.species
		if _, err := schedule.Arrange(o); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.protocol, err, c.want)
		}
	}
}

func TestUnknownOfTheSiteIsANote(t *testing.T) {
	o := order(t, "100", spawnOn("2026-03-30 18:00"))
	delete(o.Site.Settings, "plate.count")
	s, err := schedule.Arrange(o)
	if err != nil || len(s.Clashes) != 1 || s.Clashes[0].Level != protocols.Note || !strings.Contains(s.Clashes[0].Says, "does not say plate.count") {
		t.Errorf("%v, %+v", err, s.Clashes)
	}
}

// TestClashesErrorsFirstThenByDay: the note of what the site does not say is made before days
// that ask too much are looked for, and has no day; these are errors, by day.
func TestClashesErrorsFirstThenByDay(t *testing.T) {
	invented["shelf"] = head("shelf", "Patella") + `settings:
  - {id: wanted, label: Wanted, unit: plates, given_by: plan, range: [1, 1000], source: site choice, example: 50 plates}
amounts:
  - {id: plates, label: Plates, unit: plates, formula: wanted}
steps: [{id: lay, title: Lay, at: 0 h, do: Lay.}]
uses:
  - {what: shelves, needs: plates, unit: plates, has: shelf.count, from: lay}
  - {what: plates in tanks, needs: plates, unit: plates, has: plate.count, from: lay}
`
	s, err := schedule.Arrange(order(t, "40", []schedule.Target{{Protocol: "shelf", Start: at("2026-04-02 18:00")},
		{Protocol: "shelf", Start: at("2026-03-30 18:00")}}))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range s.Clashes {
		got = append(got, string(c.Level)+" "+c.Day.Format("2006-01-02"))
	}
	if want := "error 2026-03-30, error 2026-04-02, note 0001-01-01"; strings.Join(got, ", ") != want {
		t.Errorf("got %s, want %s", strings.Join(got, ", "), want)
	}
}
