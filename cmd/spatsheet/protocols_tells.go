package main

import (
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

// reportParts say what of the season each topic of tells feeds.
var reportParts = map[string]string{
	"collection": "collections", "release": "releases", "deaths": "deaths over time", "larvae": "larvae over time", "lengths": "growth", "water": "water",
	"spawning": "females that spawned, and lineage", "gonads": "gonad index of spawnings", "register": "lineage",
	"fates": "lineage", "crosses": "lineage", "closing": "lineage",
}

// feeds lists the parts of the season that a protocol feeds, each once.
func feeds(protocol *protocols.Protocol) []string {
	var list []string
	add := func(part string) {
		if !slices.Contains(list, part) {
			list = append(list, part)
		}
	}
	if len(protocol.Stages) > 0 {
		add("survival by stage")
	}
	if len(protocol.HandsOver) > 0 {
		add("totals handed over")
	}
	for _, topic := range protocol.Topics() {
		add(reportParts[topic])
	}
	return list
}

// tellsNotes say what a protocol tells the season, and what others of its stage tell and
// this one does not.
func tellsNotes(protocol *protocols.Protocol, shipped []*protocols.Protocol) []string {
	notes := []string{"feeds of the season: " + strings.Join(feeds(protocol), ", ")}
	if len(feeds(protocol)) == 0 {
		notes[0] = "feeds nothing of the season: its batches are listed, their numbers stand in no report; declare stages:, hands_over: and tells:"
	}
	if list := stages(shipped); !slices.Contains(list, protocol.Stage) {
		notes = append(notes, fmt.Sprintf("note: no shipped protocol is of stage %s, so nobody can say what it usually "+
			"tells; the stages are: %s", protocol.Stage, strings.Join(list, ", ")))
	}
	for _, u := range protocol.Untold(shipped) {
		topic, part, dotted := strings.Cut(u.Part, ".")
		if !dotted {
			notes = append(notes, fmt.Sprintf("note: %s of stage %s tells %s (%s), this one does not: its batches stand "+
				"nowhere under %s; add %s: under tells:, as `spatsheet protocols show %s` has it",
				u.Ref, protocol.Stage, u.Part, u.By, reportParts[topic], topic, u.Ref))
			continue
		}
		notes = append(notes, fmt.Sprintf("note: %s of stage %s tells %s by %s, this one does not; add %s to %s: under "+
			"tells:, by your own names", u.Ref, protocol.Stage, u.Part, u.By, part, topic))
	}
	return notes
}

// stages lists the stages of work of some protocols, each once, by name.
func stages(list []*protocols.Protocol) []string {
	var out []string
	for _, p := range list {
		out = append(out, p.Stage)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// shippedProtocols loads all that ship, newest first.
func shippedProtocols() ([]*protocols.Protocol, error) {
	var all []*protocols.Protocol
	for _, ref := range library.Refs() {
		p, err := library.Load(ref, functions.All())
		if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	return all, nil
}

// verifyTells says of each file of a folder what it tells the season, below its line.
func verifyTells(dir, name string, shipped []*protocols.Protocol) ([]string, error) {
	if strings.HasPrefix(name, "species/") {
		return nil, nil
	}
	text, err := fs.ReadFile(os.DirFS(dir), name)
	if err != nil {
		return nil, err
	}
	protocol, err := protocols.Load(name, text, functions.All())
	if err != nil {
		return nil, err
	}
	return tellsNotes(protocol, shipped), nil
}

// showTells lists what a protocol tells the season, and what it might.
func (p *program) showTells(protocol *protocols.Protocol) error {
	shipped, err := shippedProtocols()
	if err != nil {
		return inputFault(err)
	}
	fmt.Fprintln(p.out, "\nTells the season")
	for _, d := range protocol.Tells.Declared {
		fmt.Fprintf(p.out, "  %-20s %s\n", d.Part, d.By)
	}
	for _, note := range tellsNotes(protocol, shipped) {
		fmt.Fprintf(p.out, "  %s\n", note)
	}
	return nil
}
