// Package calendar writes a schedule for the wall and for calendar programs: a page for
// each month as PDF, and an iCalendar file.
//
// What may enter: a schedule.Schedule, a title, the time of making. What may not: files, the
// clock, anything that makes two calendars of one schedule differ.
package calendar

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/schedule"
)

// Calendar is a schedule to be written.
type Calendar struct {
	Schedule schedule.Schedule
	Site     string    // its name
	Code     string    // its code
	Paper    string    // "A4" or "Letter"
	Made     time.Time // printed, and the stamp of every entry
}

// entry is what one batch asks for on a day.
type entry struct {
	day   time.Time
	first time.Time // of the day's steps
	code  string
	steps []string // "07:00 Make the medium"
}

// text is the entry as it stands on the wall: "KS-26-01: 07:00 Make the medium; 08:00 ...".
func (e entry) text() string { return e.code + ": " + strings.Join(e.steps, "; ") }

// entries lists what each batch asks for on each day, by day, time and batch.
func (c Calendar) entries() []entry {
	var out []entry
	for _, b := range c.Schedule.Batches {
		days := map[time.Time]int{}
		for _, o := range c.occasions(b) {
			day := calc.Midnight(o.at)
			i, ok := days[day]
			if !ok {
				i = len(out)
				days[day] = i
				out = append(out, entry{day: day, first: o.at, code: shown(b)})
			}
			out[i].steps = append(out[i].steps, o.at.Format("15:04")+" "+o.what)
		}
	}
	slices.SortStableFunc(out, func(x, y entry) int {
		if n := x.first.Compare(y.first); n != 0 {
			return n
		}
		return cmp.Compare(x.code, y.code)
	})
	return out
}

// occasion is one time at which one thing is done.
type occasion struct {
	at   time.Time
	what string
}

// occasions lists every step of a batch, repeats one by one, and its latest start, by time.
func (c Calendar) occasions(b *schedule.Scheduled) []occasion {
	var out []occasion
	for _, e := range b.Events {
		for n := range e.Times {
			what := e.Step.Definition.Title
			if e.Times > 1 {
				what += fmt.Sprintf(" %d/%d", n+1, e.Times)
			}
			out = append(out, occasion{e.Start.Add(time.Duration(n) * e.Every), what})
		}
	}
	if c.hasDeadline(b) {
		out = append(out, occasion{b.Latest, "LATEST START"})
	}
	slices.SortStableFunc(out, func(x, y occasion) int { return x.at.Compare(y.at) })
	return out
}

// hasDeadline says whether a batch's latest start is put on its day: another day than its
// start, and of a planned batch only while it has not begun and is not late, which is a clash.
func (c Calendar) hasDeadline(b *schedule.Scheduled) bool {
	if b.Latest.IsZero() || calc.Midnight(b.Latest).Equal(calc.Midnight(b.Start)) {
		return false
	}
	return !b.Planned || !b.Begins().Before(calc.Midnight(c.Schedule.Today)) && !b.Latest.Before(b.Start)
}

// shown is a batch's code, with a star where no plan has been made yet.
func shown(b *schedule.Scheduled) string {
	if b.Planned {
		return b.Code
	}
	return b.Code + "*"
}

// Slack prints a time to spare in days and hours: "2 d 9 h", "late by 1 d".
func Slack(d time.Duration) string {
	words := ""
	if d < 0 {
		words, d = "late by ", -d
	}
	hours := int(d.Round(time.Hour).Hours())
	var parts []string
	if hours >= 24 {
		parts = append(parts, fmt.Sprintf("%d d", hours/24))
	}
	if hours%24 > 0 || hours < 24 {
		parts = append(parts, fmt.Sprintf("%d h", hours%24))
	}
	return words + strings.Join(parts, " ")
}
