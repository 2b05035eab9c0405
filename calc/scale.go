package calc

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"spatsheet/protocols"
	"spatsheet/protocols/document"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
	"spatsheet/protocols/remedy"
	"spatsheet/protocols/spelling"
)

// Scale computes a protocol for one batch at one site.
//
// The result holds every amount with its working and every box to fill in. Precedence of
// settings: plan, then site, then species profile, then the protocol's default.
// Errors: document.Faults, all told together, of settings that are missing, unknown, out of
// range or in a unit of another kind, each with its place in the file; a document.Fault of an
// amount too small or too coarse for the site's glassware; and *Shortage when the site cannot
// hold the batch.
func Scale(p *protocols.Protocol, site Site, plan Plan) (*Sheet, error) {
	if plan.Protocol != p.Ref() {
		return nil, plan.fault("protocol", "the plan is for %s, not for %s", plan.Protocol, p.Ref())
	}
	if err := applies(p, plan); err != nil {
		return nil, err
	}
	values, err := resolve(p, site, plan)
	if err != nil {
		return nil, err
	}
	amounts, err := compute(p, site, values)
	if err != nil {
		return nil, err
	}
	if lines := shortLines(p, values, amounts); len(lines) > 0 {
		return nil, shortage(p, site, values, lines)
	}
	head := digestHead(p, site)
	s := &Sheet{Protocol: p, Plan: plan, Site: site, Digest: digest(head, plan), Settings: values, Amounts: amounts, digestOf: head}
	if err := s.buildSteps(); err != nil {
		return nil, err
	}
	s.boxes = &boxes{list: s.listBoxes()}
	return s, nil
}

func applies(p *protocols.Protocol, plan Plan) error {
	if p.IsFor(plan.Species) {
		return nil
	}
	remedy := "choose another protocol or write a version for this species"
	genus, rest, _ := strings.Cut(plan.Species, " ")
	if near, ok := spelling.Nearest(genus, p.AppliesTo); ok {
		remedy = fmt.Sprintf("did you mean %q?", strings.TrimSpace(near+" "+rest))
	}
	return plan.fault("species", "%s is written for %s, not for %q; %s", p.Ref(), strings.Join(p.AppliesTo, ", "), plan.Species, remedy)
}

// fault is an error at a key of the plan file, with its place where the plan is from a file.
func (p Plan) fault(key, format string, args ...any) error {
	return document.Fault{Place: p.places[key], Says: fmt.Sprintf(format, args...)}
}

// resolve gives every setting its value. The error is of type document.Faults.
func resolve(p *protocols.Protocol, site Site, plan Plan) ([]Value, error) {
	var faults document.Faults
	known := make([]string, len(p.Settings))
	values := make([]Value, len(p.Settings))
	for i := range p.Settings {
		s := &p.Settings[i]
		known[i] = s.ID
		v, fault := resolveOne(s, site, plan)
		if fault != nil {
			faults = append(faults, *fault)
		}
		values[i] = v
	}
	for _, given := range []map[string]Written{plan.Settings, plan.Values} {
		for _, id := range sortedIDs(given) {
			if !slices.Contains(known, id) {
				faults = append(faults, unknownSetting(p, given[id], id, known))
			}
		}
	}
	return values, faults.Err()
}

func unknownSetting(p *protocols.Protocol, g Written, id string, known []string) document.Fault {
	f := document.Fault{Place: g.Place, Setting: id, Says: fmt.Sprintf("%s has no setting %q", p.Ref(), id)}
	if near, ok := spelling.Nearest(id, known); ok {
		f.Says += fmt.Sprintf("; did you mean %q?", near)
	} else {
		f.Remedy = remedy.Remedy{Kind: remedy.ShowSettings, Of: p.ID}
	}
	return f
}

