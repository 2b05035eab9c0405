package calendar

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/calc/schedule"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/render/style"
	"spatsheet/templates"
)

// shipped loads a shipped protocol.
func shipped(ref string) (*protocols.Protocol, error) { return library.Load(ref, functions.All()) }

// made is the time of making in every test.
var made = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// sample is the calendar of two spawnings, with what ships.
func sample(t testing.TB, paper string, spawnings ...string) Calendar {
	t.Helper()
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	order := schedule.Order{Site: site, Protocol: shipped, Species: "Patella vulgata", Opens: 9 * time.Hour, Have: []string{"grow-out"}}
	for _, text := range spawnings {
		start, err := time.Parse("2006-01-02", text)
		if err != nil {
			t.Fatal(err)
		}
		order.Targets = append(order.Targets, schedule.Target{Protocol: "limpet-spawning", Start: start.Add(18 * time.Hour),
			Settings: map[string]calc.Written{"spat_wanted": {Text: "30000"}, "eggs_expected": {Text: "1.2e6"}}})
	}
	s, err := schedule.Arrange(order)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Batches) < 10 {
		t.Fatalf("only %d batches", len(s.Batches))
	}
	return Calendar{Schedule: s, Site: site.Name, Code: site.Code, Paper: paper, Made: made}
}

func icsOf(t testing.TB, c Calendar) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteICS(&b, c); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func pdfOf(t testing.TB, c Calendar) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WritePDF(&b, c); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestLinesOfTheFile: CRLF and no bare line break, 75 octets at most, whole letters.
func TestLinesOfTheFile(t *testing.T) {
	text := icsOf(t, sample(t, "A4", "2026-03-14", "2026-04-11"))
	if strings.Count(text, "\n") != strings.Count(text, "\r\n") || strings.Count(text, "\r") != strings.Count(text, "\r\n") ||
		!strings.HasSuffix(text, "END:VCALENDAR\r\n") {
		t.Error("lines do not end in CRLF")
	}
	folded := 0
	for _, line := range strings.Split(text, "\r\n") {
		if len(line) > 75 || !utf8.ValidString(line) {
			t.Errorf("%d octets: %q", len(line), line)
		}
		if strings.HasPrefix(line, " ") {
			folded++
		}
	}
	if folded < 100 {
		t.Errorf("only %d folded lines", folded)
	}
	if n := strings.Count(text, "DTSTAMP:20260301T120000Z\r\n"); n != strings.Count(text, "BEGIN:VEVENT") {
		t.Errorf("%d stamps of the time of making", n)
	}
}

// TestFoldingKeepsTheText, whatever it is.
func TestFoldingKeepsTheText(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		value := escaped(rapid.StringN(0, 300, 900).Draw(r, "text"))
		var b bytes.Buffer
		out := &lines{w: bufio.NewWriter(&b)}
		out.put("SUMMARY", value)
		if err := out.w.Flush(); err != nil || out.err != nil {
			r.Fatal(err, out.err)
		}
		for _, line := range strings.Split(b.String(), "\r\n") {
			if len(line) > 75 || !utf8.ValidString(line) {
				r.Errorf("%d octets: %q", len(line), line)
			}
		}
		if got := strings.ReplaceAll(b.String(), "\r\n ", ""); got != "SUMMARY:"+value+"\r\n" {
			r.Errorf("got %q, want %q", got, value)
		}
	})
}

func TestEscaped(t *testing.T) {
	for from, want := range map[string]string{
		"eggs, sperm; a\\b\nnext": `eggs\, sperm\; a\\b\nnext`, // RFC 5545, 3.3.11
		"a\tb\x00c":               "abc",
		"a\xffb":                  "a\uFFFDb",
		"16 °C: ripe":             "16 °C: ripe",
	} {
		if got := escaped(from); got != want {
			t.Errorf("%q: got %q, want %q", from, got, want)
		}
	}
}

func TestRule(t *testing.T) {
	for every, want := range map[time.Duration]string{
		24 * time.Hour:     "FREQ=DAILY;INTERVAL=1;COUNT=3",
		7 * 24 * time.Hour: "FREQ=DAILY;INTERVAL=7;COUNT=3",
		36 * time.Hour:     "FREQ=HOURLY;INTERVAL=36;COUNT=3",
		90 * time.Minute:   "FREQ=MINUTELY;INTERVAL=90;COUNT=3",
	} {
		if got := rule(schedule.Event{Every: every, Times: 3}); got != want {
			t.Errorf("%s: got %s", every, got)
		}
	}
}

