package functions_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/culture"
	"spatsheet/calc/functions"
	"spatsheet/calc/referencetest"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/library"
	"spatsheet/protocols/quantity"
)

// called calls a function through a compiled formula, its arguments in units of their own,
// and gives the result in unit.
func called(t *testing.T, name string, arguments []string, unit string) (float64, error) {
	t.Helper()
	var names []string
	scope, values := formula.Scope{}, formula.NewValues()
	for i, text := range arguments {
		q, err := quantity.Parse(strings.TrimSpace(text))
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, "x"+strconv.Itoa(i))
		scope[names[i]] = formula.Name{Dimension: q.Dimension()}
		values.Set(names[i], q.Base())
	}
	f, err := formula.Compile(name+"("+strings.Join(names, ", ")+")", scope, functions.All())
	if err != nil {
		t.Fatalf("%s of %q: %v", name, arguments, err)
	}
	u := quantity.MustUnit(unit)
	if f.Dimension() != u.Dimension() {
		t.Fatalf("%s of %q gives a %s, not a %s", name, arguments, f.Dimension(), u.Dimension())
	}
	base, err := f.Number(values)
	return u.FromBase(base), err
}

// leastRows is how many rows of the reference table each function is held against.
const leastRows = 5

// TestAgainstAnotherProgram holds every function, units and all, against numbers worked out
// by a program that shares nothing with this one.
func TestAgainstAnotherProgram(t *testing.T) {
	rows := map[string]int{"unionised_ammonia": leastRows, "oxygen_saturation": leastRows, "base_for_bath": leastRows} // held against published tables below
	for _, row := range referencetest.Read(t, "functions.csv") {
		c := row.Cells
		rows[c["function"]]++
		want, err := strconv.ParseFloat(c["value"], 64)
		if err != nil {
			t.Fatalf("line %d: %v", row.Line, err)
		}
		got, err := called(t, c["function"], strings.Split(c["arguments"], ";"), c["unit"])
		// 1e-9: both work in binary fractions. 1e-7 % for inbreeding and shares near 0 and 100 %.
		if err != nil || math.Abs(got-want) > 1e-9*math.Abs(want)+1e-7*smallest(c["unit"]) {
			t.Errorf("functions.csv:%d: %s(%s) gives %.12g %s (%v), want %.12g; %s", row.Line, c["function"], c["arguments"], got, c["unit"], err, want, row.Origin())
		}
	}
	for _, f := range functions.All().List() {
		if rows[f.Name] < leastRows {
			t.Errorf("%s is held against %d rows, want %d", f.Name, rows[f.Name], leastRows)
		}
	}
}

func smallest(unit string) float64 {
	if unit == "%" {
		return 1
	}
	return 0
}

// TestWorkingIsTheArithmetic: the line of working printed beside a call gives what the call
// gives, in every row, and is right in its units.
func TestWorkingIsTheArithmetic(t *testing.T) {
	byName := map[string]*formula.Function{}
	for _, f := range functions.All().List() {
		byName[f.Name] = f
	}
	worked := 0
	for _, row := range referencetest.Read(t, "functions.csv") {
		f, arguments := byName[row.Cells["function"]], strings.Split(row.Cells["arguments"], ";")
		if f.Working == "" || len(arguments) != len(f.Arguments) {
			continue
		}
		scope, values := formula.Scope{}, formula.NewValues()
		for i, text := range arguments {
			q, err := quantity.Parse(strings.TrimSpace(text))
			if err != nil {
				t.Fatal(err)
			}
			scope[f.Arguments[i].Name] = formula.Name{Dimension: q.Dimension()}
			if strings.HasPrefix(f.Name, "share_") { // the spread of a count has no unit that could be held together with the count's
				scope[f.Arguments[i].Name] = formula.Name{}
			}
			values.Set(f.Arguments[i].Name, q.Base())
		}
		working, err := formula.Compile(f.Working, scope, functions.All())
		if err != nil {
			t.Fatalf("%s: its working %q: %v", f.Name, f.Working, err)
		}
		unit := quantity.MustUnit(row.Cells["unit"])
		base, err := working.Number(values)
		if err != nil {
			t.Fatalf("%s: its working %q: %v", f.Name, f.Working, err)
		}
		got, want := unit.FromBase(base), 0.0
		if want, err = strconv.ParseFloat(row.Cells["value"], 64); err != nil {
			t.Fatal(err)
		}
		// 1e-6: the working of a share writes 1.96 squared to seven figures.
		if working.Dimension() != unit.Dimension() || math.Abs(got-want) > 1e-6*math.Abs(want)+1e-5*smallest(row.Cells["unit"]) {
			t.Errorf("functions.csv:%d: the working of %s(%s) gives %.9g %s (%v), want %.9g", row.Line, f.Name,
				row.Cells["arguments"], got, row.Cells["unit"], err, want)
		}
		worked++
	}
	if worked < 100 {
		t.Errorf("%d rows were worked, want 100 and more", worked)
	}
}

