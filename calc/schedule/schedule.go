// Package schedule reckons when batches must start for what is hoped for, what stands in
// their way, and what of the site they take on each day.
//
// What may enter: protocols with their timetables, planned and collected batches, the day it
// is. What may not: files, a clock, printed forms.
package schedule

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// Order is what a schedule is made for. Times are clock times of the site, without a zone.
type Order struct {
	Site     calc.Site
	Targets  []Target
	Plans    []*calc.Sheet                                 // batches planned already
	Protocol func(ref string) (*protocols.Protocol, error) // by id or id@version
	Species  string                                        // of proposed batches
	Profile  string                                        // id@version of its profile; empty when there is none
	Values   map[string]calc.Written                       // the profile's values
	Have     []string                                      // protocols whose yield is at hand: no batch is proposed
	Opens    time.Duration                                 // time of day at which proposed batches start
	Today    time.Time                                     // what should have begun before is a clash; zero: not looked at
	scaled   map[string]scaling                            // batches computed already, while ways out are tried
}

// Target is a batch that everything else is reckoned from, such as a spawning.
type Target struct {
	Protocol string
	Start    time.Time
	Settings map[string]calc.Written // over the examples of the protocol's settings
}

// Schedule is when everything is done, and what stands in the way.
type Schedule struct {
	Batches []*Scheduled // by their first event, then code
	Loads   []Load       // by the site's name
	Clashes []Clash      // errors first, then by day
	Today   time.Time    // the order's: what is asked for on days before it is no clash; zero: all days are looked at
}

// Scheduled is one batch in the schedule.
type Scheduled struct {
	Code      string // of its plan, or made up: S1-PLATE-SEEDING
	Sheet     *calc.Sheet
	Planned   bool       // a plan of the season folder; else proposed
	Root      *Scheduled // what it is made for; itself for a target
	For       *Scheduled // the batch that takes over from it, or that it follows
	Why       string
	Start     time.Time
	Ready     time.Time     // when it can hand over
	Latest    time.Time     // latest start; zero for what nothing waits for
	Slack     time.Duration // from Start to Latest; below zero only with a clash
	TakenOver time.Time     // when the next batch takes over; zero when none does
	Events    []Event
	target    int // index into Order.Targets, or -1
}

// Event is a step of a batch on the calendar.
type Event struct {
	Step  *calc.Step
	Start time.Time
	Every time.Duration // between repeats; zero when done once
	Times int           // from 1
}

// Last is when the event happens the last time.
func (e Event) Last() time.Time { return e.Start.Add(e.Every * time.Duration(e.Times-1)) }

// Begins is the time of the batch's first event, which may lie before its start.
func (b *Scheduled) Begins() time.Time {
	first := b.Start
	for _, e := range b.Events {
		if e.Start.Before(first) {
			first = e.Start
		}
	}
	return first
}

// Ends is the time of the batch's last event, or when it can hand over.
func (b *Scheduled) Ends() time.Time {
	last := b.Ready
	for _, e := range b.Events {
		if e.Last().After(last) {
			last = e.Last()
		}
	}
	return last
}

// Clash is something that does not go together.
type Clash struct {
	Level   protocols.Level
	Day     time.Time
	Until   time.Time // the last day of it
	Batches []string
	Says    string
	Remedy  string
	has     string // what runs short, for Loads
	alone   bool   // one batch does not fit the site by itself
}

// Arrange makes a schedule: backwards from each target and plan to what must be ready for
// it (latest starts and slack), forwards to what follows from it, with what every day asks
// of the site, and for each clash a way out that was tried and fits.
//
// Proposed batches start at the last time of opening before their latest start; a planned
// batch is taken for a need when it is named as parent, or can hand over in time.
// Error: a protocol, setting or time that cannot be worked out; protocols that need each
// other in a circle. Source: arithmetic of the critical path, backward and forward pass.
func Arrange(order Order) (Schedule, error) {
	order.Protocol, order.scaled = remembered(order.Protocol), map[string]scaling{}
	a, err := arrange(order)
	if err != nil {
		return Schedule{}, err
	}
	if err := a.waysOut(); err != nil {
		return Schedule{}, err
	}
	slices.SortStableFunc(a.out.Clashes, func(x, y Clash) int {
		if c := rank(x.Level) - rank(y.Level); c != 0 {
			return c
		}
		return x.Day.Compare(y.Day)
	})
	return a.out, nil
}

// scaling is what came of computing a batch.
type scaling struct {
	sheet *calc.Sheet
	err   error
}

// remembered loads each protocol once: ways out are tried by arranging many times.
func remembered(load func(string) (*protocols.Protocol, error)) func(string) (*protocols.Protocol, error) {
	known := map[string]*protocols.Protocol{}
	return func(ref string) (*protocols.Protocol, error) {
		if p := known[ref]; p != nil {
			return p, nil
		}
		p, err := load(ref)
		if err == nil {
			known[ref] = p
		}
		return p, err
	}
}

func rank(l protocols.Level) int {
	return slices.Index([]protocols.Level{protocols.Error, protocols.Warning, protocols.Note}, l)
}

// arranger holds a schedule in the making.
type arranger struct {
	order Order
	out   Schedule
	codes map[string]bool
}

