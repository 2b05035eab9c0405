// Package calendar writes a schedule for the wall and for calendar programs: a page for
// each month as PDF, and an iCalendar file.
//
// What may enter: a season.Schedule, a title, the time of making. What may not: files, the
// clock, anything that makes two calendars of one schedule differ.
package calendar

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc/season"
)

// Calendar is a schedule to be written.
type Calendar struct {
	Schedule season.Schedule
	Site     string    // its name
	Code     string    // its code
	Paper    string    // "A4" or "Letter"
	Made     time.Time // printed, and the stamp of every entry
}

// entry is one line of a day.
type entry struct {
	at   time.Time
	code string
	text string // "18:00 KS-26-01 Set up the beakers"
}

// entries lists what is done on each day, by day, time and batch.
func (c Calendar) entries() []entry {
	var out []entry
	for _, b := range c.Schedule.Batches {
		for _, e := range b.Events {
			for n := range e.Times {
				at := e.Start.Add(time.Duration(n) * e.Every)
				text := fmt.Sprintf("%s %s %s", at.Format("15:04"), shown(b), e.Step.Definition.Title)
				if e.Times > 1 {
					text += fmt.Sprintf(", %d of %d", n+1, e.Times)
				}
				out = append(out, entry{at, b.Code, text})
			}
		}
		if hasDeadline(b) {
			out = append(out, entry{b.Latest, b.Code, fmt.Sprintf("%s LATEST START of %s", b.Latest.Format("15:04"), shown(b))})
		}
	}
	slices.SortStableFunc(out, func(x, y entry) int {
		if n := x.at.Compare(y.at); n != 0 {
			return n
		}
		return cmp.Compare(x.code, y.code)
	})
	return out
}

// hasDeadline says whether a batch's latest start is another day than its start.
func hasDeadline(b *season.Scheduled) bool {
	return !b.Latest.IsZero() && midnight(b.Latest) != midnight(b.Start)
}

// shown is a batch's code, with a star where no plan has been made yet.
func shown(b *season.Scheduled) string {
	if b.Planned {
		return b.Code
	}
	return b.Code + "*"
}

func midnight(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, t.Location())
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
