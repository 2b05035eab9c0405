package main

import (
	"bytes"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/season"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
)

// draft is a plan before it is written.
type draft struct {
	batch, protocol, species, date, start, note string
	profile                                     string
	values, settings                            map[string]string
	parents                                     []calc.Parent
	others                                      []season.Batch // collected and planned, where there are parents
}

// draftPlan puts a plan together from answers, the species' profile and parent batches.
func (p *program) draftPlan(a answers, folder *station.Folder) (draft, error) {
	catalog := folder
	protocol, err := catalog.Protocol(a.protocol)
	if err != nil {
		return draft{}, err
	}
	d := draft{batch: a.batch, protocol: protocol.Ref(), species: a.species, date: a.date, start: a.start, note: a.note, settings: maps.Clone(a.settings)}
	if err := d.takeProfile(catalog, protocol, a.profile); err != nil {
		return draft{}, err
	}
	for _, id := range slices.Sorted(maps.Keys(d.values)) {
		fmt.Fprintf(p.out, "from %s: %s %s\n", d.profile, id, d.values[id])
	}
	if len(a.parents) > 0 {
		return d, p.takeParents(&d, folder, protocol, a.parents)
	}
	return d, nil
}

// takeProfile copies the values of a species profile that the protocol has settings for.
func (d *draft) takeProfile(c *station.Folder, protocol *protocols.Protocol, ref string) error {
	if ref == "none" {
		return nil
	}
	profile, err := c.ProfileFor(d.species)
	if ref != "" {
		profile, err = c.Profile(ref)
	}
	if err != nil || profile == nil {
		return err
	}
	if profile.Species != d.species {
		return usageFault("--profile %s is of %s, not of %s", profile.Ref(), profile.Species, d.species)
	}
	if d.values = valuesFor(protocol, profile); len(d.values) > 0 {
		d.profile = profile.Ref()
	}
	return nil
}

// text writes the plan file.
func (d *draft) text() []byte {
	text, _ := d.written()
	return text
}

// written writes the plan file, and tells of each of its lines which flag it is from.
func (d *draft) written() ([]byte, []origin) {
	w := planWriter{}
	w.add(origin{"batch", flagText("batch", d.batch)}, "batch", d.batch)
	w.line(origin{"protocol", flagText("protocol", d.protocol)}, "protocol: "+d.protocol)
	w.add(origin{"species", flagText("species", d.species)}, "species", d.species)
	w.add(origin{"date", flagText("date", d.date)}, "date", d.date)
	w.add(origin{"start", flagText("start", d.start)}, "start", d.start)
	w.add(origin{"note", flagText("note", d.note)}, "note", d.note)
	if d.profile != "" {
		of := origin{"profile", flagText("profile", d.profile)}
		w.line(of, "profile: "+d.profile)
		w.group("species_values", d.values, func(string) origin { return of })
	}
	d.writeParents(&w)
	w.group("settings", d.settings, d.settingFrom)
	return w.text.Bytes(), w.origins
}

func (d *draft) writeParents(w *planWriter) {
	if len(d.parents) > 0 {
		w.line(origin{}, "parents:")
	}
	for _, parent := range d.parents {
		of := origin{"parent", flagText("parent", parent.Batch)}
		w.line(of, "  - batch: "+parent.Batch)
		w.line(of, fmt.Sprintf("    revision: %d", parent.Revision))
		if len(parent.Gave) > 0 {
			w.line(of, "    gave:")
		}
		for _, id := range slices.Sorted(maps.Keys(parent.Gave)) {
			w.line(of, fmt.Sprintf("      %s: %s", id, parent.Gave[id]))
		}
	}
}

// settingFrom is the flag that gave a setting: --set, or the parent that handed it over.
func (d *draft) settingFrom(id string) origin {
	for _, parent := range d.parents {
		if _, gave := parent.Gave[id]; gave {
			return origin{settingKey(id), flagText("parent", parent.Batch)}
		}
	}
	return origin{settingKey(id), flagText("set", id+"="+d.settings[id])}
}

// planWriter writes a plan line by line and keeps where each is from.
type planWriter struct {
	text    bytes.Buffer
	origins []origin
}

func (w *planWriter) line(of origin, text string) {
	w.text.WriteString(text + "\n")
	w.origins = append(w.origins, of)
}

// add writes a value, none where it is empty.
func (w *planWriter) add(of origin, key, value string) {
	if value != "" {
		w.line(of, key+": "+quoted(value))
	}
}

// group writes settings by name; nothing where there are none.
func (w *planWriter) group(name string, values map[string]string, from func(id string) origin) {
	if len(values) == 0 {
		return
	}
	var lines bytes.Buffer
	writeSettings(&lines, name, values)
	w.text.Write(lines.Bytes())
	w.origins = append(w.origins, origin{})
	for _, id := range slices.Sorted(maps.Keys(values)) {
		w.origins = append(w.origins, from(id))
	}
}

// simple is a scalar that YAML takes as it stands.
var simple = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_.+/%-]*( [A-Za-z0-9_.+/%-]+)*$`)

// quoted writes a YAML scalar, in double quotes where it needs them.
func quoted(s string) string {
	if simple.MatchString(s) {
		return s
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`).Replace(s) + `"`
}

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
