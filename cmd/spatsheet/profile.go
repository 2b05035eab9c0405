package main

import (
	"fmt"
	"io"
	"maps"
	"slices"

	"spatsheet/protocols"
)

// valuesFor takes from a species profile what a protocol has settings for, as it is
// written into a plan.
func valuesFor(p *protocols.Protocol, profile *protocols.Profile) map[string]string {
	values := map[string]string{}
	for _, v := range profile.Values {
		if _, ok := p.Setting(v.ID); ok {
			values[v.ID] = v.Quantity.String()
		}
	}
	return values
}

// writeSettings writes a group of a plan, by name; none where there is nothing in it.
func writeSettings(w io.Writer, group string, values map[string]string) {
	if len(values) == 0 {
		return
	}
	fmt.Fprintf(w, "%s:\n", group)
	for _, id := range slices.Sorted(maps.Keys(values)) {
		fmt.Fprintf(w, "  %s: %s\n", id, quoted(values[id]))
	}
}
