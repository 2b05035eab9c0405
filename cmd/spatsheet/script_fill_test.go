package main

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing/fstest"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"spatsheet/calc/example"
	"spatsheet/cmd/station"
	"spatsheet/cmd/station/demo"
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
	wrote := demo.Invented{}
	for _, pair := range args[2:] {
		entry, text, _ := strings.Cut(pair, "=")
		wrote[entry] = text
		if number, err := strconv.ParseFloat(text, 64); err == nil {
			wrote[entry] = number
		}
	}
	r, err := station.At("").ReadBack(ts.MkAbs(args[0]))
	ts.Check(err)
	values, err := example.Fill(r.Sheet, wrote.Onto(r.Sheet))
	ts.Check(err)
	content, err := workbook.Fill(r.Content, values)
	ts.Check(err)
	filled := ts.MkAbs(args[1])
	ts.Check(os.MkdirAll(filepath.Dir(filled), 0o755))
	ts.Check(os.WriteFile(filled, content, 0o644))
}

// demoFiles is the folder that `spatsheet demo` makes, made once for all that only start
// from it.
var demoFiles = sync.OnceValues(func() (fs.FS, error) {
	folder, err := os.MkdirTemp("", "spatsheet-demo")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	at, err := time.Parse(time.RFC3339, scriptClock)
	if err != nil {
		return nil, err
	}
	var talk bytes.Buffer
	made := filepath.Join(folder, "d")
	if code := run([]string{"spatsheet", "demo", made}, io.Discard, &talk, func() time.Time { return at }); code != exitGood {
		return nil, fmt.Errorf("demo: exit code %d: %s", code, &talk)
	}
	files := fstest.MapFS{}
	return files, filepath.WalkDir(made, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(made, path)
		files[filepath.ToSlash(name)] = &fstest.MapFile{Data: content, Mode: 0o644}
		return err
	})
})

// layDemo puts the demo's folder down.
func layDemo(folder string) error {
	files, err := demoFiles()
	if err != nil {
		return err
	}
	return os.CopyFS(folder, files)
}

// demoIn is the script command `demo FOLDER`.
func demoIn(ts *testscript.TestScript, negated bool, args []string) {
	if negated || len(args) != 1 {
		ts.Fatalf("usage: demo FOLDER")
	}
	ts.Check(layDemo(ts.MkAbs(args[0])))
}