func resolveOne(s *protocols.Setting, site Site, plan Plan) (Value, *document.Fault) {
	if g, ok := plan.Settings[s.ID]; ok {
		return readValue(s, g, protocols.ByPlan)
	}
	if g, ok := site.Settings[s.ID]; ok {
		return readValue(s, g, protocols.BySite)
	}
	if g, ok := plan.Values[s.ID]; ok {
		v, fault := readValue(s, g, protocols.BySpecies)
		v.Source = plan.Profile
		return v, fault
	}
	if s.GivenBy == protocols.ByProtocol {
		return Value{Setting: s, Quantity: s.Default, From: protocols.ByProtocol, Source: s.Source}, nil
	}
	return Value{}, lack(s, site, plan)
}

// lack says who should have given a setting.
func lack(s *protocols.Setting, site Site, plan Plan) *document.Fault {
	says, kind := "the plan needs settings: "+s.ID, remedy.GiveSetting
	switch {
	case s.GivenBy == protocols.BySite:
		says, kind = fmt.Sprintf("site %s needs %s", site.file, s.ID), remedy.GiveAtSite
	case s.GivenBy == protocols.BySpecies && plan.Profile == "":
		says = "no species profile is used; " + says
	case s.GivenBy == protocols.BySpecies:
		says = fmt.Sprintf("species profile %s lacks %s; %s", plan.Profile, s.ID, says)
	}
	return &document.Fault{Setting: s.ID, Remedy: remedy.Remedy{Kind: kind, Of: s.ID},
		Says: fmt.Sprintf("%s (%s, in %s, %s)", says, s.Label, s.Unit.Print(), quantity.FormatRange(s.Low, s.High))}
}

func readValue(s *protocols.Setting, g Written, from protocols.Giver) (Value, *document.Fault) {
	fault := func(cause error, format string, args ...any) (Value, *document.Fault) {
		says := fmt.Sprintf("%s (%s): ", s.ID, s.Label) + fmt.Sprintf(format, args...)
		return Value{}, &document.Fault{Place: g.Place, Setting: s.ID, Says: says, Err: cause}
	}
	q, err := protocols.ReadQuantity(g.Text, s.Unit)
	if err != nil {
		return fault(err, "%s", err)
	}
	if q.Value() < s.Low || q.Value() > s.High {
		return fault(nil, "%s is outside %s %s; correct it, or write a protocol version with another range",
			q.Format(0), quantity.FormatRange(s.Low, s.High), s.Unit.Print())
	}
	if s.Whole && q.Value() != math.Round(q.Value()) {
		return fault(nil, "%s is not a whole number", q)
	}
	return Value{Setting: s, Quantity: q, From: from}, nil
}

// shownFigures is to how many figures a working prints its numbers: all that anybody would
// type, and not the noise of binary fractions behind them.
const shownFigures = 12

// compute works every amount out, in the order in which they need each other.
func compute(p *protocols.Protocol, site Site, values []Value) ([]Amount, error) {
	numbers := formula.NewValues()
	shown := map[string]string{}
	for _, v := range values {
		numbers.Set(v.Setting.ID, v.Quantity.Base())
		shown[v.Setting.ID] = v.Quantity.Format(shownFigures)
	}
	amounts := make([]Amount, len(p.Amounts))
	for _, i := range p.Order {
		a := &p.Amounts[i]
		result, err := computeOne(a, site, numbers)
		if err != nil {
			return nil, document.Fault{Says: fmt.Sprintf("amount %q (%s): %s", a.ID, a.Label, err), Err: err}
		}
		show := func(name string) string { return shown[name] }
		result.PutIn, result.Inside = a.Formula.Working(show), a.Formula.Inside(show)
		numbers.Set(a.ID, result.Rounded.Base())
		shown[a.ID] = result.Rounded.Format(shownFigures)
		amounts[i] = result
	}
	return amounts, nil
}

func computeOne(a *protocols.Amount, site Site, numbers formula.Values) (Amount, error) {
	base, err := a.Formula.Number(numbers)
	if err != nil {
		return Amount{}, err
	}
	exact, err := quantity.FromBase(base, a.Unit)
	if err != nil {
		return Amount{}, err
	}
	if exact.Value() < 0 {
		return Amount{}, fmt.Errorf("comes out below zero: %s; look at the settings it is computed from", exact.Format(4))
	}
	parts := 1
	if a.Split != "" {
		parts = int(math.Round(numbers.Get(a.Split)))
	}
	rounded, err := round(a, exact, parts, site.Measures)
	if err != nil {
		return Amount{}, err
	}
	rounded.Definition, rounded.Exact = a, exact
	return rounded, nil
}