func TestSameScheduleSameBytes(t *testing.T) {
	for _, paper := range []string{"A4", "Letter"} {
		a, b := sample(t, paper, "2026-03-14", "2026-04-11"), sample(t, paper, "2026-03-14", "2026-04-11")
		if icsOf(t, a) != icsOf(t, b) || !bytes.Equal(pdfOf(t, a), pdfOf(t, b)) {
			t.Errorf("%s: two makings differ", paper)
		}
	}
	if err := WritePDF(&bytes.Buffer{}, sample(t, "A5", "2026-03-14")); err == nil || !strings.Contains(err.Error(), "write A4 or Letter") {
		t.Errorf("A5: %v", err)
	}
}

// TestMovedEntriesKeepTheirUID, so that a calendar program moves them.
func TestMovedEntriesKeepTheirUID(t *testing.T) {
	uids := func(c Calendar) []string {
		var out []string
		for _, line := range strings.Split(strings.ReplaceAll(icsOf(t, c), "\r\n ", ""), "\r\n") {
			if uid, ok := strings.CutPrefix(line, "UID:"); ok && !strings.Contains(uid, "latest-start") {
				out = append(out, uid)
			}
		}
		slices.Sort(out)
		return out
	}
	before, after := uids(sample(t, "A4", "2026-03-14")), uids(sample(t, "A4", "2026-03-17"))
	if len(before) < 50 || !slices.Equal(before, after) || len(slices.Compact(before)) != len(after) {
		t.Errorf("%d and %d UIDs", len(before), len(after))
	}
}

// tool finds a program, or skips the test where there is none outside CI.
func tool(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%v isn't installed", names)
	}
	t.Skipf("%v isn't installed", names)
	return ""
}

// listing prints every occurrence that a calendar program would show, repeats unrolled.
const listing = `
import sys, icalendar
from dateutil.rrule import rrulestr
c = icalendar.Calendar.from_ical(open(sys.argv[1], "rb").read())
for e in c.walk("VEVENT"):
    assert not e.errors, e.errors
    start = e["DTSTART"].dt
    assert getattr(start, "tzinfo", None) is None, start
    times = [start]
    if "RRULE" in e:
        times = list(rrulestr(e["RRULE"].to_ical().decode(), dtstart=start))
    for t in times:
        print(t.strftime("%Y-%m-%d %H:%M"), e["SUMMARY"], sep="|")
`

// TestAnotherProgramReadsTheFile: Python's icalendar sees every step at its time.
func TestAnotherProgramReadsTheFile(t *testing.T) {
	python := tool(t, "/usr/bin/python3", "python3")
	if exec.Command(python, "-c", "import icalendar").Run() != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("python3-icalendar isn't installed")
		}
		t.Skip("python3-icalendar isn't installed")
	}
	c := sample(t, "A4", "2026-03-14", "2026-04-11")
	name := filepath.Join(t.TempDir(), "calendar.ics")
	if err := os.WriteFile(name, []byte(icsOf(t, c)), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(python, "-c", listing, name).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var want []string
	for _, b := range c.Schedule.Batches {
		for _, e := range b.Events {
			for n := range e.Times {
				want = append(want, fmt.Sprintf("%s|%s %s", e.Start.Add(time.Duration(n)*e.Every).Format("2006-01-02 15:04"), b.Code, e.Step.Definition.Title))
			}
		}
		if c.hasDeadline(b) {
			want = append(want, b.Latest.Format("2006-01-02")+" 00:00|Latest start of "+b.Code)
		}
	}
	got := strings.Split(strings.TrimSpace(string(out)), "\n")
	slices.Sort(got)
	slices.Sort(want)
	if len(want) < 200 || !slices.Equal(got, want) {
		t.Errorf("read back %d, want %d", len(got), len(want))
		for _, line := range want {
			if !slices.Contains(got, line) {
				t.Fatalf("%s is missing", line)
			}
		}
	}
}

