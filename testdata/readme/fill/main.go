// Command fill types into a printed workbook what the examples of its protocol say, as a
// person would after a night at the bench, for walk.sh:
//
//	go run ./testdata/readme/fill BLANK FILLED [box=value]...
package main

import (
	"fmt"
	"os"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/render/workbook"
)

func main() {
	if len(os.Args) < 3 {
		fmt.Fprintln(os.Stderr, "fill: name the blank workbook and the one to write")
		os.Exit(2)
	}
	if err := fill(os.Args[1], os.Args[2], os.Args[3:]); err != nil {
		fmt.Fprintln(os.Stderr, "fill:", err)
		os.Exit(1)
	}
}

func fill(blank, filled string, pairs []string) error {
	content, err := os.ReadFile(blank)
	if err != nil {
		return err
	}
	read, err := workbook.Read(content)
	if err != nil {
		return err
	}
	sheet, err := scaled(read.Manifest)
	if err != nil {
		return err
	}
	wrote := example.Values{}
	for _, pair := range pairs {
		box, value, _ := strings.Cut(pair, "=")
		wrote[calc.Key(box)] = value
	}
	values, err := example.Fill(sheet, wrote)
	if err != nil {
		return err
	}
	if content, err = workbook.Fill(content, values); err != nil {
		return err
	}
	return os.WriteFile(filled, content, 0o644)
}

func scaled(m calc.Manifest) (*calc.Sheet, error) {
	protocol, err := protocols.Load(m.Protocol, []byte(m.ProtocolText), functions.All())
	if err != nil {
		return nil, err
	}
	plan, err := calc.ReadPlan("plan", []byte(m.Plan))
	if err != nil {
		return nil, err
	}
	site, err := calc.ReadSite("site", []byte(m.Site))
	if err != nil {
		return nil, err
	}
	return calc.Scale(protocol, site, plan)
}
