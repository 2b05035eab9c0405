package check

import (
	"fmt"
	"math"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// rules evaluates the protocol's own checks; one whose readings are not all there is
// left alone, since what is missing has been told already.
func (r *reader) rules(k *facts) {
	for i := range r.sheet.Protocol.Checks {
		c := &r.sheet.Protocol.Checks[i]
		if c.Each != "" {
			r.rowRule(k, c)
			continue
		}
		if !k.ready(c.Rule) {
			continue
		}
		holds, err := c.Rule.Truth(k.values)
		at := k.shownAt(c.At)
		if err != nil {
			r.find(at, protocols.Warning, c.ID, fmt.Sprintf("the check could not be made: %s", err), "look at the readings it is made from")
			continue
		}
		if !holds {
			working := c.Rule.Working(func(name string) string { return r.printed(k, name) })
			r.find(at, c.Level, c.ID, fmt.Sprintf("%s (wanted: %s)", c.Says, working), c.Remedy)
		}
	}
}

// rowRule holds a rule against each row of a table in which all its readings are given.
func (r *reader) rowRule(k *facts, c *protocols.Check) {
	for row := 1; ; row++ {
		values, state := k.rowValues(c, row)
		if state == rowEnds {
			return
		}
		if state == rowLacks {
			continue
		}
		at := k.reading(calc.RowKey(c.Each, row, strings.TrimPrefix(c.At, c.Each+".")))
		holds, err := c.Rule.Truth(values)
		switch {
		case err != nil:
			r.find(at, protocols.Warning, c.ID, fmt.Sprintf("the check could not be made: %s", err), "look at the readings it is made from")
		case !holds:
			working := c.Rule.Working(func(name string) string { return r.printed(k, k.inRow(c, row, name)) })
			r.find(at, c.Level, c.ID, fmt.Sprintf("%s (wanted: %s)", c.Says, working), c.Remedy)
		}
	}
}

// printed is a name's value as a person reads it.
func (r *reader) printed(k *facts, name string) string {
	if i, ok := k.sheet.BoxAt(calc.Key(name)); ok {
		return shown(k.boxes[i].Entry, &k.readings[i])
	}
	if shown := r.sheet.Show(name); !strings.HasPrefix(shown, "{") {
		return shown
	}
	return name
}

// trends holds each row of a column against the filled row before it.
func (r *reader) trends(k *facts) {
	before := map[string]*calc.Reading{}
	for i, b := range k.boxes {
		if b.Table == nil || b.Entry.Trend == protocols.AnyTrend || k.readings[i].State != calc.Given {
			continue
		}
		name := b.Name
		now, last := &k.readings[i], before[name]
		before[name] = now
		if last == nil {
			continue
		}
		if b.Entry.Trend == protocols.NeverUp && now.Number > last.Number {
			r.rise(b, now, last)
		}
		if b.Entry.Trend == protocols.NeverDown && now.Number < last.Number {
			r.find(now, protocols.Error, "goes-back",
				fmt.Sprintf("%s is less than the row before, %s", shown(b.Entry, now), shown(b.Entry, last)),
				"check both rows, and the date where it is a time")
		}
	}
}

// countingSlip is how far a count by subsample may rise from row to row before it is more
// than counting error: with 100 counted the standard deviation is 10 % (Poisson).
const countingSlip = 0.1

func (r *reader) rise(b calc.Box, now, last *calc.Reading) {
	level := protocols.Warning
	if now.Number > last.Number*(1+countingSlip) {
		level = protocols.Error
	}
	r.find(now, level, "rises", fmt.Sprintf("%s is more than the row before, %s", shown(b.Entry, now),
		shown(b.Entry, last)), "these can only become fewer: check both rows, and count again")
}

// shown is a reading as a person writes it: "1 plate", "2026-02-14 22:30".
func shown(e *protocols.Entry, r *calc.Reading) string {
	switch e.Kind {
	case protocols.KindChoice, protocols.KindText:
		return r.Text
	case protocols.KindDate, protocols.KindTime:
		return calc.Spoken(r.Text)
	}
	if q, err := quantity.New(r.Number, e.Unit); err == nil {
		return q.Format(4)
	}
	return fmt.Sprintf("%s %s", quantity.FormatNumber(r.Number, 4), r.Unit)
}

// planned holds what was used against what was planned.
func (r *reader) planned(k *facts) {
	for i, b := range k.boxes {
		if b.Planned == nil || k.readings[i].State != calc.Given {
			continue
		}
		want, err := b.Wanted().In(b.Entry.Unit)
		if err != nil { // units were held together when the protocol was loaded
			continue
		}
		got := k.readings[i].Number
		if math.Abs(got-want.Value()) > b.Entry.Tolerance*want.Value()*(1+1e-9) {
			r.find(&k.readings[i], protocols.Warning, "off-plan",
				fmt.Sprintf("%s used, %s planned; they differ by more than %s %%", shown(b.Entry, &k.readings[i]),
					want.Format(0), quantity.FormatNumber(b.Entry.Tolerance*100, 6)),
				"check the unit; if it is true, write down why")
		}
	}
}

// Two levels of disagreement between a number worked out on paper and the same computed
// from its readings. Common practice, no source: 1 % is rounding, 10 % is a slip.
const (
	roundingSlip = 0.01
	workingSlip  = 0.1
)

// workedOut computes again what people worked out by hand.
func (r *reader) workedOut(k *facts) {
	for i, b := range k.boxes {
		f := b.Entry.WorksOut
		if f == nil || k.readings[i].State != calc.Given || !k.ready(f) {
			continue
		}
		reading := &k.readings[i]
		base, err := f.Number(k.values)
		if err != nil {
			r.find(reading, protocols.Warning, "cannot-recompute",
				fmt.Sprintf("this could not be computed again: %s", err), "look at the readings it is worked out from")
			continue
		}
		want := b.Entry.Unit.FromBase(base)
		off := math.Abs(reading.Number - want)
		if off <= roundingSlip*math.Abs(want) || off <= halfLastDigit(reading.Raw) {
			continue
		}
		level := protocols.Warning
		if off > workingSlip*math.Abs(want) {
			level = protocols.Error
		}
		r.find(reading, level, "worked-out-differently",
			fmt.Sprintf("%s stands here; the readings give %s %s", shown(b.Entry, reading),
				quantity.FormatNumber(want, 4), reading.Unit), "work it out again: "+b.Entry.How)
	}
}

// halfLastDigit is half a unit of the last decimal place typed: 4.8 stands for 4.75 to 4.85.
//
// 0 for a number with a power of ten.
func halfLastDigit(raw string) float64 {
	if typed, err := readNumber(raw); err == nil && typed.power {
		return 0
	}
	raw = strings.Replace(raw, ",", ".", 1)
	_, fraction, ok := strings.Cut(raw, ".")
	digits := 0
	for ok && digits < len(fraction) && fraction[digits] >= '0' && fraction[digits] <= '9' {
		digits++
	}
	return 0.5 * math.Pow(10, -float64(digits))
}
