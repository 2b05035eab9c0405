package main

import (
	"bytes"
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/expr-lang/expr"
)

// ask runs `spatsheet bench` with arguments and gives exit code, output and talk.
func ask(arguments ...string) (code int, out, talk string) {
	var o, e bytes.Buffer
	noClock := func() time.Time { panic("bench needs no clock") }
	code = run(append([]string{"spatsheet", "bench"}, arguments...), &o, &e, noClock)
	return code, o.String(), e.String()
}

// asTyped splits an example at blanks, keeping what stands between single quotes together.
func asTyped(example string) []string {
	var arguments []string
	for i, part := range strings.Split(example, "'") {
		if i%2 == 1 {
			arguments = append(arguments, part)
			continue
		}
		arguments = append(arguments, strings.Fields(part)...)
	}
	return arguments
}

// otherWays are questions asked so that the lines of working show which the examples do not.
var otherWays = []string{
	"salinity --gravity 1.025 --temp 18 --reference 20",
	"oxygen --salinity 33 --temp 18 --measured 7 --pressure '990 hPa'",
	"ammonia --total 1 --ph 8.2 --scale free --salinity 35 --temp 25",
	"ammonia --total 1 --ph 8.2 --scale NBS --salinity 0 --temp 25",
	"medium --volume 3.7 --strength 0.5 --silicate no",
	"growth --first 3e5 --last 1e5 --time 2",
	"total --of cells --counts 30,50,80 --subsample 0.5 --vessel 3 --dilution 10",
	"chlorine --dose 12.5 --volume 730 --available 11.3 --residual 3.3",
	"drip --volume 7 --from-temp 10 --to-temp 17 --from-salinity 30 --to-salinity 35",
	"uv --irradiance 1.7 --wanted 40 --chamber 2.2",
	"mix --tank 500 --now 36 --wanted 33 --temp 18",
	"mix --tank 500 --now 33 --wanted 33.2 --temp 18 --salt-share 0.85",
	"mix --volume 100 --wanted 31 --saltier 36 --temp 18",
	"ammonia --total 0.5 --ph 8.15 --scale NBS --nbs-above 0.12 --salinity 33 --temp 18",
	"medium --volume 3.7 --bottle '0.5 L'",
	"feed --animals 52000 --each 2e4 --culture 1.7e6",
	"total --of eggs --counts 0,0,0 --subsample 1 --vessel 20",
	"total --of eggs --counts 3,40 --subsample 1 --vessel 20",
	"total --of eggs --counts 100,101,99 --subsample 0.7 --vessel 20 --confidence 0.9",
	"chamber --chamber neubauer-group --counts 2 --of cells --dilution 10",
	"spat --counts 1,22,3,0,9 --window 3 --area 7100",
	"stocking --counted 37 --tank 120 --pour '3,5 L'",
	"start --wanted 777 --shares 0.37",
	"degree-days --temps '5 6 7' --threshold 7.6",
	"development --temps '11,5 14 17.3 19' --hours '70 44 30 26' --at 15",
	"flow --flow '130 mL/min' --volume 33",
	"weigh --reagent MgCl2.6H2O --wanted '7.5 %' --volume 3.3",
	"weigh --reagent GABA --wanted '1 µmol/L' --volume 900",
	"weigh --reagent antibiotic --wanted '10 mg/L' --volume 40 --active '90 %'",
	"survival --alive 0 --started 30 --time 4",
	"harvest --start 3e5 --target 2e6 --rate 0.4",
	"dilution --stock '10 g/L' --wanted '5 mg/L' --volume 5",
	"ripeness --opened 3 --females 2 --males 1 --limit 0.5",
	"fertilisation --regular 7 --irregular 1 --uncleaved 5 --confidence 0.9",
}

func everyAsking() map[string][]string {
	askings := map[string][]string{}
	for _, q := range questions() {
		askings[q.name] = append([]string{q.name}, asTyped(q.example)...)
	}
	for _, line := range otherWays {
		askings[line] = asTyped(line)
	}
	return askings
}

// TestBenchWorkingCanBeFollowed works every line of working again, as a person with a pocket
// calculator would: from the numbers that stand on the line alone.
func TestBenchWorkingCanBeFollowed(t *testing.T) {
	// Numbers stand with six figures, off by 5e-6 of themselves at most; where a line takes a
	// power of ten of a difference (pH) that grows to 2e-5.
	const tolerance = 3e-5
	for name, arguments := range everyAsking() {
		t.Run(name, func(t *testing.T) {
			sheet := benchSheet(t, arguments)
			followed := 0
			for _, line := range sheet.Working {
				left, want, isSum := sumOf(t, line)
				if !isSum {
					continue
				}
				got, err := expr.Eval(left, calculator)
				if err != nil {
					t.Errorf("%s\n  read as %s: %v", line, left, err)
					continue
				}
				if x := asNumber(got); !(math.Abs(x-want) <= tolerance*math.Abs(want)) {
					t.Errorf("%s\n  read as %s: the calculator shows %v", line, left, x)
				}
				followed++
			}
			if followed == 0 {
				t.Errorf("no line of working is a sum: %q", sheet.Working)
			}
		})
	}
}

