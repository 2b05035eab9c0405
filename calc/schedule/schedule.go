// Package schedule reckons when batches must start for what is hoped for, what stands in
// their way, and what of the site they take on each day.
//
// What may enter: protocols with their timetables, planned and collected batches, the day it
// is. What may not: files, a clock, printed forms.
package schedule

import (
	"fmt"
	"slices"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
	"spatsheet/protocols/remedy"
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

// Clash is something that does not go together.
type Clash struct {
	Level   protocols.Level
	Day     time.Time
	Until   time.Time // the last day of it
	Batches []string
	Says    string
	Remedy  string
	Or      remedy.Remedy // what else can be done, where that takes a command or a flag
	has     string        // what runs short, for Loads
	alone   bool          // one batch does not fit the site by itself
}

// ToDo is what can be done about a clash, in the words that in has for a remedy by a command
// or a flag.
func (c Clash) ToDo(in func(remedy.Remedy) string) string {
	if c.Or.Kind == remedy.None {
		return c.Remedy
	}
	return c.Remedy + "; or " + in(c.Or)
}

// Load is what is asked of one thing that the site has, day by day.
type Load struct {
	Has   string // the site's name for it, such as tank.count
	What  string
	Unit  quantity.Unit
	Known bool    // the site says how much there is
	Limit float64 // in Unit, where Known
	Days  []DayLoad
	dayAt map[time.Time]int
}

// DayLoad is one day's use: the sum over batches, in the load's unit.
type DayLoad struct {
	Day     time.Time
	Sum     float64
	Batches []string // that take part, in the schedule's order
}

// Peak is the first of the days with the largest sum, from a day on, as clashes are; false
// when none of it is used from that day on.
func (l Load) Peak(from time.Time) (DayLoad, bool) {
	var peak DayLoad
	for _, d := range l.Days {
		if !d.Day.Before(calc.Midnight(from)) && (d.Sum > peak.Sum || peak.Day.IsZero()) {
			peak = d
		}
	}
	return peak, !peak.Day.IsZero()
}

// slack for sums of floats: a hair over the limit is not over it. Site choice.
const hair = 1e-9

// over says whether a day asks for more than the site has.
func (l Load) over(d DayLoad) bool { return l.Known && d.Sum > l.Limit*(1+hair) }

// Show prints a number of the load with its unit, to three figures.
func (l Load) Show(x float64) string {
	q, err := quantity.New(x, l.Unit)
	if err != nil {
		return fmt.Sprintf("%g", x)
	}
	if x == float64(int64(x)) && x < 1e6 {
		return q.Format(0)
	}
	return q.Format(3)
}

func dayOf(t time.Time) string { return t.Format("2006-01-02") }

// scaling is what came of computing a batch.
type scaling struct {
	sheet *calc.Sheet
	err   error
}
