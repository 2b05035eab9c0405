package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"spatsheet/cmd/station"
)

// spoil is a place of a season's file, up to and with a digit; another digit is put after it.
type spoil struct{ file, place string }

// anotherProgramWorksOutSurvival has a script that knows the CSV files only work every
// count and survival out again; it must be able to disagree.
func anotherProgramWorksOutSurvival(t *testing.T, folder string) {
	scriptAgrees(t, folder, "season.py", []spoil{
		{"stages.csv", `,carriage,[^,]*,\d`}, {"survival.csv", `,settlement,[^,]*,\d`},
		{"readings.csv", `KS-26-S1,limpet-spawning@1.0.0,1,\d+,larvae_on_hand,[^,]*,given,\d`},
	})
}

// anotherProgramWorksOutReport has a script work every number of the report's tables out
// again from the CSV files; it must notice a changed digit in each section, and a changed
// reading.
func anotherProgramWorksOutReport(t *testing.T, folder string) {
	out := scriptAgrees(t, folder, "report.py", []spoil{
		{"report.html", `\(larval-rearing@1.0.0\)</td><td class="right">\d`},         // what was done
		{"report.html", `<td>larval-rearing</td><td class="right">\d+</td>[^\d]+\d`}, // handed over
		{"report.html", `<tr class="bold"><td>all</td>[^\d]*\d`},                     // collections
		{"report.html", `Put in to end of quarantine</td>(<td[^\d]*[\d.]+[^<]*</td>){3}<td class="right">\d`},
		{"report.html", `95 % limits[^\x00]*?<td>Sound</td>(<td[^\d]*[\d.]+[^<]*</td>){4}<td class="right">\d`},
		{"report.html", `chi-square \d`},
		{"report.html", `<td>KS-26-S1</td><td>2026-01-27</td>(<td[^<]*</td>){5}<td class="right">\d`},
		{"report.html", `<td>KS-26-B1</td><td>2026 pool N</td><td>[\d-]+: \d`}, // growth
		{"report.html", `smallest possible p is 0\.\d`},
		{"report.html", `<td>KS-25-A1</td><td>broodstock-acclimation@1.0.0</td><td class="right">\d+`}, // water
		{"report.html", `<td>\d+ boxes: Water`},                                                        // deviations
		{"report.html", `; and \d+ more</td>`},                                                         // corrections
		{"readings.csv", `KS-26-C2,shore-collection@1.0.0,1,\d+,dead_on_arrival,[^,]*,given,\d`},
		{"readings.csv", `KS-26-N1,nursery@1.0.0,1,\d+,length_sample.7.length,"[^"]*",given,\d`},
		{"readings.csv", `KS-26-A1,broodstock-acclimation@1.0.0,1,\d+,classes.2.at_end,"[^"]*",given,\d`},
	})
	figures := regexp.MustCompile(`(\d+) figures and`).FindStringSubmatch(out)
	if figures == nil || len(figures[1]) < 3 || !strings.Contains(out, "12 tables") {
		t.Errorf("hundreds of figures of 12 tables are wanted:\n%s", out)
	}
}

// scriptAgrees runs a script of testdata/independent on the season's files, and again on
// each spoilt copy, where it must disagree. It gives what the script said first.
func scriptAgrees(t *testing.T, folder, script string, spoils []spoil) string {
	t.Helper()
	interpreter := python(t)
	said := func(folder string) (string, error) {
		command := exec.Command(interpreter, filepath.Join("..", "..", "testdata", "independent", script), folder)
		command.Env = append(os.Environ(), "PYTHONDONTWRITEBYTECODE=1", "PYTHONUTF8=1")
		out, err := command.CombinedOutput()
		return string(out), err
	}
	files := filepath.Join(folder, station.OutFolder)
	first, err := said(files)
	if err != nil || !strings.Contains(first, "35 batches") || !strings.Contains(first, ", 0 disagree") {
		t.Errorf("%v\n%s", err, first)
	}
	for _, s := range spoils {
		spoilt := t.TempDir()
		if err := os.CopyFS(spoilt, os.DirFS(files)); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(spoilt, s.file)
		content, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		at := regexp.MustCompile(s.place).FindIndex(content)
		if at == nil {
			t.Errorf("%s has no %s to spoil", s.file, s.place)
			continue
		}
		last := at[0] + bytes.LastIndexAny(content[at[0]:at[1]], "0123456789") + 1
		changed := string(content[:last]) + "9" + string(content[last:])
		if err := os.WriteFile(name, []byte(changed), 0o600); err != nil {
			t.Fatal(err)
		}
		if out, err := said(spoilt); err == nil || !strings.Contains(out, " disagree") || strings.Contains(out, ", 0 disagree") {
			t.Errorf("%s with a 9 after %s: %v\n%s", s.file, s.place, err, out)
		}
	}
	return first
}
