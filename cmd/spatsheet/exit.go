package main

import (
	"errors"
	"fmt"
	"strings"

	"spatsheet/cmd/station"
)

// Exit codes; every help page lists them.
const (
	exitGood     = 0
	exitFindings = 1
	exitUsage    = 2
	exitInput    = 3
	exitLog      = 4
	exitOutput   = 5
)

// errFindings is told where there are findings at error level.
var errFindings = errors.New("there are findings at error level")

func usageFault(format string, args ...any) error {
	return &station.Fault{Kind: station.ErrUse, Err: fmt.Errorf(format, args...)}
}
func inputFault(err error) error { return &station.Fault{Kind: station.ErrInput, Err: err} }
func logFault(err error) error   { return &station.Fault{Kind: station.ErrLog, Err: err} }

func exitCode(err error) int {
	switch {
	case err == nil:
		return exitGood
	case errors.Is(err, errFindings):
		return exitFindings
	case errors.Is(err, station.ErrInput):
		return exitInput
	case errors.Is(err, station.ErrLog):
		return exitLog
	}
	return exitUsage
}

// worse keeps the error with the higher exit code.
func worse(a, b error) error {
	if exitCode(b) > exitCode(a) {
		return b
	}
	return a
}

// kindOf is the kind of a fault, for one that sums up others.
func kindOf(err error) error {
	for _, kind := range []error{station.ErrLog, station.ErrInput, errFindings} {
		if errors.Is(err, kind) {
			return kind
		}
	}
	return station.ErrUse
}

// exitStatus are the exit codes in words.
var exitStatus = []struct {
	code int
	says string
}{
	{exitGood, "good"},
	{exitFindings, "findings at error level"},
	{exitUsage, "wrong use"},
	{exitInput, "input that cannot be read"},
	{exitLog, "season log trouble"},
	{exitOutput, "output could not be written"},
}

// exitCodesHelp ends every help page.
var exitCodesHelp = func() string {
	var codes []string
	for _, e := range exitStatus {
		codes = append(codes, fmt.Sprintf("%d %s", e.code, e.says))
	}
	return "Exit codes: " + strings.Join(codes, ", ") + "."
}()
