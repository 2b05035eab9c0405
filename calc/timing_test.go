package calc_test

import (
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
)

// nursery is a sheet of the shipped protocol for the nursery: days and weeks that repeat.
func nursery(t *testing.T) *calc.Sheet {
	t.Helper()
	p := fixture.Shipped(t, "nursery@1.0.0")
	return fixture.Scaled(t, p, fixture.Site(t), fixture.FromExamples(p))
}

func TestRepeats(t *testing.T) {
	s := nursery(t)
	end, seen := s.Plan.Start, 0
	for i := range s.Steps {
		if s.Steps[i].Definition.ID == "lengths" {
			end = s.Steps[i].Time
		}
	}
	for i := range s.Steps {
		step := &s.Steps[i]
		every, times, err := s.Repeats(i)
		if err != nil {
			t.Fatal(err)
		}
		if step.Definition.Every == nil {
			if every != 0 || times != 1 {
				t.Errorf("step %s, done once: got every %v, %d times", step.Definition.ID, every, times)
			}
			continue
		}
		seen++
		last := step.Time.Add(every * time.Duration(times-1))
		if want, err := s.Duration(step.Definition.Every); err != nil || every != want || times < 2 || !last.Before(end) || last.Add(2*every).Before(end) {
			t.Errorf("step %s: got every %v, %d times, the last at %v; want every %v until %v", step.Definition.ID, every, times, last, want, end)
		}
	}
	if seen != 2 {
		t.Errorf("%d steps that repeat, want 2", seen)
	}
}

func TestExampleTimes(t *testing.T) {
	s := nursery(t)
	i, ok := s.BoxAt("days_log.3.out_from")
	if !ok {
		t.Fatal("no box days_log.3.out_from")
	}
	rows := 0
	for _, b := range s.Boxes() {
		if b.Name == "days_log.out_from" {
			rows++
		}
	}
	first, last, ok := s.ExampleTimes(s.Boxes()[i]) // example: day * row
	if !ok || first.Sub(s.Plan.Start) != 24*time.Hour || last.Sub(s.Plan.Start) != time.Duration(rows)*24*time.Hour || rows < 5 {
		t.Errorf("got %v to %v, %v, of %d rows", first, last, ok, rows)
	}
	if i, ok = s.BoxAt("first_stop"); !ok {
		t.Fatal("no box first_stop")
	}
	if _, _, ok = s.ExampleTimes(s.Boxes()[i]); ok {
		t.Error("an entry without an example has example times")
	}
}
