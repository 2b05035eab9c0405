package check

import (
	"fmt"
	"math"
	"strings"
	"time"

	"spatsheet/calc"
)

// The days from which spreadsheets count. The 1900 system takes 1900 for a leap year, so
// serials up to 60 are off by a day; none that old is accepted.
var (
	epoch1900 = time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	epoch1904 = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
)

// oldestSerial and latestSerial bound the serial day numbers taken for dates: after the
// 1900 system's false leap day, and before the year 2200.
const (
	oldestSerial = 61
	latestSerial = 110000
)

// fromSerial turns a spreadsheet's serial day into a clock time, to the second.
//
// Range: 61 to 110000 days. Source: ECMA-376 part 1, 18.17.4 (date systems), from memory.
func fromSerial(serial float64, date1904 bool) (time.Time, error) {
	if serial < oldestSerial || serial > latestSerial {
		return time.Time{}, fmt.Errorf("day number %g is not a date of this century", serial)
	}
	epoch := epoch1900
	if date1904 {
		epoch = epoch1904
	}
	return epoch.Add(time.Duration(math.Round(serial*86400)) * time.Second), nil
}

// readDate reads a day from a date cell or ISO text.
func readDate(c calc.Cell, date1904 bool) (time.Time, error) {
	if c.Kind == calc.CellText {
		t, err := time.Parse("2006-01-02", strings.TrimSpace(c.Text))
		if err != nil {
			return t, fmt.Errorf("this is not a date written year-month-day, such as 2026-02-14")
		}
		return t, nil
	}
	if !c.DateLike {
		return time.Time{}, fmt.Errorf("a number stands where a date is wanted")
	}
	t, err := fromSerial(c.Number, date1904)
	return t.Truncate(24 * time.Hour), err
}

// readTime reads a date and clock time; a clock time alone is set on the day that brings
// it nearest to the step's planned time.
func readTime(c calc.Cell, date1904 bool, planned time.Time) (time.Time, error) {
	if c.Kind == calc.CellText {
		return readTypedTime(strings.TrimSpace(c.Text), planned)
	}
	if !c.DateLike {
		return time.Time{}, fmt.Errorf("a number stands where a date and time is wanted")
	}
	if c.Number >= 0 && c.Number < 1 {
		return nearest(time.Duration(math.Round(c.Number*86400))*time.Second, planned)
	}
	return fromSerial(c.Number, date1904)
}

func readTypedTime(text string, planned time.Time) (time.Time, error) {
	for _, form := range []string{"2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02T15:04:05"} {
		if t, err := time.Parse(form, text); err == nil {
			return t, nil
		}
	}
	if t, err := time.Parse("15:04", text); err == nil {
		return nearest(time.Duration(t.Hour())*time.Hour+time.Duration(t.Minute())*time.Minute, planned)
	}
	return time.Time{}, fmt.Errorf("this is not a date and time such as 2026-02-14 22:30, nor a clock time such as 22:30")
}

// nearest sets a clock time on the day that brings it nearest to the planned time.
func nearest(clock time.Duration, planned time.Time) (time.Time, error) {
	if planned.IsZero() {
		return time.Time{}, fmt.Errorf("a clock time alone does not say the day; this step has no planned time, so write the date too")
	}
	midnight := planned.Truncate(24 * time.Hour)
	best := midnight.Add(clock)
	for _, days := range []int{-1, 1} {
		if t := midnight.AddDate(0, 0, days).Add(clock); t.Sub(planned).Abs() < best.Sub(planned).Abs() {
			best = t
		}
	}
	return best, nil
}
