package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"spatsheet/cmd/station"
)

// terminal is a program in a terminal of its own, driven by keys.
type terminal struct {
	t      *testing.T
	socket string
}

// inTerminal runs a command line in a terminal of a size, in a folder. The command's exit
// code is shown when it ends.
func inTerminal(t *testing.T, folder string, width, height int, command string) *terminal {
	t.Helper()
	if _, err := exec.LookPath("tmux"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("tmux is not installed; .ci/run installs it")
		}
		t.Skip("tmux is not installed")
	}
	dir, err := os.MkdirTemp("", "plan-form") // t.TempDir's path is too long for a socket
	if err != nil {
		t.Fatal(err)
	}
	term := &terminal{t, filepath.Join(dir, "tmux")}
	t.Cleanup(func() {
		exec.Command("tmux", "-S", term.socket, "kill-server").Run() // ended already, or now
		os.RemoveAll(dir)
	})
	term.tmux("-f", "/dev/null", "new-session", "-d", "-x", fmt.Sprint(width), "-y", fmt.Sprint(height), "-c", folder,
		"env -u CI -u ACCESSIBLE TERM=screen LC_ALL=C.UTF-8 CLOCK="+scriptClock+" sh -c '"+command+"; echo exit code $?; cat'")
	return term
}

func (term *terminal) tmux(args ...string) string {
	term.t.Helper()
	out, err := exec.Command("tmux", append([]string{"-u", "-S", term.socket}, args...)...).CombinedOutput()
	if err != nil {
		term.t.Fatalf("tmux %v: %v\n%s", args, err, out)
	}
	return string(out)
}

// keys presses keys, by tmux's names for them; other words are typed.
func (term *terminal) keys(keys ...string) {
	term.t.Helper()
	term.tmux(append([]string{"send-keys"}, keys...)...)
}

// shows waits until every text stands on the screen, and gives the screen.
func (term *terminal) shows(texts ...string) string {
	term.t.Helper()
	screen := ""
	for range 3000 { // half a minute: a busy computer is slow, not wrong
		screen = term.tmux("capture-pane", "-p", "-J")
		missing := false
		for _, text := range texts {
			missing = missing || !strings.Contains(screen, text)
		}
		if !missing {
			return screen
		}
		time.Sleep(10 * time.Millisecond)
	}
	term.t.Fatalf("not all of %q on the screen:\n%s", texts, screen)
	return ""
}

// inForm starts plan for a limpet spawning with flags, in a small and in a large terminal;
// walk begins at the first page that the flags leave to be asked.
func inForm(t *testing.T, flags string, walk func(t *testing.T, term *terminal, folder string)) {
	t.Helper()
	for _, size := range [][2]int{{80, 24}, {120, 40}} {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) {
			_, folder := seasonFolder(t)
			walk(t, inTerminal(t, folder, size[0], size[1], `spatsheet plan --species "Patella aspera" `+flags), folder)
		})
	}
}

// Flags that answer a page of the form each.
const (
	flagsOfProtocol = "--protocol limpet-spawning "
	flagsOfBatch    = "--batch KS-26-01 --date 2026-03-01 "
	flagsOfSettings = "--set females=18 --set males=12 --set eggs_expected=4e6 --set spat_wanted=60000 "
)

// writes goes on from the last page, wants it to sum up the plan, and wants the plan that
// the command shown at the end makes.
func (term *terminal) writes(folder string, sums []string, holds ...string) {
	term.t.Helper()
	term.shows(append(sums, "Write the plan?", "> Write plans/KS-26-01.yaml", "What this batch comes to")...)
	term.keys("Enter")
	screen := term.shows("wrote plans/KS-26-01.yaml", "exit code 0")
	sameByFlags(term.t, folder, screen, holds...)
}

func TestPlanFormAsksForTheProtocol(t *testing.T) {
	inForm(t, flagsOfBatch+"--start 18:15 "+flagsOfSettings, func(_ *testing.T, term *terminal, folder string) {
		term.shows("Which protocol?", "> broodstock-acclimation", "ctrl+c stop, write nothing")
		term.keys("Down", "Down", "Down", "Down", "Down", "Down")
		term.shows("> limpet-spawning@2.0.0", "Overnight group spawning of a limpet, fertilisation, larvae, settlement.")
		term.keys("Enter")
		term.shows("Settings that have a value", "> Keep these 42 values and go on")
		term.keys("Enter")
		term.writes(folder, nil, "protocol: limpet-spawning@2.0.0")
	})
}

func TestPlanFormProposesBatchAndTime(t *testing.T) {
	inForm(t, flagsOfProtocol+flagsOfSettings, func(_ *testing.T, term *terminal, folder string) {
		term.shows("Which batch, and when?", "> KS-26-01", "> 2026-03-01", "> 09:00")
		term.keys("Enter", "Enter", "C-u", "18:15", "Enter")
		term.shows("> Keep these 42 values and go on")
		term.keys("Enter")
		term.writes(folder, []string{"Patella aspera, 2026-03-01 18:15"}, "batch: KS-26-01", `start: "18:15"`)
	})
}

