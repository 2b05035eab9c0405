package example

import (
	"maps"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
)

// animals has a rule that a variation can break: kept and returned make taken.
var animals = fixture.Protocol("bags", `settings:
  - {id: bags, label: Bags, unit: "1", given_by: plan, range: [1, 9], whole: yes, source: site choice, example: 3}
amounts:
  - {id: all, label: All, unit: "1", formula: bags}
steps:
  - id: count
    title: Count
    do: Count.
    entries:
      - {id: warmth, label: Temperature, kind: number, unit: °C, range: [5, 21], required: yes, example: 20}
      - {id: kept_all, label: Kept in all, kind: number, unit: animals, range: [0, 999], required: yes, works_out: sum(bag.kept), how: sum}
      - {id: planned_again, label: Bags, kind: number, unit: "1", range: [0, 9], required: yes, planned: all, tolerance: 1 %}
    tables:
      - id: bag
        title: Bag
        row: Bag
        count: bags
        columns:
          - {id: taken, label: Taken, kind: count, unit: animals, range: [0, 99], required: yes, example: 20 + row}
          - {id: returned, label: Returned, kind: count, unit: animals, range: [0, 99], required: yes, example: 4}
          - {id: kept, label: Kept, kind: count, unit: animals, range: [0, 99], required: yes, example: last(bag.taken) - last(bag.returned)}
checks:
  - {id: add-up, each: bag, rule: bag.kept + bag.returned == bag.taken, at: bag.kept, says: they do not add up, remedy: count again}
`)

func bags(t *testing.T, protocol string) *calc.Sheet {
	t.Helper()
	return fixture.Sheet(t, protocol, fixture.PlanOf("bags@1.0.0").With("batch", "KS-1").With("settings", "{bags: 3}"))
}

// only varies one entry, by a factor.
func only(id string, factor float64) Vary {
	return func(b calc.Box, plain float64) float64 {
		if b.Entry.ID == id {
			return plain * factor
		}
		return plain
	}
}

func TestFillVaried(t *testing.T) {
	cases := []struct {
		name  string
		vary  Vary
		given Values
		want  map[calc.Key]any
	}{
		{"nothing varied", only("", 1), nil, map[calc.Key]any{"warmth": 20.0, "bag.1.taken": 21.0, "bag.1.kept": 17.0, "kept_all": 54.0}},
		{"a warm day", only("warmth", 1.04), nil, map[calc.Key]any{"warmth": 20.8}},
		{"too warm: by two fifths of it", only("warmth", 1.1), nil, map[calc.Key]any{"warmth": 20.8}},
		{"far too warm: not at all", only("warmth", 2), nil, map[calc.Key]any{"warmth": 20.0}},
		{"what follows goes along", only("taken", 1.5), nil, map[calc.Key]any{"bag.1.taken": 32.0, "bag.1.kept": 28.0, "bag.3.taken": 35.0, "kept_all": 88.0}},
		{"what would not add up stays", only("kept", 0.8), nil, map[calc.Key]any{"bag.1.kept": 17.0, "kept_all": 54.0}},
		{"what is planned stays", only("planned_again", 2), nil, map[calc.Key]any{"planned_again": 3.0}},
		{"what is given stays, mistakes and all", only("warmth", 1.04), Values{"bag.1.returned": 9.0, "warmth": 18.0},
			map[calc.Key]any{"bag.1.returned": 9.0, "warmth": 18.0}},
		{"a mistake that is given hides no other", only("kept", 0.8), Values{"bag.1.kept": 9.0}, map[calc.Key]any{"bag.1.kept": 9.0, "bag.2.kept": 18.0}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			sheet := bags(t, animals)
			got, err := FillVaried(sheet, c.given, c.vary)
			if err != nil {
				t.Fatal(err)
			}
			for key, want := range c.want {
				if got[key] != want {
					t.Errorf("%s: got %v, want %v", key, got[key], want)
				}
			}
			again, err := FillVaried(sheet, c.given, c.vary)
			if err != nil || !maps.Equal(got, again) {
				t.Errorf("the second time it gives %v, %v; the first time %v", again, err, got)
			}
		})
	}
}

// TestFillKnowsWhatItWrote: numbers kept from box to box give what numbers made anew for
// each box give.
func TestFillKnowsWhatItWrote(t *testing.T) {
	sheet := bags(t, animals)
	want, err := Fill(sheet, nil)
	if err != nil {
		t.Fatal(err)
	}
	f := filler{sheet: sheet, boxes: sheet.Boxes(), out: Values{}, vary: only("", 1)}
	f.readings = make([]calc.Reading, len(f.boxes))
	for i, b := range f.boxes {
		f.readings[i] = calc.Reading{Key: b.Key, State: calc.Blank}
	}
	for i, b := range f.boxes {
		f.stale = nil // made anew
		v, err := f.value(b)
		if err != nil {
			t.Fatal(err)
		}
		f.put(i, v)
	}
	if !maps.Equal(f.out, want) {
		t.Errorf("made anew: %v\nkept: %v", f.out, want)
	}
}

func TestFillNeedsAnExample(t *testing.T) {
	sheet := bags(t, strings.Replace(animals, ", example: 20}", "}", 1))
	for name, fill := range map[string]func() (Values, error){
		"plain":  func() (Values, error) { return Fill(sheet, nil) },
		"varied": func() (Values, error) { return FillVaried(sheet, nil, only("", 1)) },
	} {
		if _, err := fill(); err == nil || !strings.Contains(err.Error(), "warmth (Temperature): the protocol gives no example") {
			t.Errorf("%s: got %v", name, err)
		}
	}
}
