package calendar

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"spatsheet/calc/schedule"
)

// WriteICS writes the schedule as iCalendar: one entry for each step of each batch, with a
// rule for repeats, and one for each latest start that can still be missed. Times are floating: they mean the
// site's clock wherever they are read.
//
// An entry keeps its UID from one making to the next, so that a calendar program moves it.
// Error: w. Source: RFC 5545, sections 3.1 (folding), 3.3.5 (floating time), 3.3.10
// (RRULE), 3.3.11 (escapes), 3.6.1 (VEVENT), 3.8.4.7 (UID).
func WriteICS(w io.Writer, c Calendar) error {
	out := &lines{w: bufio.NewWriter(w)}
	out.put("BEGIN", "VCALENDAR")
	out.put("VERSION", "2.0")
	out.put("PRODID", "-//spatsheet//calendar//EN")
	out.put("CALSCALE", "GREGORIAN")
	out.put("X-WR-CALNAME", escaped(c.Site+", season"))
	for _, b := range c.Schedule.Batches {
		for _, e := range b.Events {
			c.event(out, b, e)
		}
		if c.hasDeadline(b) {
			c.deadline(out, b)
		}
	}
	out.put("END", "VCALENDAR")
	if out.err != nil {
		return fmt.Errorf("calendar: %w", out.err)
	}
	return out.w.Flush()
}

func (c Calendar) event(out *lines, b *schedule.Scheduled, e schedule.Event) {
	c.begin(out, b, e.Step.Definition.ID)
	out.put("DTSTART", e.Start.Format("20060102T150405"))
	if e.Times > 1 {
		out.put("RRULE", rule(e))
	}
	out.put("SUMMARY", escaped(b.Code+" "+e.Step.Definition.Title))
	out.put("DESCRIPTION", escaped(e.Step.Do+"\n"+about(b)))
	out.put("END", "VEVENT")
}

// deadline is the day on which a batch must have started.
func (c Calendar) deadline(out *lines, b *schedule.Scheduled) {
	c.begin(out, b, "latest-start")
	out.put("DTSTART;VALUE=DATE", b.Latest.Format("20060102"))
	out.put("SUMMARY", escaped("Latest start of "+b.Code))
	out.put("DESCRIPTION", escaped(about(b)))
	out.put("END", "VEVENT")
}

func (c Calendar) begin(out *lines, b *schedule.Scheduled, step string) {
	status, year := "CONFIRMED", ""
	if !b.Planned { // made-up codes come again next season
		status = "TENTATIVE"
		if b.Root != nil {
			year = b.Root.Start.Format(".2006")
		}
	}
	out.put("BEGIN", "VEVENT")
	out.put("UID", fmt.Sprintf("%s.%s%s@%s.spatsheet", b.Code, step, year, strings.ToLower(c.Code)))
	out.put("DTSTAMP", c.Made.UTC().Format("20060102T150405Z"))
	out.put("STATUS", status)
	out.put("TRANSP", "TRANSPARENT")
	out.put("LOCATION", escaped(c.Site))
	out.put("CATEGORIES", escaped(b.Sheet.Protocol.Stage))
}

// about tells what a batch is, what for, and how much time there is to spare.
func about(b *schedule.Scheduled) string {
	words := b.Sheet.Protocol.Title + " (" + b.Sheet.Protocol.Ref() + ")."
	if !b.Planned {
		words += " Proposed: no plan has been made yet."
	}
	if b.For != nil && !b.Latest.IsZero() {
		words += fmt.Sprintf(" For %s: %s. Latest start %s, %s to spare.", b.For.Code, b.Why, b.Latest.Format("2006-01-02 15:04"), Slack(b.Slack))
	}
	return words
}

// rule is a repeat in the largest unit that it is a whole number of.
func rule(e schedule.Event) string {
	for _, u := range []struct {
		name string
		unit time.Duration
	}{{"DAILY", 24 * time.Hour}, {"HOURLY", time.Hour}} {
		if e.Every%u.unit == 0 {
			return fmt.Sprintf("FREQ=%s;INTERVAL=%d;COUNT=%d", u.name, e.Every/u.unit, e.Times)
		}
	}
	return fmt.Sprintf("FREQ=MINUTELY;INTERVAL=%d;COUNT=%d", e.Every/time.Minute, e.Times)
}

// escaped is a text value: backslash, semicolon, comma and line breaks escaped, other
// control characters left out.
func escaped(text string) string {
	text = strings.Map(func(r rune) rune {
		if r != '\n' && (r < ' ' || r == 0x7f) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, "\uFFFD"))
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(text)
}

// lines writes content lines, folded to 75 octets without splitting a letter.
type lines struct {
	w   *bufio.Writer
	err error
}

const foldAt = 75 // octets, without the line break; RFC 5545 section 3.1

func (l *lines) put(name, value string) {
	line := name + ":" + value
	for room := foldAt; len(line) > room; room = foldAt - 1 { // the blank of a folded line counts
		cut := room
		for !utf8.RuneStart(line[cut]) {
			cut--
		}
		l.write(line[:cut] + "\r\n ")
		line = line[cut:]
	}
	l.write(line + "\r\n")
}

func (l *lines) write(text string) {
	if l.err == nil {
		_, l.err = l.w.WriteString(text)
	}
}
