package calendar

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"spatsheet/calc/schedule"
	"spatsheet/render/style"
)

// crowded has so many spawnings in March that its full days fill more than one page.
func crowded(t testing.TB, paper string) Calendar {
	return sample(t, paper, "2026-03-05", "2026-03-07", "2026-03-09")
}

// pagesOf lists the lines of every page, as pdftotext reads them.
func pagesOf(t testing.TB, c Calendar, pdftotext string) [][]string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "calendar.pdf")
	if err := os.WriteFile(name, pdfOf(t, c), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(pdftotext, "-raw", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	var pages [][]string
	for _, page := range strings.Split(strings.TrimSuffix(string(out), "\f"), "\f") {
		pages = append(pages, strings.Split(strings.TrimSpace(page), "\n"))
	}
	return pages
}

// TestEveryPageSaysOfWhat: a list that goes on says of what, a month's after its own month,
// and a full day says where the list is.
func TestEveryPageSaysOfWhat(t *testing.T) {
	pdftotext := tool(t, "pdftotext")
	for _, paper := range []string{"A4", "Letter"} {
		before, went, sent := "", map[string]int{}, 0
		c := crowded(t, paper)
		for _, page := range pagesOf(t, c, pdftotext) {
			title, _, _ := strings.Cut(page[0], " "+c.Site) // on one line with it
			of, on := strings.CutSuffix(title, " (continued)")
			if on && before != of || strings.HasPrefix(title, "continued") {
				t.Errorf("%s: page %q after %q", paper, title, before)
			}
			if month, list := strings.CutSuffix(of, ", full days"); list && before != month && before != of {
				t.Errorf("%s: page %q after %q", paper, title, before)
			}
			if on {
				went[of]++
			}
			before = of
			for _, line := range page {
				if strings.HasSuffix(line, ": list after this month") {
					sent++
				}
			}
		}
		if went["March 2026, full days"] == 0 || went["Batches and clashes"] == 0 || sent == 0 {
			t.Errorf("%s: lists went on as %v, %d days said where", paper, went, sent)
		}
	}
}

// TestFullDayFitsItsBox, at the type it is drawn in, with more entries than a day ever has.
func TestFullDayFitsItsBox(t *testing.T) {
	text := fmt.Sprintf(fullDay, 9999)
	for _, width := range []float64{277, 259.4} { // A4 and Letter, landscape
		if w := style.Bold().Width(text, entrySizes[len(entrySizes)-1]); w > width/7-2*padMM {
			t.Errorf("%q is %.1f mm wide, the box %.1f", text, w, width/7-2*padMM)
		}
	}
}

// TestBatchesAreListedByStart, then code, whatever has to be done before.
func TestBatchesAreListedByStart(t *testing.T) {
	pdftotext := tool(t, "pdftotext")
	c := crowded(t, "A4")
	starts := regexp.MustCompile(`^start (\d{4}-\d\d-\d\d \d\d:\d\d), ends`)
	var got []string
	code := ""
	for _, page := range pagesOf(t, c, pdftotext) {
		for _, line := range page {
			if m := starts.FindStringSubmatch(line); m != nil {
				got = append(got, m[1]+" "+strings.TrimSuffix(code, "*"))
			}
			code, _, _ = strings.Cut(line, " ")
		}
	}
	var begun []string
	for _, b := range c.Schedule.Batches {
		begun = append(begun, b.Start.Format("2006-01-02 15:04")+" "+b.Code)
	}
	want := slices.Sorted(slices.Values(begun))
	if slices.Equal(begun, want) {
		t.Fatal("the schedule is in this order already: nothing is tested")
	}
	if !slices.Equal(got, want) {
		t.Errorf("listed as\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestDeadlines: a latest start is put on its day while it can still be missed.
func TestDeadlines(t *testing.T) {
	at := func(text string) time.Time {
		when, err := time.Parse("2006-01-02 15:04", text)
		if err != nil {
			t.Fatal(err)
		}
		return when
	}
	today := at("2026-03-10 00:00")
	for _, c := range []struct {
		name          string
		planned       bool
		start, latest string
		first         string // event
		want          bool
	}{
		{"proposed, with time to spare", false, "2026-03-20 09:00", "2026-03-22 18:00", "2026-03-20 09:00", true},
		{"proposed, the same day", false, "2026-03-20 09:00", "2026-03-20 18:00", "2026-03-20 09:00", false},
		{"proposed, should have begun", false, "2026-03-05 09:00", "2026-03-06 18:00", "2026-03-05 09:00", true},
		{"planned, with time to spare", true, "2026-03-20 09:00", "2026-03-22 18:00", "2026-03-20 09:00", true},
		{"planned for today", true, "2026-03-10 09:00", "2026-03-22 18:00", "2026-03-10 07:00", true},
		{"planned and begun", true, "2026-01-21 14:00", "2026-03-29 14:00", "2026-01-20 14:00", false},
		{"planned, made ready yesterday", true, "2026-03-10 09:00", "2026-03-22 18:00", "2026-03-09 09:00", false},
		{"planned, and late", true, "2026-03-20 09:00", "2026-03-18 09:00", "2026-03-20 09:00", false},
		{"nothing waits for it", false, "2026-03-20 09:00", "", "2026-03-20 09:00", false},
	} {
		b := &schedule.Scheduled{Planned: c.planned, Start: at(c.start), Events: []schedule.Event{{Start: at(c.first), Times: 1}}}
		if c.latest != "" {
			b.Latest = at(c.latest)
		}
		if got := (Calendar{Schedule: schedule.Schedule{Today: today}}).hasDeadline(b); got != c.want {
			t.Errorf("%s: got %t", c.name, got)
		}
	}
}
