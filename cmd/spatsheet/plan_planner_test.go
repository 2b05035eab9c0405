package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"spatsheet/cmd/station"
	"spatsheet/protocols/library"
	"spatsheet/render/scratch"
	"spatsheet/templates"
)

// askedAt is the clock of these tests.
func askedAt() time.Time { return time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC) }

func seasonFolder(t *testing.T) (p *program, folder string) {
	t.Helper()
	p, folder = &program{out: io.Discard, talk: io.Discard, now: askedAt}, filepath.Join(scratch.Folder(t), "season")
	if err := p.makeFolder(station.At(folder), templates.Site); err != nil {
		t.Fatal(err)
	}
	return p, folder
}

func spawningPlanner(t *testing.T, settings map[string]string) *planner {
	t.Helper()
	p, folder := seasonFolder(t)
	s, err := newPlanner(p, station.At(folder), false, false, answers{protocol: "limpet-spawning@2.0.0", species: "Patella aspera", settings: settings})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestPreview(t *testing.T) {
	good := map[string]string{"females": "18", "males": "12", "eggs_expected": "2.4e6", "spat_wanted": "60000"}
	with := func(id, value string) map[string]string {
		m := map[string]string{}
		for k, v := range good {
			m[k] = v
		}
		if m[id] = value; value == "" {
			delete(m, id)
		}
		return m
	}
	for name, c := range map[string]struct {
		settings map[string]string
		want     []string
	}{
		"amounts":       {good, []string{"What this batch comes to", "Beakers in all", "12 beakers (site: 24)", "more on the sheet"}},
		"too large":     {with("females", "60"), []string{"This batch does not fit the site:", "beakers: needs", "the largest batch of this shape that fits:"}},
		"one missing":   {with("males", ""), []string{"The amounts are shown here once there are: Males"}},
		"out of range":  {with("males", "0"), []string{"males (Males): 0 animals is outside 1 to 1000 animals"}},
		"other measure": {with("contact", "2 kg"), []string{"cannot turn 2 kg (mass) into min (time)"}},
	} {
		t.Run(name, func(t *testing.T) {
			seen := spawningPlanner(t, c.settings).look()
			for _, size := range [][2]int{{78, 13}, {48, 30}, {78, 5}, {30, 1}} {
				lines := seen.lines(size[0], size[1])
				if len(lines) > size[1] {
					t.Errorf("%d lines in %d", len(lines), size[1])
				}
				for _, line := range lines {
					if utf8.RuneCountInString(line) > size[0] {
						t.Errorf("wider than %d: %q", size[0], line)
					}
				}
			}
			text := strings.Join(strings.Fields(strings.Join(seen.lines(78, 13), " ")), " ")
			for _, want := range c.want {
				if !strings.Contains(text, want) {
					t.Errorf("no %q in\n%s", want, text)
				}
			}
		})
	}
}

// TestFaultIsThatOfTheAnswer holds the form's checks against one answer at a time.
func TestFaultIsThatOfTheAnswer(t *testing.T) {
	s := spawningPlanner(t, nil)
	for _, c := range []struct{ key, value, want string }{
		{"set females", "18", ""},
		{"set females", "18 animals", ""},
		{"set females", "0", "outside 1 to 1000"},
		{"set females", "many", "many"},
		{"date", "2026-02-30", "not a day of the calendar"},
		{"date", "2026-02-28", ""},
		{"start", "25:00", "not a clock time"},
		{"batch", "x", "use 3 to 20 capital letters"},
		{"species", "Haliotis rubra", "is written for Patella, Cellana, Lottia"},
		{"species", "Patella vulgata", ""},
		{"profile", "cellana-sandwicensis", "is of Cellana sandwicensis, not of Patella aspera"},
		{"profile", "none", ""},
	} {
		if got := s.fault(c.key, c.value); (c.want == "") != (got == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s = %q: got %q, want %q", c.key, c.value, got, c.want)
		}
	}
	if len(s.answers.settings) != 0 || s.answers.date != "" || s.answers.species != "Patella aspera" {
		t.Errorf("looking at an answer changed the plan: %+v", s.answers)
	}
}

func TestValuesSayWhoGaveThem(t *testing.T) {
	s := spawningPlanner(t, map[string]string{"females": "18"})
	whose := map[string]string{}
	for _, v := range s.valuesByGiver() {
		whose[v.Setting.ID] = s.whose(v)
	}
	for id, want := range map[string]string{"females": "this plan", "larval_days": "species", "watch_hours": "site", "rinses": "protocol"} {
		if whose[id] != want {
			t.Errorf("%s is said to be by %q, want %q", id, whose[id], want)
		}
	}
	if _, ok := whose["males"]; ok {
		t.Error("males has no value yet")
	}
}

func TestAskedOnlyWhatIsMissing(t *testing.T) {
	p, folder := seasonFolder(t)
	full := answers{protocol: "limpet-spawning", batch: "A-01", species: "Patella aspera", date: "2026-03-01", start: "18:00",
		settings: map[string]string{"females": "18", "males": "12", "eggs_expected": "2.4e6", "spat_wanted": "60000"}}
	for name, c := range map[string]struct {
		drop string
		want string // the questions of all pages but the last two
	}{
		"nothing":          {"", ""},
		"the day":          {"date", "date"},
		"a setting":        {"males", "set males"},
		"the species":      {"species", "species"},
		"the protocol":     {"protocol", "protocol"},
		"all but settings": {"*", "protocol species batch date start"},
	} {
		t.Run(name, func(t *testing.T) {
			a := full
			a.settings = map[string]string{}
			for k, v := range full.settings {
				if k != c.drop {
					a.settings[k] = v
				}
			}
			for _, flag := range neededFlags {
				if c.drop == flag || c.drop == "*" {
					*a.text(flag) = ""
				}
			}
			s, err := newPlanner(p, station.At(folder), false, false, a)
			if err != nil {
				t.Fatal(err)
			}
			if s.missing() != (c.drop != "") {
				t.Errorf("missing is %v", s.missing())
			}
			if got := strings.Join(questionsAsked(t, s), " "); got != strings.TrimSpace(c.want+" change finish") {
				t.Errorf("asked %q, want %q and the last two", got, c.want)
			}
		})
	}
}

// questionsAsked goes through the pages and answers with what is proposed, the first of
// each list, and the example of each setting.
func questionsAsked(t *testing.T, s *planner) (keys []string) {
	t.Helper()
	for at := askProtocol; ; {
		page := s.first(at, askedAt())
		if page.step == allAsked {
			return keys
		}
		for _, q := range page.questions {
			keys = append(keys, q.key)
			q.value = answerTo(s, q)
			if says := q.check(q.value); says != nil {
				t.Errorf("%s = %q: %v", q.key, q.value, says)
			}
		}
		if err := s.take(page); err != nil {
			t.Fatal(err)
		}
		at = s.after(page.step)
	}
}

func answerTo(s *planner, q *planQuestion) string {
	if q.value == "" && q.key == "protocol" {
		return "limpet-spawning@2.0.0"
	}
	if q.value == "" && len(q.choices) > 0 && !q.several {
		return q.choices[0].value
	}
	if id, ok := strings.CutPrefix(q.key, "set "); ok && q.value == "" {
		setting, _ := s.protocol.Setting(id)
		return setting.Example.String()
	}
	return q.value
}

// TestLineByLineEqualsFlags answers the questions of every protocol line by line, over a
// pipe, and wants the plan that the command shown at the end makes with flags.
func TestLineByLineEqualsFlags(t *testing.T) {
	ran := 0
	for _, ref := range library.Refs() {
		t.Run(ref, func(t *testing.T) {
			ran++
			p, folder := seasonFolder(t)
			var spoken bytes.Buffer
			p.out = &spoken
			s := askLineByLine(t, p, folder, ref)
			if err := p.makePlan(s.answers, station.At(folder), false, true); err != nil {
				t.Fatal(err, spoken.String())
			}
			name := planName(station.At(folder), s.answers.batch)
			asked := textOf(t, name)
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
			_, command, _ := strings.Cut(spoken.String(), "the same without asking: ")
			command, _, _ = strings.Cut(command, "\n")
			if code := run(append(shellWords(t, command), "--no-ask"), io.Discard, os.Stderr, askedAt); code != exitGood {
				t.Fatalf("%s: exit code %d", command, code)
			}
			if flags := textOf(t, name); flags != asked {
				t.Errorf("asked:\n%s\nby flags:\n%s", asked, flags)
			}
		})
	}
	if ran != len(library.Refs()) || ran < 12 {
		t.Errorf("%d protocols ran", ran)
	}
}

// askLineByLine types the examples for settings and takes what is proposed for the rest.
func askLineByLine(t *testing.T, p *program, folder, ref string) *planner {
	t.Helper()
	given := answers{protocol: ref}
	dry, err := newPlanner(p, station.At(folder), false, true, given)
	if err != nil {
		t.Fatal(err)
	}
	var typed strings.Builder
	for at := askProtocol; ; {
		page := dry.first(at, askedAt())
		if page.step == allAsked {
			break
		}
		for _, q := range page.questions {
			answer := ""
			switch {
			case q.key == "note":
				answer = "it's a note, \"quoted\""
			case len(q.choices) == 0 && q.value == "":
				answer = answerTo(dry, q)
			}
			typed.WriteString(answer + "\n")
			if answer != "" {
				q.value = answer
			} else {
				q.value = answerTo(dry, q)
			}
		}
		if err := dry.take(page); err != nil {
			t.Fatal(err)
		}
		at = dry.after(page.step)
	}
	s, err := newPlanner(p, station.At(folder), false, true, given)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.lineByLine(s, strings.NewReader(typed.String())); err != nil {
		t.Fatalf("%v after %q", err, typed.String())
	}
	return s
}

func TestLineByLineStopsAtTheEnd(t *testing.T) {
	for name, typed := range map[string]string{"at once": "", "in the middle": "1\n\n\n", "at a bad value": "1\n\n\n\n0\n"} {
		t.Run(name, func(t *testing.T) {
			p, folder := seasonFolder(t)
			s, err := newPlanner(p, station.At(folder), false, false, answers{protocol: "limpet-spawning"})
			if err != nil {
				t.Fatal(err)
			}
			if err := p.askLines(s, strings.NewReader(typed)); err != errStopped {
				t.Errorf("got %v", err)
			}
			if names, _ := filepath.Glob(planName(station.At(folder), "*")); len(names) > 0 {
				t.Errorf("%q was written", names)
			}
		})
	}
}

// shellWords splits a command line as a shell does.
func shellWords(t *testing.T, command string) []string {
	t.Helper()
	out, err := exec.Command("sh", "-c", `for w in `+command+`; do printf '%s\n' "$w"; done`).Output()
	if err != nil {
		t.Skip("no sh here: ", err)
	}
	return strings.Split(strings.TrimSuffix(string(out), "\n"), "\n")
}

func textOf(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestParentsGiveValues plans larvae from a demo's two spawnings.
func TestParentsGiveValues(t *testing.T) {
	folder := filepath.Join(scratch.Folder(t), "demo")
	if err := layDemo(folder); err != nil {
		t.Fatal(err)
	}
	p := &program{out: io.Discard, talk: io.Discard, now: askedAt}
	s, err := newPlanner(p, station.At(folder), false, false, answers{protocol: "larval-rearing", species: "Patella vulgata"})
	if err != nil {
		t.Fatal(err)
	}
	page := s.page(askParents, askedAt())
	if len(page.questions) != 1 {
		t.Fatalf("parents are not asked for: %+v", page)
	}
	q := page.questions[0]
	var batches []string
	for _, c := range q.choices {
		batches = append(batches, c.value)
	}
	// KS-26-02 is later, of another species
	if got := strings.Join(batches, " "); got != "KS-26-01 KS-26-02" {
		t.Errorf("proposed %s", got)
	}
	if says := q.check("KS-26-01 KS-26-02"); says == nil || !strings.Contains(says.Error(), "hand over larvae_hatched; say which counts") {
		t.Errorf("two that give the same: %v", says)
	}
	if says := q.check("KS-26-01"); says != nil {
		t.Error(says)
	}
	q.chosen = []string{"KS-26-01"}
	if err := s.take(page); err != nil {
		t.Fatal(err)
	}
	if n := len(s.page(askLacking, askedAt()).questions); n != 0 {
		t.Errorf("%d settings are asked for that the parent gives", n)
	}
	if first := s.valuesByGiver()[0]; first.Setting.ID != "larvae" || s.whose(first) != "from KS-26-01" {
		t.Errorf("larvae are said to be %q", s.whose(first))
	}
	s.put("set larvae", "2e5")
	if first := s.valuesByGiver()[0]; s.whose(first) != "this plan" || first.Quantity.Value() != 2e5 {
		t.Errorf("a value of one's own: %v by %s", first.Quantity, s.whose(first))
	}
	if got := s.page(askStart, askedAt()).questions[0].value; got != "KS-26-03" {
		t.Errorf("proposed the code %q", got)
	}
	if says := s.page(askStart, askedAt()).questions[0].check("KS-26-01"); says == nil || !strings.Contains(says.Error(), "planned in") {
		t.Errorf("a code in use: %v", says)
	}
}
