package schedule_test

import (
	"strings"
	"testing"
	"time"

	"spatsheet/calc/schedule"
)

// TestPeakIsOfTheDaysThatClash: two spawnings 5 days apart ask for 80 plates of 60 from 30
// March to 3 May, then the second for 40 to 8 May. The most on a day from today on is over
// the site's just when a clash says so.
func TestPeakIsOfTheDaysThatClash(t *testing.T) {
	for _, c := range []struct {
		today, day string
		sum        float64
	}{
		{"", "2026-03-30", 80},
		{"2026-03-01 00:00", "2026-03-30", 80},
		{"2026-04-20 12:00", "2026-04-20", 80},
		{"2026-05-03 23:59", "2026-05-03", 80},
		{"2026-05-04 00:00", "2026-05-04", 40},
		{"2026-05-08 12:00", "2026-05-08", 40},
		{"2026-05-09 00:00", "", 0},
	} {
		o := order(t, "60", spawnOn("2026-03-30 18:00", "2026-04-04 18:00"))
		if c.today != "" {
			o.Today = at(c.today)
		}
		s, err := schedule.Arrange(o)
		if err != nil || len(s.Loads) != 1 || !s.Today.Equal(o.Today) {
			t.Fatalf("today %s: %v, %d loads, schedule of %s", c.today, err, len(s.Loads), s.Today)
		}
		peak, ok := s.Loads[0].Peak(s.Today)
		if ok != (c.day != "") || peak.Sum != c.sum || ok && peak.Day.Format(time.DateOnly) != c.day {
			t.Errorf("today %s: %t, %g on %s; want %g on %s", c.today, ok, peak.Sum, peak.Day, c.sum, c.day)
		}
		clashes := 0
		for _, clash := range s.Clashes {
			if strings.Contains(clash.Says, "asked for on "+c.day) {
				clashes++
			}
		}
		if over := peak.Sum > 60; over != (clashes > 0) {
			t.Errorf("today %s: over %t, clashes %+v", c.today, over, s.Clashes)
		}
	}
}