// The settings without a value are refused out of their range, and where the batch does not
// fit the site; the amounts are shown while they are typed, in no colour.
func TestPlanFormShowsWhatTheSettingsComeTo(t *testing.T) {
	inForm(t, flagsOfProtocol+flagsOfBatch+"--start 18:15", func(t *testing.T, term *terminal, folder string) {
		term.shows("Settings that have no value yet", "1 to 1000 animals", "Such as 18 animals")
		term.keys("0", "Enter")
		term.shows("! females (Females): 0 animals is outside 1 to 1000 animals")
		term.keys("C-u", "60", "Tab", "40", "Tab", "4e6", "Tab", "60000")
		term.shows("This batch does not fit the site:", "the largest batch of this shape that fits", "> 60000")
		term.keys("Up", "Up", "Up", "C-u", "18", "Down", "C-u", "12")
		term.shows("What this batch comes to", "12 beakers (site: 24)", "351 plates (site: 400)")
		colour := regexp.MustCompile(`\x1b\[[0-9;]*(3[0-7]|4[0-7]|9[0-7]|38|48)[;m]`)
		if found := colour.FindString(term.tmux("capture-pane", "-p", "-e")); found != "" {
			t.Errorf("a colour: %q", found)
		}
		term.keys("Down", "Down", "Enter")
		term.shows("> Keep these 42 values and go on")
		term.keys("Enter")
		term.writes(folder, []string{"females 18"}, "females: 18")
	})
}

func TestPlanFormChangesAValue(t *testing.T) {
	inForm(t, flagsOfProtocol+flagsOfBatch+flagsOfSettings, func(_ *testing.T, term *terminal, folder string) {
		term.shows("Which batch, and when?", "> 09:00")
		term.keys("Enter")
		term.shows("Settings that have a value", "> Keep these 42 values and go on", "5 d", "species", "this plan")
		term.keys("Down", "Down", "Down", "Down", "Down", "Enter")
		term.shows("Change a setting for this batch", "> 5 d", "Now by: species.")
		term.keys("C-u", "4", "Enter")
		term.shows("> Keep these 42 values and go on")
		term.keys("Enter")
		term.writes(folder, []string{"females 18, larval_days 4"}, "females: 18", "larval_days: 4")
	})
}

// sameByFlags runs the command that the screen shows and wants the same plan file.
func sameByFlags(t *testing.T, folder, screen string, holds ...string) {
	t.Helper()
	name := planName(station.At(folder), "KS-26-01")
	asked := textOf(t, name)
	for _, text := range holds {
		if !strings.Contains(asked, text) {
			t.Errorf("no %q in the plan:\n%s", text, asked)
		}
	}
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	_, command, _ := strings.Cut(screen, "the same without asking: ")
	command, _, _ = strings.Cut(command, "\n")
	args := append(shellWords(t, command), "--folder", folder)
	if code := run(args, io.Discard, os.Stderr, askedAt); code != exitGood {
		t.Fatalf("%s: exit code %d", command, code)
	}
	if flags := textOf(t, name); flags != asked {
		t.Errorf("asked:\n%s\nby flags:\n%s", asked, flags)
	}
}

// TestPlanFormGoesBackAndStops goes back with esc, finds what was typed, and stops.
func TestPlanFormGoesBackAndStops(t *testing.T) {
	_, folder := seasonFolder(t)
	term := inTerminal(t, folder, 80, 24, "spatsheet plan --protocol larval-rearing")
	term.shows("Which species?", "another one, to be typed")
	term.keys("End", "Enter")
	term.shows("genus and species")
	term.keys("Haliotis rubra", "Enter")
	term.shows("! larval-rearing@1.0.0 is written for Patella, Cellana, Lottia")
	term.keys("C-u", "Patella rustica", "Enter")
	term.shows("Which batch, and when?")
	term.keys("C-u", "SPRING-7", "Escape")
	term.shows("genus and species", "> Patella rustica")
	term.keys("Escape")
	term.shows("> another one, to be typed")
	term.keys("Enter")
	term.shows("> Patella rustica")
	term.keys("Enter")
	term.shows("Which batch, and when?")
	term.keys("C-c")
	term.shows("spatsheet: stopped; nothing was written", "exit code 2")
	if names, _ := filepath.Glob(planName(station.At(folder), "*")); len(names) > 0 {
		t.Errorf("%q was written", names)
	}
}

// TestPlanAsksOnlyWhenItMay holds the ways not to be asked on a terminal.
func TestPlanAsksOnlyWhenItMay(t *testing.T) {
	for name, c := range map[string]struct{ command, shows string }{
		"--no-ask":            {"spatsheet plan --no-ask", "--protocol is missing"},
		"CI is set":           {"CI=true spatsheet plan", "--protocol is missing"},
		"a dumb terminal":     {"TERM=dumb spatsheet plan", "--protocol is missing"},
		"asked for, dumb":     {"TERM=dumb spatsheet plan --ask", "Protocol [1]:"},
		"for a screen reader": {"ACCESSIBLE=1 spatsheet plan", "Protocol [1]:"},
		"a bad flag first":    {"spatsheet plan --protocol limpet-spawning --set females=0", "--set females=0: females (Females): 0 animals is outside 1 to 1000"},
		"output to a pipe":    {"spatsheet plan | cat", "--protocol is missing"},
		"no season folder":    {"cd .. && spatsheet plan", "run `spatsheet start .`"},
	} {
		t.Run(name, func(t *testing.T) {
			_, folder := seasonFolder(t)
			inTerminal(t, folder, 100, 40, c.command).shows(c.shows)
		})
	}
}
