package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"

	"spatsheet/calc"
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

// sameAsProfile refuses a plan whose species values are not those of the profile it
// names: a value of one's own belongs under settings.
func sameAsProfile(c catalog, plan calc.Plan) error {
	if plan.Profile == "" {
		return nil
	}
	profile, err := c.profile(plan.Profile)
	if err != nil {
		return err
	}
	var faults []error
	for _, id := range slices.Sorted(maps.Keys(plan.Values)) {
		v, ok := profile.Value(id)
		if written := plan.Values[id]; !ok || v.Quantity.String() != written.Text {
			faults = append(faults, fmt.Errorf("%s: %s is not what %s says (%s); write a value of your own under settings", written.Place, id, profile.Ref(), v.Quantity))
		}
	}
	if len(faults) > 0 {
		return inputFault(errors.Join(faults...))
	}
	return nil
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
