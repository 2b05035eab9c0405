package protocols

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"spatsheet/protocols/quantity"
)

// Bump is how much a difference moves a version: wording, an optional entry, or an amount
// or required entry.
type Bump int

// The bumps, from small to large: the third, second and first number of a version.
const (
	Wording Bump = iota
	Optional
	Essential
)

// String names the number of a version that the bump moves.
func (b Bump) String() string {
	return [...]string{"third number (wording)", "second number (optional)", "first number (amounts, required entries)"}[b]
}

// Difference is one thing that differs between two versions of a protocol.
type Difference struct {
	Part     string // "setting", "amount", "entry", "caution", ...
	ID       string
	What     string // the field that changed; empty when the whole part was added or removed
	From, To string // empty when added or removed
	Bump     Bump
}

// field is one comparable fact of a part.
type field struct {
	name, value string
	bump        Bump
}

// part is a comparable part of a protocol.
type part struct {
	kind, id string
	bump     Bump // of adding or removing it
	fields   []field
}

// Compare lists what differs from a to b, in the order of the protocol's parts.
func Compare(a, b *Protocol) []Difference {
	var out []Difference
	before, after := parts(a), parts(b)
	index := map[string]part{}
	for _, p := range before {
		index[p.kind+" "+p.id] = p
	}
	seen := map[string]bool{}
	for _, p := range after {
		key := p.kind + " " + p.id
		seen[key] = true
		if old, ok := index[key]; ok {
			out = append(out, changed(old, p)...)
		} else {
			out = append(out, Difference{Part: p.kind, ID: p.id, To: p.summary(), Bump: p.bump})
		}
	}
	for _, p := range before {
		if !seen[p.kind+" "+p.id] {
			out = append(out, Difference{Part: p.kind, ID: p.id, From: p.summary(), Bump: max(p.bump, Optional)})
		}
	}
	return out
}

func changed(old, now part) []Difference {
	var out []Difference
	for i, f := range now.fields {
		if o := old.fields[i]; o.value != f.value {
			out = append(out, Difference{Part: now.kind, ID: now.id, What: f.name, From: o.value, To: f.value, Bump: f.bump})
		}
	}
	return out
}

// summary is a part in a few words: its first filled field.
func (p part) summary() string {
	for _, f := range p.fields {
		if f.value != "" {
			return f.value
		}
	}
	return p.id
}

func parts(p *Protocol) []part {
	out := []part{{kind: "protocol", id: p.ID, fields: []field{
		{"title", p.Title, Wording}, {"purpose", p.Purpose, Wording},
		{"applies to", strings.Join(p.AppliesTo, ", "), Optional}, {"lasts", textOf(p.Timetable.Lasts), Optional}}}}
	for i := range p.Settings {
		out = append(out, settingPart(&p.Settings[i]))
	}
	for i := range p.Amounts {
		out = append(out, amountPart(&p.Amounts[i]))
	}
	for _, l := range p.Limits {
		out = append(out, part{"limit", l.What, Essential, []field{{"needs", l.Needs, Essential}, {"has", l.Has, Essential}}})
	}
	for i := range p.Steps {
		out = append(out, stepParts(&p.Steps[i])...)
	}
	for _, c := range p.Cautions {
		out = append(out, part{"caution", c.ID, Wording, []field{{"text", c.Text, Wording}, {"steps", strings.Join(c.Steps, ", "), Wording}}})
	}
	for _, c := range p.Checks {
		out = append(out, part{"check", c.ID, Optional, []field{
			{"says", c.Says, Wording}, {"rule", c.Rule.String(), Optional}, {"each", c.Each, Optional},
			{"level", string(c.Level), Optional}, {"remedy", c.Remedy, Wording}}})
	}
	for _, s := range p.Stages {
		out = append(out, part{"stage", s.ID, Optional, []field{{"label", s.Label, Wording}, {"in", s.In.String(), Essential}, {"out", s.Out.String(), Essential}}})
	}
	for _, h := range p.HandsOver {
		out = append(out, part{"hand-over", h.ID, Optional, []field{{"label", h.Label, Wording}, {"formula", h.Formula.String(), Essential}}})
	}
	out = append(out, tellsParts(p)...)
	out = append(out, timetableParts(p.Timetable)...)
	for _, s := range p.Sources {
		out = append(out, part{"source", s.ID, Wording, []field{{"text", s.Text, Wording}}})
	}
	return out
}

// tellsParts are what the season is told; a part told more than once is one.
func tellsParts(p *Protocol) []part {
	var out []part
	for _, d := range p.Tells.Declared {
		if i := slices.IndexFunc(out, func(x part) bool { return x.id == d.Part }); i >= 0 {
			out[i].fields[0].value += "; " + d.By
			continue
		}
		out = append(out, part{"tells", d.Part, Optional, []field{{"by", d.By, Optional}}})
	}
	return out
}

