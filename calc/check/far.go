package check

import (
	"fmt"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
)

const day = 24 * time.Hour

// farBefore and farAfter bound how far from a batch's start its dates may plausibly lie;
// common practice, no source: cultures start weeks ahead, grow-out lasts about two years.
const (
	farBefore = 90 * day
	farAfter  = 800 * day
)

// How far from its step's printed time a date may lie. Site choice: a delay of a week is
// honest, more so where the step was planned months ahead; a month typed wrongly, which is
// 28 days at least, is not.
const (
	earlySlack   = 3 * day
	lateSlack    = 10 * day
	slackShare   = 0.05     // of the time from the batch's start to the step, where that is more
	mostSlack    = 25 * day // less than a month
	beforeStart  = day      // of what is done after the batch's start
	looksBackBy  = day      // an example that lies so far before its step tells of earlier work
	looksBackFor = mostSlack
)

// span is the time that a step was printed for, from its first to its last time; the end
// is zero where it has none. Without a time both are zero.
type span struct{ first, last time.Time }

// stepSpan is a step's span: over its repeats; of a step with a table of times that does
// not say how often, until the next step with a time.
func stepSpan(sheet *calc.Sheet, i int) span {
	step := &sheet.Steps[i]
	if step.Definition.At == nil {
		return span{}
	}
	if step.Definition.Every == nil && timedRows(step) {
		for k := i + 1; k < len(sheet.Steps); k++ {
			if next := &sheet.Steps[k]; next.Definition.At != nil && next.Time.After(step.Time) {
				return span{step.Time, next.Time}
			}
		}
		return span{first: step.Time}
	}
	every, times, err := sheet.Repeats(i)
	if err != nil { // told when the season is compiled; here its end is not known
		return span{first: step.Time}
	}
	return span{step.Time, step.Time.Add(every * time.Duration(times-1))}
}

// timedRows says whether a step has a table of several rows with a date or time in each.
func timedRows(step *calc.Step) bool {
	for t := range step.Tables {
		columns := step.Tables[t].Definition.Columns
		for c := range columns {
			if len(step.Tables[t].Rows) > 1 && isClock(&columns[c]) {
				return true
			}
		}
	}
	return false
}

func isClock(e *protocols.Entry) bool {
	return e.Kind == protocols.KindDate || e.Kind == protocols.KindTime
}

// slack is how far from a planned time is still near it.
func slack(sheet *calc.Sheet, at time.Time, least time.Duration) time.Duration {
	share := time.Duration(slackShare * float64(at.Sub(sheet.Plan.Start).Abs()))
	return min(max(least, share), mostSlack)
}

// TimeLimits are the earliest and the latest time that is near the step of a box; zero
// where there is no limit: the step has no time or no end, or the box is of another kind.
//
// Range: any box of the sheet. Source: site choice, see the constants.
func TimeLimits(sheet *calc.Sheet, box calc.Box) (earliest, latest time.Time) {
	if box.Entry.AnyTime || !isClock(box.Entry) {
		return earliest, latest
	}
	limits := fullLimits(sheet, box, stepSpan(sheet, box.Step))
	return limits.first, limits.last
}

// plainLimits are the limits by the printed times alone.
func plainLimits(sheet *calc.Sheet, box calc.Box, printed span) span {
	if printed.first.IsZero() {
		return span{}
	}
	start := sheet.Plan.Start
	limits := span{first: printed.first.Add(-slack(sheet, printed.first, earlySlack))}
	if least := start.Add(-beforeStart); !printed.first.Before(start) && limits.first.Before(least) {
		limits.first = least
	}
	if !printed.last.IsZero() {
		limits.last = printed.last.Add(slack(sheet, printed.last, lateSlack))
	}
	limits.first = wholeDay(box, limits.first)
	return limits
}

// fullLimits go by the protocol's examples too: an entry may tell of what was done before
// its step, or will be after it.
func fullLimits(sheet *calc.Sheet, box calc.Box, printed span) span {
	limits := plainLimits(sheet, box, printed)
	first, last, ok := sheet.ExampleTimes(box)
	switch {
	case !ok && box.Entry.Example.Formula != nil: // it depends on readings
		return span{}
	case !ok || printed.first.IsZero():
		return limits
	}
	early := slack(sheet, first, earlySlack)
	if printed.first.Sub(first) > looksBackBy {
		early = looksBackFor
	}
	if from := wholeDay(box, first.Add(-early)); first.Before(printed.first) && from.Before(limits.first) {
		limits.first = from
	}
	if to := last.Add(slack(sheet, last, lateSlack)); !limits.last.IsZero() && to.After(limits.last) {
		limits.last = to
	}
	return limits
}

