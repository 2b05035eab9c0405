package main

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"spatsheet/calc/example"
	"spatsheet/render/workbook"
)

// fillIn is a command of the scripts:
//
//	fill BLANK FILLED [entry=value]...
//
// types into a printed workbook what its protocol's examples say, and other values where
// they are given.
func fillIn(ts *testscript.TestScript, negated bool, args []string) {
	if negated || len(args) < 2 {
		ts.Fatalf("usage: fill BLANK FILLED [entry=value]...")
	}
	wrote := invented{}
	for _, pair := range args[2:] {
		entry, text, _ := strings.Cut(pair, "=")
		wrote[entry] = text
		if number, err := strconv.ParseFloat(text, 64); err == nil {
			wrote[entry] = number
		}
	}
	r, err := readBack(ts.MkAbs(args[0]))
	ts.Check(err)
	values, err := example.Fill(r.sheet, wrote.onto(r.sheet))
	ts.Check(err)
	content, err := workbook.Fill(r.content, values)
	ts.Check(err)
	filled := ts.MkAbs(args[1])
	ts.Check(os.MkdirAll(filepath.Dir(filled), 0o755))
	ts.Check(os.WriteFile(filled, content, 0o644))
}