func settingPart(s *Setting) part {
	value, added := "", Essential
	if s.GivenBy == ByProtocol {
		value, added = s.Default.String(), Optional
	}
	return part{"setting", s.ID, added, []field{
		{"label", s.Label, Wording}, {"default", value, Essential}, {"unit", s.Unit.Symbol(), Essential}, {"given by", string(s.GivenBy), Essential},
		{"range", quantity.FormatRange(s.Low, s.High), Essential}, {"source", s.Source, Wording}, {"note", s.Note, Wording},
	}}
}

func amountPart(a *Amount) part {
	round := fmt.Sprintf("%s %s", a.Round.Direction, a.Round.To)
	if a.Round.To == RoundFigures {
		round += " " + strconv.Itoa(a.Round.Figures)
	}
	return part{"amount", a.ID, Essential, []field{
		{"label", a.Label, Wording}, {"formula", a.Formula.String(), Essential}, {"unit", a.Unit.Symbol(), Essential},
		{"rounding", round, Essential}, {"split over", a.Split, Essential}, {"note", a.Note, Wording},
	}}
}

func stepParts(s *Step) []part {
	out := []part{{"step", s.ID, Essential, []field{
		{"title", s.Title, Wording}, {"instructions", s.Do, Wording}, {"time", textOf(s.At), Essential},
		{"done at", s.DoneAt, Optional}, {"every", textOf(s.Every), Optional}, {"until", s.Until, Optional},
		{"amounts", strings.Join(s.Amounts, ", "), Wording}, {"signed by", strconv.Itoa(s.Signed), Essential}}}}
	for i := range s.Entries {
		out = append(out, entryPart("", &s.Entries[i]))
	}
	for i := range s.Tables {
		t := &s.Tables[i]
		out = append(out, part{"table", t.ID, Optional, []field{
			{"title", t.Title, Wording}, {"rows", t.RowCount + strings.Join(t.Rows, ", "), Essential},
			{"partial", fmt.Sprint(t.Partial), Essential}, {"labels", string(t.Labels), Wording},
			{"shows", strings.Join(t.Shows, ", "), Wording}}})
		for c := range t.Columns {
			out = append(out, entryPart(t.ID+".", &t.Columns[c]))
		}
	}
	return out
}

func entryPart(prefix string, e *Entry) part {
	added := Optional
	if e.Required {
		added = Essential
	}
	worksOut := ""
	if e.WorksOut != nil {
		worksOut = e.WorksOut.String()
	}
	limits := ""
	if e.HasRange {
		limits = quantity.FormatRange(e.Low, e.High)
	}
	return part{"entry", prefix + e.ID, added, []field{
		{"label", e.Label, Wording}, {"kind", string(e.Kind), Essential}, {"unit", e.Unit.Symbol(), Essential}, {"range", limits, Optional},
		{"required", fmt.Sprint(e.Required), Essential}, {"choices", strings.Join(e.Choices, ", "), Optional}, {"alarming", strings.Join(e.Alarming, ", "), Optional},
		{"planned", e.Planned, Essential}, {"tolerance", fmt.Sprint(e.Tolerance), Optional}, {"works out", worksOut, Essential}, {"how", e.How, Wording},
		{"trend", string(e.Trend), Optional}, {"note", e.Note, Wording},
	}}
}

// CheckBump says whether the step from one version to the next is large enough for what
// differs; the error names the difference that asks for more.
func CheckBump(from, to string, list []Difference) error {
	a, b := numbers(from), numbers(to)
	moved := Wording
	switch {
	case a[0] != b[0]:
		moved = Essential
	case a[1] != b[1]:
		moved = Optional
	}
	for _, d := range list {
		if d.Bump > moved {
			return fmt.Errorf("from %s to %s is too small a step: %s %s asks for the %s", from, to, d.Part, d.ID, d.Bump)
		}
	}
	return nil
}

// numbers gives the three numbers of a version that the loader has accepted.
func numbers(version string) [3]int {
	var out [3]int
	for i, s := range strings.SplitN(version, ".", 3) {
		n, err := strconv.Atoi(s)
		if err == nil {
			out[i] = n
		}
	}
	return out
}

// CompareVersions orders versions by their three numbers: negative when a is the older.
func CompareVersions(a, b string) int {
	x, y := numbers(a), numbers(b)
	return slices.Compare(x[:], y[:])
}

// ByID groups refs (id@version) by id, versions rising.
func ByID(refs []string) map[string][]string {
	out := map[string][]string{}
	for _, ref := range refs {
		id, version, _ := strings.Cut(ref, "@")
		out[id] = append(out[id], version)
	}
	for id := range maps.Keys(out) {
		slices.SortFunc(out[id], CompareVersions)
	}
	return out
}