// bath reads the rows of naoh_bath.csv whose pH is that of bottled buffers.
var bath = regexp.MustCompile(`S=([\d.]+); T=([\d.]+) degC; TA=([\d.]+) umol/kg; .*start pH NBS=([\d.]+)\); target pH=([\d.]+) NBS scale; base=NaOH`)

// TestPublishedTables holds the functions that stand on a published equation against the
// tables of their science room, through a formula.
func TestPublishedTables(t *testing.T) {
	number := func(row referencetest.Row, column string) float64 {
		x, err := strconv.ParseFloat(row.Cells[column], 64)
		if err != nil {
			t.Fatalf("line %d, %s: %v", row.Line, column, err)
		}
		return x
	}
	rows := map[string]int{}
	hold := func(file string, row referencetest.Row, name, unit string, want, tolerance float64, arguments ...string) {
		rows[name]++
		got, err := called(t, name, arguments, unit)
		if err != nil || math.Abs(got-want) > tolerance {
			t.Errorf("%s:%d: %s%q gives %g %s (%v), want %g; %s", file, row.Line, name, arguments, got, unit, err, want, row.Origin())
		}
	}
	for _, row := range referencetest.Read(t, "intervals.csv") {
		if !strings.Contains(strings.ToLower(row.Cells["interval"]), "wilson") || row.Cells["confidence"] != "0.95" ||
			strings.Contains(row.Cells["interval"], "continuity") {
			continue
		}
		hold("intervals.csv", row, "share_low", "1", number(row, "low"), 6e-5, row.Cells["count"], row.Cells["trials"])
		hold("intervals.csv", row, "share_high", "1", number(row, "high"), 6e-5, row.Cells["count"], row.Cells["trials"])
	}
	for _, row := range referencetest.Read(t, "effective_size.csv") {
		hold("effective_size.csv", row, "effective_size_of", "animals", number(row, "Ne"), 0.051, row.Cells["males"]+" animals", row.Cells["females"]+" animals")
	}
	for _, row := range referencetest.Read(t, "ammonia.csv") {
		if row.Cells["equation"] != "clegg_whitfield_1995_total" {
			continue
		}
		want := number(row, "unionised_fraction")
		hold("ammonia.csv", row, "unionised_ammonia", "µg/L", 1000*want, 2*want, "1 mg/L", row.Cells["pH"]+" pH",
			row.Cells["practical_salinity"]+" PSU", row.Cells["temperature_C"]+" °C")
	}
	for _, row := range referencetest.Read(t, "oxygen.csv") {
		measured, want := row.Cells["oxygen_mg_per_L"], 100.0
		if row.Cells["quantity"] == "percent_saturation" {
			measured, want = row.Cells["measured_mg_per_L"], number(row, "saturation_percent")
		}
		if measured == "" {
			continue
		}
		hold("oxygen.csv", row, "oxygen_saturation", "%", want, 0.1, measured+" mg/L", row.Cells["practical_salinity"]+" PSU", row.Cells["temperature_C"]+" °C")
	}
	for _, row := range referencetest.Read(t, "naoh_bath.csv") {
		found := bath.FindStringSubmatch(row.Cells["inputs"])
		if found == nil || row.Cells["what"] != "base_needed" || row.Cells["unit"] != "mmol/kg" {
			continue
		}
		alkalinity, err := strconv.ParseFloat(found[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		hold("naoh_bath.csv", row, "base_for_bath", "mmol/kg", number(row, "expected"), number(row, "tolerance"), found[4]+" pH", found[5]+" pH",
			strconv.FormatFloat(alkalinity/1000, 'g', -1, 64)+" mmol/kg", found[1]+" PSU", found[2]+" °C")
	}
	for _, name := range []string{"share_low", "share_high", "effective_size_of", "unionised_ammonia", "oxygen_saturation", "base_for_bath"} {
		if rows[name] < leastRows {
			t.Errorf("%s is held against %d published rows, want %d", name, rows[name], leastRows)
		}
	}
}

// TestNaNIsRefused: no function takes a number that is none, in any place, nor gives one.
func TestNaNIsRefused(t *testing.T) {
	byName := map[string][]string{}
	for _, row := range referencetest.Read(t, "functions.csv") {
		byName[row.Cells["function"]] = strings.Split(row.Cells["arguments"], ";")
	}
	for _, f := range functions.All().List() {
		for i := range f.Arguments {
			for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
				scope, values := formula.Scope{}, formula.NewValues()
				names := make([]string, len(f.Arguments))
				for k, a := range f.Arguments {
					names[k] = a.Name
					unit := strings.ReplaceAll(strings.ReplaceAll(a.Unit, formula.Thing, "animals"), formula.Any, "g")
					u := quantity.MustUnit(unit)
					x := (math.Max(a.Low, -1e3) + math.Min(a.High, 1e3)) / 2
					if k == i {
						x = bad
					}
					scope[a.Name] = formula.Name{Dimension: u.Dimension()}
					values.Set(a.Name, u.Base(x))
				}
				call, err := formula.Compile(f.Name+"("+strings.Join(names, ", ")+")", scope, functions.All())
				if err != nil {
					t.Fatal(err)
				}
				if y, err := call.Number(values); err == nil || !strings.Contains(err.Error(), f.Arguments[i].Name) {
					t.Errorf("%s with %s = %g gives %g, %v; want an error that names the argument", f.Name, f.Arguments[i].Name, bad, y, err)
				}
			}
		}
	}
}

// TestEveryFunctionIsCalled: what stands on the list is called by a shipped protocol, or
// waits for a protocol that is named.
func TestEveryFunctionIsCalled(t *testing.T) {
	texts := ""
	for _, ref := range library.Refs() {
		p, err := library.Load(ref, functions.All())
		if err != nil {
			t.Fatal(err)
		}
		texts += string(p.Text)
	}
	waits := toCome()
	for _, f := range functions.All().List() {
		calls, waiting := strings.Contains(texts, f.Name+"("), waits[f.Name] != ""
		if calls == waiting {
			t.Errorf("%s: called by a shipped protocol: %v; on the list of those to come: %v; want one of the two", f.Name, calls, waiting)
		}
		if f.Says == "" || f.Source == "" || (f.Working == "" && !waiting) {
			t.Errorf("%s lacks what it says, its source or its working", f.Name)
		}
		delete(waits, f.Name)
	}
	for name := range waits {
		t.Errorf("%s is to come and is no function", name)
	}
}

// TestMediumOfTheProtocol: the doses of the stocks in the shipped protocols are those of the
// recipe that calc/culture holds against its table.
func TestMediumOfTheProtocol(t *testing.T) {
	settings := map[string]string{"nitrate": "nitrate_rate", "phosphate": "phosphate_rate",
		"silicate": "silicate_rate", "trace": "trace_rate", "vitamin": "vitamin_rate"}
	for _, ref := range []string{"diatom-culture", "plate-seeding"} {
		p, err := library.Load(ref, functions.All())
		if err != nil {
			t.Fatal(err)
		}
		held := 0
		for _, stock := range culture.StocksF2() {
			if s, ok := p.Setting(settings[stock.Name]); ok {
				held++
				if got := s.Default.Value(); s.Unit.Symbol() != "mL/L" || got != stock.MLPerL {
					t.Errorf("%s: %s is %g %s, the recipe has %g mL/L", ref, s.ID, got, s.Unit.Symbol(), stock.MLPerL)
				}
			} else if s, ok := p.Setting("stock_rate"); !ok || s.Default.Value() != stock.MLPerL {
				t.Errorf("%s: no dose of %s, or another than %g mL/L", ref, stock.Name, stock.MLPerL)
			}
		}
		if held == 0 {
			t.Errorf("%s: no stock of the recipe was held", ref)
		}
	}
}

// toCome names the functions that no shipped protocol calls yet and what they wait for.
func toCome() map[string]string {
	const other = "issue 15, protocols for other animals"
	return map[string]string{
		"unionised_ammonia": other, "oxygen_saturation": other, "base_for_bath": other,
		"film_carries": other, "eggs_in_layer": other,
		"share_high": "issue 16, how sure a count is",
	}
}