// arrange is Arrange without the ways out.
func arrange(order Order) (*arranger, error) {
	a := &arranger{order: order, out: Schedule{Today: order.Today}, codes: map[string]bool{}}
	roots, err := a.roots()
	if err != nil {
		return nil, err
	}
	for _, r := range roots {
		if r.Root != nil { // taken for the need of another meanwhile
			continue
		}
		r.Root = r
		if err := a.handOn(r); err != nil {
			return nil, err
		}
		if err := a.backward(r); err != nil {
			return nil, err
		}
		if err := a.forward(r); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(a.out.Batches, func(x, y *Scheduled) int {
		if c := x.Begins().Compare(y.Begins()); c != 0 {
			return c
		}
		return strings.Compare(x.Code, y.Code)
	})
	a.lateStarts()
	return a, a.loads()
}

// roots adds every plan and target; the latest first, so that what comes before a batch
// is still free when its needs are looked for.
func (a *arranger) roots() ([]*Scheduled, error) {
	for _, sheet := range a.order.Plans {
		a.codes[sheet.Plan.Batch] = true
	}
	for _, sheet := range a.order.Plans {
		b, err := a.add(sheet, sheet.Plan.Batch)
		if err != nil {
			return nil, err
		}
		b.Planned = true
	}
	for i, t := range a.order.Targets {
		p, err := a.order.Protocol(t.Protocol)
		if err != nil {
			return nil, err
		}
		code := a.unused(fmt.Sprintf("S%d", i+1), p.ID)
		sheet, err := a.scaled(p, a.order.Species, code, t.Start, t.Settings)
		if err != nil {
			return nil, err
		}
		b, err := a.add(sheet, code)
		if err != nil {
			return nil, err
		}
		b.target = i
	}
	roots := slices.Clone(a.out.Batches)
	slices.SortStableFunc(roots, func(x, y *Scheduled) int { return y.Start.Compare(x.Start) })
	return roots, nil
}

// add puts a sheet into the schedule with its events.
func (a *arranger) add(sheet *calc.Sheet, code string) (*Scheduled, error) {
	lasts, err := sheet.Lasts()
	if err != nil {
		return nil, err
	}
	b := &Scheduled{Code: code, Sheet: sheet, Start: sheet.Plan.Start, Ready: sheet.Plan.Start.Add(lasts), target: -1}
	for i := range sheet.Steps {
		step := &sheet.Steps[i]
		if step.Definition.At == nil {
			continue
		}
		e := Event{Step: step, Start: step.Time}
		if e.Every, e.Times, err = sheet.Repeats(i); err != nil {
			return nil, err
		}
		b.Events = append(b.Events, e)
	}
	a.out.Batches = append(a.out.Batches, b)
	return b, nil
}

// event finds the event of a step.
func (b *Scheduled) event(step string) (Event, error) {
	for _, e := range b.Events {
		if e.Step.Definition.ID == step {
			return e, nil
		}
	}
	return Event{}, fmt.Errorf("%s has no timed step %q", b.Sheet.Protocol.Ref(), step)
}

// does says whether a step is done in this batch, and not in one that has taken over.
func (b *Scheduled) does(step string) bool {
	return slices.ContainsFunc(b.Events, func(e Event) bool { return e.Step.Definition.ID == step })
}

// code makes up a batch code for what is proposed for a root, as long as codes may be.
func (a *arranger) code(root *Scheduled, protocol string) string {
	if root.target >= 0 {
		return a.unused(fmt.Sprintf("S%d", root.target+1), protocol)
	}
	return a.unused(root.Code, protocol)
}

// unused is a code that no other batch has, of whole words: "S1-PLATE-SEEDING",
// "KS-26-01-SEEDING"; of a root longer than rootMost the beginning.
func (a *arranger) unused(root, protocol string) string {
	const most, rootMost = 20, 14
	root = strings.TrimRight(root[:min(len(root), rootMost)], "-") + "-"
	code := root + shortName(protocol, most-len(root))
	for n := 2; a.codes[code]; n++ {
		tail := fmt.Sprintf("-%d", n)
		code = root + shortName(protocol, most-len(root)-len(tail)) + tail
	}
	a.codes[code] = true
	return code
}

// shortName is a protocol's name in capitals where it has room; else the longest of its words
// that has, else an abbreviation: the beginnings of its words, or of its only word.
func shortName(protocol string, room int) string {
	name := strings.ToUpper(protocol)
	if len(name) <= room {
		return name
	}
	words := strings.Split(name, "-")
	longest, first := "", ""
	for _, w := range words {
		if len(w) <= room && len(w) > len(longest) {
			longest = w
		}
		first += w[:min(1, len(w))]
	}
	if longest != "" {
		return longest
	}
	if len(words) == 1 {
		first = name[:min(4, len(name))]
	}
	return first[:max(1, min(len(first), room))]
}

// have says whether the yield of a protocol is at hand.
func (a *arranger) have(id string) bool { return slices.Contains(a.order.Have, id) }

// quantityOf reads a setting or amount of a sheet.
func quantityOf(s *calc.Sheet, id string) (quantity.Quantity, bool) {
	if amount, ok := s.Amount(id); ok {
		return amount.Rounded, true
	}
	v, ok := s.Value(id)
	return v.Quantity, ok
}
