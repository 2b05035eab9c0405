package calc

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"spatsheet/protocols"
	"spatsheet/protocols/document"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

// longest is the longest time that a formula of a protocol may give: 20 years of 365 days.
// Site choice: more is a slip in a setting.
const longest = 20 * 365 * 24 * time.Hour

var minute = quantity.MustUnit("min")

// Duration works out a time formula of the protocol for this batch, to the minute; no
// formula gives none.
//
// Range: within 20 years; else an error. Source: arithmetic.
func (s *Sheet) Duration(f *formula.Formula) (time.Duration, error) {
	return durationOf(f, s.numbers())
}

func durationOf(f *formula.Formula, numbers formula.Values) (time.Duration, error) {
	if f == nil {
		return 0, nil
	}
	base, err := f.Number(numbers)
	if err != nil {
		return 0, err
	}
	minutes := math.Round(minute.FromBase(base))
	if math.Abs(minutes) > longest.Minutes() {
		return 0, fmt.Errorf("comes to %.0f years; look at %s", minutes/60/24/365, f)
	}
	return time.Duration(minutes) * time.Minute, nil
}

// Lasts is the time from the batch's start until it can hand over: what the protocol
// says, else the time of its last timed step.
//
// Range: zero or more, within 20 years; else an error. Source: arithmetic.
func (s *Sheet) Lasts() (time.Duration, error) {
	if f := s.Protocol.Timetable.Lasts; f != nil {
		d, err := s.Duration(f)
		if err == nil && d < 0 {
			err = fmt.Errorf("comes out below zero")
		}
		if err != nil {
			return 0, fmt.Errorf("%s lasts %s: %w", s.Protocol.Ref(), f, err)
		}
		return d, nil
	}
	var last time.Duration
	for i := range s.Steps {
		if s.Steps[i].Definition.At != nil {
			last = max(last, s.Steps[i].Time.Sub(s.Plan.Start))
		}
	}
	return last, nil
}

// Repeats says how often the step at an index of Steps is done, and how long from one time
// to the next: as often as its first table has rows, but before the step that ends it.
//
// A step that is done once, or has no time, gives 0 and 1. Range: every above zero; else an
// error. Source: arithmetic.
func (s *Sheet) Repeats(i int) (every time.Duration, times int, err error) {
	step := &s.Steps[i]
	if step.Definition.At == nil || step.Definition.Every == nil || len(step.Tables) == 0 {
		return 0, 1, nil
	}
	if every, err = s.Duration(step.Definition.Every); err != nil {
		return 0, 0, err
	}
	if every <= 0 {
		return 0, 0, fmt.Errorf("%s, step %q: every %s is no time to wait", s.Protocol.Ref(), step.Definition.ID, step.Definition.Every)
	}
	times = max(1, len(step.Tables[0].Rows))
	for k := range s.Steps {
		if end := &s.Steps[k]; end.Definition.ID == step.Definition.Until {
			for times > 1 && !step.Time.Add(every*time.Duration(times-1)).Before(end.Time) {
				times--
			}
		}
	}
	return every, times, nil
}

// ExampleTimes are the first and the last of the times that the protocol gives as examples
// for a box, over all rows of its table.
//
// ok is false where the entry has none, or one that asks for readings. Range: within 20
// years of the start. Source: arithmetic.
func (s *Sheet) ExampleTimes(b Box) (first, last time.Time, ok bool) {
	f := b.Entry.Example.Formula
	if f == nil {
		return first, last, false
	}
	rows := 1
	for t := range s.Steps[b.Step].Tables {
		if table := &s.Steps[b.Step].Tables[t]; table.Definition == b.Table {
			rows = len(table.Rows)
		}
	}
	numbers := s.numbers()
	for row := 1; row <= rows; row++ {
		numbers.Set("row", float64(row))
		after, err := durationOf(f, numbers)
		if err != nil {
			return first, last, false
		}
		at := s.Plan.Start.Add(after)
		if row == 1 || at.Before(first) {
			first = at
		}
		if row == 1 || at.After(last) {
			last = at
		}
	}
	return first, last, true
}

// Occupies works out what a use of the site comes to for this batch, in the use's unit.
//
// Range: zero or more; else an error. Source: arithmetic.
func (s *Sheet) Occupies(u protocols.Use) (quantity.Quantity, error) {
	base, err := u.Needs.Number(s.numbers())
	if err == nil && base < 0 {
		err = fmt.Errorf("comes out below zero")
	}
	if err != nil {
		return quantity.Quantity{}, fmt.Errorf("%s of %s: %w", u.What, s.Protocol.Ref(), err)
	}
	return quantity.FromBase(base, u.Unit)
}