// TestEveryEntryIsOnPaper: pdftotext finds every entry whole, on its day's box or on the
// list of full days, and no letter outside the margins.
func TestEveryEntryIsOnPaper(t *testing.T) {
	pdftotext := tool(t, "pdftotext")
	for _, paper := range []string{"A4", "Letter"} {
		c := sample(t, paper, "2026-03-14", "2026-04-11")
		name := filepath.Join(t.TempDir(), paper+".pdf")
		if err := os.WriteFile(name, pdfOf(t, c), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(pdftotext, "-raw", name, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(string(out)), "")
		entries := c.entries()
		if len(entries) < 150 {
			t.Errorf("only %d entries", len(entries))
		}
		for _, e := range entries {
			if !strings.Contains(text, strings.Join(strings.Fields(e.text()), "")) {
				t.Errorf("%s: %s: %q is not on the paper", paper, e.day.Format("2006-01-02"), e.text())
			}
		}
		for _, month := range []string{"January 2026", "March 2026", "April 2026", "Batches and clashes"} {
			if !strings.Contains(string(out), month) {
				t.Errorf("%s: no page %q", paper, month)
			}
		}
	}
}

// TestNothingRunsOffTheMonth: the weeks fill the page and no more, however full.
func TestNothingRunsOffTheMonth(t *testing.T) {
	c := sample(t, "A4", "2026-03-14")
	rapid.Check(t, func(r *rapid.T) {
		p := &sheet{c: c, width: 277, height: 190}
		first := time.Date(2026, time.Month(rapid.IntRange(1, 12).Draw(r, "month")), 1, 0, 0, 0, 0, time.UTC)
		days := map[time.Time][]string{}
		for d := first; d.Month() == first.Month(); d = d.AddDate(0, 0, 1) {
			for range rapid.IntRange(0, 12).Draw(r, "entries") {
				days[d] = append(days[d], "S1-DIATOM-CULTURE*: 07:00 Make the medium; 08:00 Count the parent culture")
			}
		}
		heights, pt := p.fit(weeksOf(first), first.Month(), days, p.width/7)
		sum := 0.0
		for _, h := range heights {
			sum += h
		}
		room := p.height - headMM - weekMM - footMM
		if sum > room+0.1 || sum < room-5 || pt < 6.5 || pt > 9 {
			r.Errorf("weeks of %v, together %g of %g mm, at %g pt", heights, sum, room, pt)
		}
	})
}

func TestWeeks(t *testing.T) {
	// 1 March 2026 is a Sunday: six weeks, from Monday 23 February to Sunday 5 April.
	weeks := weeksOf(time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC))
	if len(weeks) != 6 || weeks[0][0].Format("2006-01-02") != "2026-02-23" || weeks[5][6].Format("2006-01-02") != "2026-04-05" {
		t.Errorf("%v", weeks)
	}
	// February 2027 has four weeks and nothing more.
	if weeks = weeksOf(time.Date(2027, 2, 1, 0, 0, 0, 0, time.UTC)); len(weeks) != 4 || weeks[3][6].Day() != 28 {
		t.Errorf("%v", weeks)
	}
}

func TestSlack(t *testing.T) {
	for d, want := range map[time.Duration]string{
		0: "0 h", 9 * time.Hour: "9 h", 57 * time.Hour: "2 d 9 h", 48 * time.Hour: "2 d", -24 * time.Hour: "late by 1 d", -30 * time.Minute: "late by 1 h",
	} {
		if got := Slack(d); got != want {
			t.Errorf("%s: got %q, want %q", d, got, want)
		}
	}
}

// TestNoCodeIsBroken: the type of a month is so small that its widest code has room, also
// where few entries would let it be larger; other years do not matter.
func TestNoCodeIsBroken(t *testing.T) {
	first := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		code   string
		year   int
		most   float64
		broken bool
	}{{"KS-26-01:", 2026, 9, false}, {"S1-DIATOM-CULTURE-3*:", 2026, 9, false}, {"S1-DIATOM-CULTURE-3*:", 2025, 9, false},
		{"WWWWWWWWWWWWWWWWWW-2*:", 2026, 6.5, true}} {
		for _, width := range []float64{277, 259.4} { // A4 and Letter, landscape
			p := &sheet{width: width, height: 190}
			entry := c.code + " 07:00 Make the medium"
			days := map[time.Time][]string{first.AddDate(c.year-2026, 0, 9): {entry}}
			_, pt := p.fit(weeksOf(first), first.Month(), days, p.width/7)
			whole := slices.ContainsFunc(style.Regular().Wrap(entry, pt, p.width/7-2*padMM), func(line string) bool { return strings.HasPrefix(line, c.code) })
			if pt > c.most || pt < 6.5 || c.year == 2026 && whole == c.broken || c.year != 2026 && pt != 9 {
				t.Errorf("%s of %d on %g mm: %g pt, whole %t", c.code, c.year, width, pt, whole)
			}
		}
	}
}
