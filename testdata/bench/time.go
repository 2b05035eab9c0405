package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// program is one command that is timed as a whole process.
type program struct {
	label, before, command string
	wall, cpu              []float64 // seconds, by run
	peak                   int       // kB, the most of all runs
	failed                 error
}

// timeCommand times programs in turn, A B C A B C, so that whatever else the machine does
// hits all of them. Arguments are threes: a label, what is done before each run and not
// timed, and the command, each of the latter two for sh. The first is what the others are
// held against, run by run.
func timeCommand(arguments []string) error {
	flags := flag.NewFlagSet("time", flag.ContinueOnError)
	runs := flags.Int("runs", 5, "counted runs")
	warm := flags.Int("warm", 1, "runs before, not counted")
	raw := flags.String("raw", "", "append label, median seconds and peak kB to this file")
	if err := flags.Parse(arguments); err != nil {
		return err
	}
	rest := flags.Args()
	if len(rest) == 0 || len(rest)%3 != 0 || *runs < 1 {
		return errors.New("time: give threes of label, before and command, and one run or more")
	}
	var list []*program
	for three := range slices.Chunk(rest, 3) {
		list = append(list, &program{label: three[0], before: three[1], command: three[2]})
	}
	for run := range *warm + *runs {
		for _, p := range list {
			if p.failed == nil { // the others go on
				p.failed = p.run(run >= *warm)
			}
		}
	}
	for _, p := range list {
		fmt.Println(p.row(list[0]))
	}
	return appendRaw(*raw, list)
}

// run runs the program once. Exit code 1 is spatsheet's for findings.
func (p *program) run(counted bool) error {
	if p.before != "" {
		if out, err := exec.Command("sh", "-c", p.before).CombinedOutput(); err != nil {
			return fmt.Errorf("before: %w: %s", err, out)
		}
	}
	peakFile := filepath.Join(os.TempDir(), fmt.Sprintf("bench-peak-%d", os.Getpid()))
	defer os.Remove(peakFile)
	name, arguments := "sh", []string{"-c", "exec " + p.command}
	if gnu, err := exec.LookPath("time"); err == nil { // the system's own count would include this program's
		name, arguments = gnu, append([]string{"-q", "-f", "%M", "-o", peakFile, "sh"}, arguments...)
	}
	command := exec.Command(name, arguments...)
	var talk bytes.Buffer
	command.Stderr = &talk
	began := time.Now()
	err := command.Run()
	wall := time.Since(began).Seconds()
	var exit *exec.ExitError
	if err != nil && !(errors.As(err, &exit) && exit.ExitCode() == 1) {
		return fmt.Errorf("%w: %s", err, talk.String())
	}
	if counted {
		state := command.ProcessState
		p.wall, p.cpu = append(p.wall, wall), append(p.cpu, (state.UserTime()+state.SystemTime()).Seconds())
		p.peak = max(p.peak, readPeak(peakFile))
	}
	return nil
}

func readPeak(name string) int {
	text, err := os.ReadFile(name)
	if err != nil {
		return 0
	}
	kB, _ := strconv.Atoi(strings.TrimSpace(string(text)))
	return kB
}

// row is a line of a Markdown table under heading.
func (p *program) row(first *program) string {
	if p.failed != nil {
		return fmt.Sprintf("| %s | failed: %.300s | | | | |", p.label, strings.Join(strings.Fields(p.failed.Error()), " "))
	}
	ratios := make([]float64, min(len(p.wall), len(first.wall)))
	for i := range ratios {
		ratios[i] = p.wall[i] / first.wall[i]
	}
	return fmt.Sprintf("| %s | %.3f | %.3f-%.3f | %.3f | %.2f | %.1f |", p.label, median(p.wall), slices.Min(p.wall), slices.Max(p.wall),
		median(p.cpu), median(ratios), float64(p.peak)/1024)
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	x = slices.Sorted(slices.Values(x))
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

func appendRaw(name string, list []*program) error {
	if name == "" {
		return nil
	}
	f, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	for _, p := range list {
		if p.failed != nil {
			continue
		}
		fmt.Fprintf(f, "%s\t%.6f\t%d\n", strings.ReplaceAll(p.label, " ", "-"), median(p.wall), p.peak)
	}
	return f.Close()
}