// numbers are the settings and amounts of the batch and the units of time, in base units.
func (s *Sheet) numbers() formula.Values {
	values := formula.NewValues()
	for name, unit := range protocols.ExampleUnits {
		values.Set(name, unit.Base(1))
	}
	for _, v := range s.Settings {
		values.Set(v.Setting.ID, v.Quantity.Base())
	}
	for _, a := range s.Amounts {
		values.Set(a.Definition.ID, a.Rounded.Base())
	}
	for i := range s.Steps {
		if def := s.Steps[i].Definition; def.At != nil {
			values.Set(def.TimeName(), s.Steps[i].Hours)
		}
	}
	return values
}

// AsDone is the sheet with the times of later steps reckoned from when earlier ones were
// done. done holds times by step id; a step that is not there is taken at its own time.
//
// Where no time hangs on one of these, it is s itself. Range: any times; a time that then
// cannot be worked out stays as printed. Source: arithmetic.
func (s *Sheet) AsDone(done map[string]time.Time) *Sheet {
	if len(done) == 0 {
		return s
	}
	other := *s
	other.Steps = slices.Clone(s.Steps)
	numbers := s.numbers()
	for i := range other.Steps {
		step := &other.Steps[i]
		if step.Definition.At == nil {
			continue
		}
		if after, err := durationOf(step.Definition.At, numbers); err == nil {
			step.Hours, step.Time = after.Hours(), s.Plan.Start.Add(after)
		}
		at := step.Time
		if t, ok := done[step.Definition.ID]; ok {
			at = t
		}
		numbers.Set(step.Definition.TimeName(), at.Sub(s.Plan.Start).Hours())
	}
	return &other
}

// Moved is the sheet of the same batch under another code and with another start: nothing
// but times depends on these.
//
// Range: any start. Source: arithmetic.
func (s *Sheet) Moved(batch string, start time.Time) *Sheet {
	plan := s.Plan
	plan.Batch, plan.Start = batch, start
	return s.of(plan)
}

// Alike gives the sheet that Scale gives for another plan, where this one differs from it in
// nothing that an amount, a row or a box depends on: same protocol, site, species and
// settings, letter by letter. ok is false where it may differ.
//
// The two sheets share what they have in common. Range: any plan.
// Source: arithmetic; see TestAlikeIsScale.
func (s *Sheet) Alike(p *protocols.Protocol, site Site, plan Plan) (sheet *Sheet, ok bool) {
	if s.Protocol != p || !bytes.Equal(s.Site.Text, site.Text) || s.Site.file != site.file ||
		s.Plan.Protocol != plan.Protocol || s.Plan.Species != plan.Species || s.Plan.Profile != plan.Profile ||
		!sameTexts(s.Plan.Settings, plan.Settings) || !sameTexts(s.Plan.Values, plan.Values) {
		return nil, false
	}
	return s.of(plan), true
}

func sameTexts(a, b map[string]Written) bool {
	return maps.EqualFunc(a, b, func(x, y Written) bool { return x.Text == y.Text })
}

// of is the sheet for a plan that has the same settings.
func (s *Sheet) of(plan Plan) *Sheet {
	other := *s
	other.Plan = plan
	other.Digest = digest(s.digestOf, plan)
	other.Steps = slices.Clone(s.Steps)
	for i := range other.Steps {
		if step := &other.Steps[i]; step.Definition.At != nil {
			step.Time = plan.Start.Add(step.Time.Sub(s.Plan.Start))
		}
	}
	return &other
}

// Smaller gives the settings of the batch's size for a batch by times as large, as they
// would stand in a plan; ok is false when a setting would leave its range.
//
// Range: by above 0. Source: arithmetic; whole things are rounded down, others to three
// figures downwards.
func (s *Sheet) Smaller(by float64) (settings map[string]Written, ok bool) {
	scaled, ok := resize(s.Settings, by, ofSize)
	if !ok {
		return nil, false
	}
	settings = map[string]Written{}
	for _, v := range scaled {
		if v.Setting.Scales {
			settings[v.Setting.ID] = Written{Text: v.Quantity.String(), Place: document.Place{File: "smaller batch"}}
		}
	}
	return settings, true
}

// WholeDays prints a time in days, rounded up: "1 day", "12 days".
//
// Range: any. Source: arithmetic.
func WholeDays(d time.Duration) string {
	return quantity.Counted(int((d+24*time.Hour-1)/(24*time.Hour)), "day", "days")
}

// Midnight is the start of a time's day, in the time's own zone.
//
// Range: any. Source: arithmetic.
func Midnight(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, t.Location())
}
