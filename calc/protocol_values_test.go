package calc_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/calc/referencetest"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/protocols/quantity"
	"spatsheet/templates"
)

// protocolTolerance is the relative difference allowed before rounding, by amount; what is
// not listed must agree to 1e-9, being a count or a volume that the source gives exactly.
var protocolTolerance = map[string]float64{
	"days_to_harvest": 0.02,      // two rates, each printed with two figures
	"length_end":      0.2,       // the published range, 10 to 15 mm, about its middle
	"pump_off":        0.5 / 745, // published to a minute; 12.42 h is 745.2 min
	"later_each_day":  0.5 / 50,  // published to a minute; 2 x 12.42 h less a day is 50.4 min
	"kcl_mass":        1e-4,      // four figures of the molar mass
	"gaba_mass":       5e-4,      // four figures
}

// protocolValueRows is the number of rows of protocol_values.csv; none is skipped.
const protocolValueRows = 21

// TestProtocolValues holds amounts of the shipped protocols against published values and
// published worked examples; each row's method says what of the source was read.
func TestProtocolValues(t *testing.T) {
	rows := protocolValues(t)
	read := 0
	for i, row := range rows {
		origin := fmt.Sprintf("%s (%s)", row["source"], row["method"])
		if row["source"] == "" || row["method"] == "" {
			t.Fatalf("line %d has no source or no method", i+2)
		}
		if strings.Contains(row["method"], "read") {
			read++
		}
		got, err := protocolAmount(row)
		if err != nil {
			t.Errorf("line %d: %v\n%s", i+2, err, origin)
			continue
		}
		want, err := strconv.ParseFloat(row["value"], 64)
		if err != nil {
			t.Fatal(err)
		}
		allowed := max(protocolTolerance[row["amount"]], 1e-9) * math.Abs(want)
		if math.Abs(got-want) > allowed {
			t.Errorf("line %d: %s of %s at %s is %g %s, published %g, differ by more than %.2g\n%s",
				i+2, row["amount"], row["protocol"], row["settings"], got, row["unit"], want, allowed, origin)
		}
	}
	if len(rows) != protocolValueRows {
		t.Errorf("ran %d rows of protocol_values.csv, want %d", len(rows), protocolValueRows)
	}
	if read < 10 {
		t.Errorf("only %d rows rest on a source that was read", read)
	}
}

// protocolAmount scales the row's protocol with the row's settings over the protocol's
// examples, and gives the amount before rounding, in the row's unit.
func protocolAmount(row map[string]string) (float64, error) {
	p, err := library.Load(row["protocol"], functions.All())
	if err != nil {
		return 0, err
	}
	plan, err := calc.ReadPlan("protocol_values.csv", protocolPlan(p, row["settings"]))
	if err != nil {
		return 0, err
	}
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		return 0, err
	}
	sheet, err := calc.Scale(p, site, plan)
	if err != nil {
		return 0, err
	}
	amount, ok := sheet.Amount(row["amount"])
	if !ok {
		return 0, fmt.Errorf("%s has no amount %q", p.Ref(), row["amount"])
	}
	unit, err := quantity.ParseUnit(row["unit"])
	if err != nil {
		return 0, err
	}
	in, err := amount.Exact.In(unit)
	return in.Value(), err
}

// protocolPlan writes a plan from the examples of the settings that a plan must give,
// overruled by given, "name=value; name=value".
func protocolPlan(p *protocols.Protocol, given string) []byte {
	settings := map[string]string{}
	for _, s := range p.Settings {
		if s.GivenBy == protocols.ByPlan {
			settings[s.ID] = fmt.Sprintf("%g", s.Example.Value())
		}
	}
	for _, pair := range strings.Split(given, ";") {
		name, value, _ := strings.Cut(pair, "=")
		settings[strings.TrimSpace(name)] = strings.TrimSpace(value)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "batch: PV-1\nprotocol: %s\nspecies: %s\ndate: 2026-02-14\nstart: \"09:00\"\nsettings:\n", p.Ref(), p.AppliesTo[0])
	for name, value := range settings {
		fmt.Fprintf(&b, "  %q: %q\n", name, value)
	}
	return []byte(b.String())
}

// protocolValues reads testdata/reference/protocol_values.csv.
func protocolValues(t *testing.T) []map[string]string {
	t.Helper()
	var rows []map[string]string
	for _, r := range referencetest.Read(t, "protocol_values.csv") {
		rows = append(rows, r.Cells)
	}
	return rows
}