// buildSteps puts this batch's values into the instructions and counts the rows.
func (s *Sheet) buildSteps() error {
	numbers, cautions := s.numbers(), map[string]protocols.Caution{}
	for _, c := range s.Protocol.Cautions {
		cautions[c.ID] = c
	}
	for i := range s.Protocol.Steps {
		def := &s.Protocol.Steps[i]
		step := Step{Definition: def, Number: i + 1, Do: protocols.Placeholders(def.Do, s.Show)}
		if err := s.setTime(&step, numbers); err != nil {
			return err
		}
		if def.At != nil {
			numbers.Set(def.TimeName(), step.Hours)
		}
		for _, id := range def.Amounts {
			a, ok := s.Amount(id)
			if !ok { // a setting may be printed large too
				v, _ := s.Value(id)
				a = settingAsAmount(v)
			}
			step.Amounts = append(step.Amounts, a)
		}
		for _, id := range def.Cautions {
			step.Cautions = append(step.Cautions, cautions[id])
		}
		for t := range def.Tables {
			table, err := s.buildTable(&def.Tables[t])
			if err != nil {
				return err
			}
			step.Tables = append(step.Tables, table)
		}
		s.Steps = append(s.Steps, step)
	}
	return nil
}

// setTime works out when a step is due, to the minute.
func (s *Sheet) setTime(step *Step, numbers formula.Values) error {
	if step.Definition.At == nil {
		return nil
	}
	after, err := durationOf(step.Definition.At, numbers)
	if err != nil {
		return document.Fault{Says: fmt.Sprintf("time of step %q: %s", step.Definition.ID, err), Err: err}
	}
	step.Hours, step.Time = after.Hours(), s.Plan.Start.Add(after)
	return nil
}

func settingAsAmount(v Value) *Amount {
	return &Amount{
		Definition: &protocols.Amount{ID: v.Setting.ID, Label: v.Setting.Label, Unit: v.Setting.Unit, Scales: v.Setting.Scales},
		Exact:      v.Quantity, Rounded: v.Quantity, PutIn: "set by the " + string(v.From),
	}
}

// MaxRows bounds the rows of one entry table: more would not be filled by hand.
const MaxRows = 400

func (s *Sheet) buildTable(def *protocols.Table) (Table, error) {
	t := Table{Definition: def}
	for _, id := range def.Shows {
		a, _ := s.Amount(id)
		t.Shown = append(t.Shown, a)
	}
	labels := def.Rows
	if def.RowCount != "" {
		n := s.count(def.RowCount)
		if n > MaxRows {
			return t, document.Fault{Says: fmt.Sprintf("table %q would have %d rows, more than %d; split the batch into smaller ones", def.Title, n, MaxRows)}
		}
		labels = make([]string, 0, n)
		for i := range n {
			labels = append(labels, def.RowLabel+" "+strconv.Itoa(i+1))
		}
	}
	t.Rows = make([]Row, 0, len(labels))
	for i, label := range labels {
		row := Row{Label: label}
		for _, a := range t.Shown {
			row.Shown = append(row.Shown, a.Parts[i])
		}
		t.Rows = append(t.Rows, row)
	}
	return t, nil
}

func (s *Sheet) count(id string) int {
	if a, ok := s.Amount(id); ok {
		return int(math.Round(a.Rounded.Value()))
	}
	v, _ := s.Value(id)
	return int(math.Round(v.Quantity.Value()))
}

// Show prints the value of a setting or amount as it stands in instructions.
func (s *Sheet) Show(id string) string {
	if a, ok := s.Amount(id); ok {
		return a.Rounded.Format(0)
	}
	v, ok := s.Value(id)
	if !ok {
		return "{" + id + "}"
	}
	return v.Quantity.Format(0)
}
