package main

import (
	"errors"
	"os"
	"os/exec"
	"strconv"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"spatsheet/render/scratch"
)

// scriptClock is the time that a script's program sees unless the script says
// `env CLOCK=2026-03-02T08:00:00Z`.
const scriptClock = "2026-03-01T12:00:00Z"

// TestMain makes this test binary the program `spatsheet` for the scripts, with a clock that
// stands still.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"spatsheet": func() {
			clock := os.Getenv("CLOCK")
			if clock == "" {
				clock = scriptClock
			}
			at, err := time.Parse(time.RFC3339, clock)
			if err != nil {
				panic("CLOCK: " + err.Error())
			}
			code := run(os.Args, os.Stdout, os.Stderr, func() time.Time { return at })
			tellMemory()
			os.Exit(code)
		},
	})
}

// TestScripts runs testdata/script/*.txtar. Scripts know three commands more than testscript's:
//
//	exits CODE program argument...
//
// which runs the program and fails unless it exits with that code, fill (fillIn), and
// demo FOLDER, which lays down what `spatsheet demo FOLDER` makes (demo.txtar runs that).
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/script",
		WorkdirRoot:         scratch.Folder(t),
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") != "",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "fill": fillIn, "demo": demoIn},
	})
}

func exits(ts *testscript.TestScript, negated bool, args []string) {
	if negated {
		ts.Fatalf("exits takes no !; name the code that is wanted")
	}
	if len(args) < 2 {
		ts.Fatalf("usage: exits CODE program argument...")
	}
	want, err := strconv.Atoi(args[0])
	if err != nil {
		ts.Fatalf("exits: %q is no exit code", args[0])
	}
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("exits: %v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}
