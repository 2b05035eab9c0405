package check_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/example"
	"spatsheet/calc/fixture"
	"spatsheet/protocols/library"
)

// lasting are the dates of steps that go on for weeks, in which a month more is not far, by
// protocol, key and days off; and the one of a step without a time.
var lasting = []string{
	"f1-broodstock closed_on +28",
	"grow-out graded_at +28", "grow-out graded_at -28", "grow-out months.1.date +28", "grow-out water.1.date +28",
	"nursery days_log.1.out_from +28", "nursery water_checks.1.date +28",
	"out-planting control_seen.1.date +28", "out-planting guards_off +28", "out-planting seen.1.date +28",
}

// TestAMonthTypedWronglyIsFarFromItsStep takes the dates and times of every shipped protocol
// four weeks off, the shortest month: all are told but where the step itself lasts for
// weeks. A week late, and as in the examples, none is.
func TestAMonthTypedWronglyIsFarFromItsStep(t *testing.T) {
	var near []string
	boxes := 0
	for _, ref := range library.Refs() {
		p := fixture.Shipped(t, ref)
		sheet := fixture.Scaled(t, p, fixture.Site(t), fixture.FromExamples(p))
		values, err := example.Fill(sheet, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, box := range sheet.Boxes() {
			at, ok := values[box.Key].(time.Time)
			if !ok || box.Entry.AnyTime || box.Row > 1 {
				continue
			}
			boxes++
			for _, days := range []int{-28, -1, 0, 7, 28} {
				isNear := isNear(sheet, box, at.AddDate(0, 0, days))
				switch {
				case days > -28 && days < 28 && !isNear:
					t.Errorf("%s %s is far from its step %d days after the example", ref, box.Key, days)
				case (days == -28 || days == 28) && isNear:
					near = append(near, fmt.Sprintf("%s %s %+d", sheet.Protocol.ID, box.Key, days))
				}
			}
		}
	}
	slices.Sort(near)
	if !slices.Equal(near, lasting) || boxes < 60 {
		t.Errorf("of %d boxes these may be a month off:\n%s\nwant\n%s", boxes, strings.Join(near, "\n"), strings.Join(lasting, "\n"))
	}
}

func isNear(sheet *calc.Sheet, box calc.Box, at time.Time) bool {
	earliest, latest := check.TimeLimits(sheet, box)
	return (earliest.IsZero() || !at.Before(earliest)) && (latest.IsZero() || !at.After(latest))
}