// wholeDay is the start of the day, for a box that holds a date.
func wholeDay(box calc.Box, t time.Time) time.Time {
	if box.Entry.Kind == protocols.KindDate {
		return t.Truncate(day)
	}
	return t
}

// times tells dates and times that lie far from their step, reckoned from what was written
// of earlier steps, and steps done before one that they hang on.
func (r *reader) times(k *facts) {
	done := map[string]time.Time{}
	for i := range r.sheet.Steps {
		def := r.sheet.Steps[i].Definition
		if at, ok := k.given(def.DoneAt); ok {
			done[def.ID] = timeOf(at)
		}
	}
	expected := r.sheet.AsDone(done)
	for i, box := range k.boxes {
		if isClock(box.Entry) && k.readings[i].State == calc.Given && !box.Entry.AnyTime {
			r.far(expected, box, &k.readings[i])
		}
	}
	r.turned(k, done)
}

// timeOf is the clock time that a reading holds.
func timeOf(r *calc.Reading) time.Time { return time.Unix(int64(r.Number), 0).UTC() }

// turned tells a step that was done before an earlier one on which its time hangs.
func (r *reader) turned(k *facts, done map[string]time.Time) {
	for i := range r.sheet.Steps {
		step := &r.sheet.Steps[i]
		at, ok := done[step.Definition.ID]
		for e := 0; ok && e < i; e++ {
			earlier := &r.sheet.Steps[e]
			before, told := done[earlier.Definition.ID]
			if !told || !step.Definition.HangsOn(earlier.Definition) || !at.Before(before) {
				continue
			}
			out, _ := k.given(step.Definition.DoneAt)
			was, _ := k.given(earlier.Definition.DoneAt)
			r.find(out, protocols.Error, "before-its-step",
				fmt.Sprintf("%s is before %s of step %d, %s", calc.Spoken(out.Text), calc.Spoken(was.Text), earlier.Number, earlier.Definition.Title),
				"check both times and dates")
		}
	}
}

// far tells a date or time that lies far from the batch, or else from its step.
func (r *reader) far(expected *calc.Sheet, box calc.Box, out *calc.Reading) {
	start, t := r.sheet.Plan.Start, timeOf(out)
	if t.Before(start.Add(-farBefore)) || t.After(start.Add(farAfter)) {
		r.find(out, protocols.Warning, "far-from-batch",
			fmt.Sprintf("%s is far from the batch's start, %s", calc.Spoken(out.Text), start.Format("2006-01-02")), "check the year and the month")
		return
	}
	printed, ok := r.spans[box.Step]
	if !ok {
		if r.spans == nil {
			r.spans = map[int]span{}
		}
		printed = stepSpan(expected, box.Step)
		r.spans[box.Step] = printed
	}
	// Examples take time to work out, and are needed for few boxes.
	if plainLimits(expected, box, printed).holds(t) || fullLimits(expected, box, printed).holds(t) {
		return
	}
	step := &r.sheet.Steps[box.Step]
	r.find(out, protocols.Warning, "far-from-step",
		fmt.Sprintf("%s is far from step %d, %s, which was %s %s", calc.Spoken(out.Text), step.Number,
			step.Definition.Title, dueBy(expected, r.sheet), printed),
		"look at the month and the day; leave it if it is true")
}

// dueBy says where a step's time comes from.
func dueBy(expected, printed *calc.Sheet) string {
	if expected == printed {
		return "printed for"
	}
	return "due, by what is written of earlier steps,"
}

// holds says whether a time lies in the span; a zero end is no limit.
func (s span) holds(t time.Time) bool {
	return (s.first.IsZero() || !t.Before(s.first)) && (s.last.IsZero() || !t.After(s.last))
}

// String is the span for people: "2026-02-17 06:00 to 2026-02-24 06:00".
func (s span) String() string {
	const form = "2006-01-02 15:04"
	switch {
	case s.last.IsZero():
		return s.first.Format(form) + " and after"
	case s.last.Equal(s.first):
		return s.first.Format(form)
	}
	return s.first.Format(form) + " to " + s.last.Format(form)
}
