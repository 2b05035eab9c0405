package calc

import (
	"slices"
	"strings"

	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// Vessel is one thing of a batch that a label is stuck on: a beaker, a tank, a plate.
type Vessel struct {
	Count   string    // id of the amount or setting that counts its kind: "tanks"
	Name    string    // of its kind: "Settlement tank"
	Number  int       // from 1, as in the rows of the sheet
	Of      int       // how many there are of its kind
	Amounts []Portion // its parts of what is dealt out over them; parts of zero left out
}

// Portion is a vessel's part of an amount.
type Portion struct {
	Label string // of the amount: "Seawater for the beakers"
	Part  quantity.Quantity
}

// Vessels lists the things to label, kind by kind in the order of the sheet's tables, then
// those that an amount is dealt out over without a table of their own.
//
// Range: any sheet; none gives none. Source: site choice.
func (s *Sheet) Vessels() []Vessel {
	var list []Vessel
	seen := map[string]bool{}
	add := func(count, row string) {
		if seen[count] {
			return
		}
		seen[count] = true
		for n := range s.count(count) {
			list = append(list, Vessel{Count: count, Name: s.kind(count, row), Number: n + 1, Of: s.count(count), Amounts: s.portions(count, n)})
		}
	}
	for _, step := range s.Steps {
		for _, t := range step.Tables {
			if s.rowsAreThings(t.Definition) {
				add(t.Definition.RowCount, t.Definition.RowLabel)
			}
		}
	}
	for _, a := range s.Amounts {
		if a.Definition.Split != "" {
			add(a.Definition.Split, "")
		}
	}
	return list
}

// rowsAreThings tells a table of things from one of readings, days or places on things: by
// what its rows are counted in, where the protocol does not say.
func (s *Sheet) rowsAreThings(t *protocols.Table) bool {
	if t.RowCount == "" || t.Labels != protocols.LabelsByCount {
		return t.RowCount != "" && t.Labels == protocols.Labelled
	}
	return s.dealtOver(t.RowCount) || s.isThing(t.RowCount)
}

func (s *Sheet) dealtOver(count string) bool {
	return slices.ContainsFunc(s.Amounts, func(a Amount) bool { return a.Definition.Split == count })
}

// isThing tells whether a count has the unit of a counted thing.
func (s *Sheet) isThing(count string) bool {
	_, unit := s.countOf(count)
	_, ok := unit.Dimension().CountOf()
	return ok
}

// countOf gives the name and unit of an amount or setting that counts.
func (s *Sheet) countOf(id string) (label string, unit quantity.Unit) {
	if a, ok := s.Amount(id); ok {
		return a.Definition.Label, a.Definition.Unit
	}
	v, _ := s.Value(id)
	return v.Setting.Label, v.Setting.Unit
}

// kind names one of a count's things: "Settlement tanks", of rows called "Tank", gives
// "Settlement tank"; "Beakers with animals" gives "Beaker".
func (s *Sheet) kind(count, row string) string {
	label, unit := s.countOf(count)
	one, many := row, row+"s"
	if thing, ok := unit.Dimension().CountOf(); ok && !isWord(row) {
		one, many = thing, unit.Symbol()
	}
	if !isWord(one) {
		return label
	}
	if before, ok := strings.CutSuffix(strings.ToLower(label), " "+strings.ToLower(many)); ok {
		return label[:len(before)] + " " + strings.ToLower(one)
	}
	return strings.ToUpper(one[:1]) + one[1:]
}

// isWord refuses names of rows such as "No.".
func isWord(name string) bool { return len(name) > 0 && !strings.HasSuffix(name, ".") }

func (s *Sheet) portions(count string, n int) []Portion {
	var list []Portion
	for _, a := range s.Amounts {
		if a.Definition.Split == count && n < len(a.Parts) && a.Parts[n].Value() != 0 {
			list = append(list, Portion{a.Definition.Label, a.Parts[n]})
		}
	}
	return list
}