func benchSheet(t *testing.T, arguments []string) benchAnswer {
	t.Helper()
	code, out, talk := ask(append(arguments, "--json")...)
	var sheet benchAnswer
	if err := json.Unmarshal([]byte(out), &sheet); err != nil || code != exitGood || talk != "" {
		t.Fatalf("%v\n%s%s exit %d, %v", arguments, out, talk, code, err)
	}
	if sheet.Question == "" || len(sheet.Given) == 0 || len(sheet.Results) == 0 || sheet.Source == "" || sheet.Cautions == nil {
		t.Errorf("the sheet is not whole: %s", out)
	}
	return sheet
}

var (
	number     = regexp.MustCompile(`-?[0-9]+(?:\.[0-9]+)?(?:e-?[0-9]+)?`)
	unitBehind = regexp.MustCompile(`([0-9]) (?:per )?[A-Za-zµ°%][A-Za-z0-9µ°%²³/]*`)
)

// sumOf takes "words: 40 L × 1 mL/L = 40 mL" apart into "40 * 1" and 40.
func sumOf(t *testing.T, line string) (left string, right float64, isSum bool) {
	t.Helper()
	line = strings.ReplaceAll(line, "\u202f", "")
	at := strings.LastIndex(line, " = ")
	if at < 0 {
		return "", 0, false
	}
	left = line[:at]
	if colon := strings.LastIndex(left, ": "); colon >= 0 {
		left = left[colon+2:]
	}
	left = unitBehind.ReplaceAllString(left, "$1")
	left = strings.ReplaceAll(left, "×", "*")
	right, err := strconv.ParseFloat(number.FindString(line[at+3:]), 64)
	if err != nil {
		t.Errorf("%s: %v", line, err)
	}
	return left, right, true
}

// calculator has the keys that the working asks for.
var calculator = map[string]any{
	"ln":   func(x any) float64 { return math.Log(asNumber(x)) },
	"sqrt": func(x any) float64 { return math.Sqrt(asNumber(x)) },
}

func asNumber(x any) float64 {
	switch v := x.(type) {
	case int:
		return float64(v)
	case float64:
		return v
	}
	return math.NaN()
}

// TestBenchPrintsTheResultLast looks at the form for people: the parts in their order.
func TestBenchPrintsTheResultLast(t *testing.T) {
	for name, arguments := range everyAsking() {
		code, out, _ := ask(arguments...)
		sheet := benchSheet(t, arguments)
		last := sheet.Results[len(sheet.Results)-1]
		lines := strings.Split(strings.TrimSpace(out), "\n")
		if end := lines[len(lines)-1]; code != exitGood || !strings.Contains(end, last.Name) || !strings.Contains(end, last.words(resultFigures)) {
			t.Errorf("%s: exit %d, the last line is %q, want %s %s", name, code, end, last.Name, last.words(resultFigures))
		}
		place := -1
		for _, part := range []string{"\nGiven\n", "\nWorking\n", "\nSource: ", "\nResult\n"} {
			if next := strings.Index(out, part); next <= place {
				t.Errorf("%s: %q is not in its place", name, part)
			} else {
				place = next
			}
		}
	}
}

// TestBenchTakesAnyInput gives every flag of every question what it may not get: the answer is
// a sheet of finite numbers or a refusal that says why, never a panic.
func TestBenchTakesAnyInput(t *testing.T) {
	odd := []string{"0", "-1", "1", "1e-300", "1e300", "-1e300", "1.7e308", "NaN", "Inf", "x", "3 kg", "5 °C", "5 %",
		"7 PSU", "1e9", "1,2", "0,0,0", "-4,5", "99999999999999999999", "é", "--"}
	for _, q := range questions() {
		arguments := append([]string{q.name}, asTyped(q.example)...)
		for _, in := range q.inputs {
			for _, value := range odd {
				code, out, talk := ask(append(arguments, "--json", "--"+in.name+"="+value)...)
				if code != exitGood && code != exitUsage {
					t.Errorf("%s --%s=%s: exit %d", q.name, in.name, value, code)
				}
				if code == exitUsage && (talk == "" || strings.Contains(talk, "unsupported value")) {
					t.Errorf("%s --%s=%s: %q", q.name, in.name, value, talk)
				}
				if !json.Valid([]byte(out)) || strings.Contains(out, "infinite") || strings.Contains(out, "not a number") {
					t.Errorf("%s --%s=%s: %s", q.name, in.name, value, out)
				}
			}
		}
	}
}
