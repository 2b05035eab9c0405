package main

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/counts"
	"spatsheet/calc/limits"
	"spatsheet/calc/stats"
	"spatsheet/protocols/quantity"
)

// question is one single calculation at the bench.
type question struct {
	name    string // a word of the trade
	asks    string // what it answers, one line
	example string // its flags, as typed
	note    string // what to know before asking, may be empty
	inputs  []input
	work    func(*bench) error // reads b's values, adds working, results, source, cautions
}

// questions lists what bench can be asked, in the order of its help. To add one, write it
// beside those of its science and name it here.
func questions() []question {
	return []question{
		salinityQuestion(), mixQuestion(), oxygenQuestion(), ammoniaQuestion(),
		mediumQuestion(), inoculumQuestion(), growthQuestion(), harvestQuestion(), seedingQuestion(), feedQuestion(),
		totalQuestion(), chamberQuestion(), spatQuestion(), spermQuestion(), fertilisationQuestion(),
		stockingQuestion(), startQuestion(), ripenessQuestion(), gonadQuestion(), degreeDaysQuestion(), developmentQuestion(),
		dilutionQuestion(), weighQuestion(), peroxideQuestion(), chlorineQuestion(), rinseQuestion(), flowQuestion(),
		dripQuestion(), uvQuestion(), lampQuestion(),
		survivalQuestion(), parentsQuestion(),
	}
}

// bench is one question being answered: what was given, and what goes on paper.
type bench struct {
	values map[string]reading
	sheet  benchAnswer
	fault  error // of a result that is no number
}

// benchAnswer is the answer as --json prints it.
type benchAnswer struct {
	Question string   `json:"question"`
	Given    []figure `json:"given"`
	Working  []string `json:"working"`
	Results  []figure `json:"results"`
	Source   string   `json:"source"`
	Cautions []string `json:"cautions"`
}

// figure is a named value; Value is a number, a list of numbers or a word.
type figure struct {
	Name  string `json:"name"`
	Value any    `json:"value"`
	Unit  string `json:"unit"`

	figures int // printed of a result, 0 for resultFigures
}

// benchRefusal is what --json prints where there is no answer.
type benchRefusal struct {
	Question string `json:"question"`
	Fault    string `json:"fault"`
}

func (p *program) benchCommand() *cli.Command {
	c := &cli.Command{
		Name:      "bench",
		Usage:     "single calculations, with the working shown",
		UsageText: "spatsheet bench <question> [--json] --<name> <quantity>...",
		Description: `Answers one question, with the working, so that a second person can follow it with
a pocket calculator. A quantity is a number with a unit, such as '40 L'; a number
alone is taken in the unit that the help of the question names.

   # f/2 medium for 40 L
   spatsheet bench medium --volume '40 L'

   # eggs in a vessel from five subsamples
   spatsheet bench total --of eggs --counts 112,98,121,105,117 --subsample '1 mL' --vessel '20 L'

   # what a question takes
   spatsheet bench drip --help`,
		Action: func(c *cli.Context) error {
			if !c.Args().Present() {
				return p.listQuestions()
			}
			var names []string
			for _, q := range questions() {
				names = append(names, q.name)
			}
			word := c.Args().First()
			return usageFault("bench has no question %q%s", word, meantOr(word, names, "`spatsheet bench` lists them"))
		},
	}
	for _, q := range questions() {
		c.Subcommands = append(c.Subcommands, p.questionCommand(q))
	}
	return c
}

func (p *program) questionCommand(q question) *cli.Command {
	flags := []cli.Flag{&cli.BoolFlag{Name: "json", Usage: "print question, given values, working, results, source and cautions as JSON"}}
	for _, in := range q.inputs {
		flags = append(flags, &cli.StringFlag{Name: in.name, Usage: in.usage()})
	}
	note := q.note
	if note != "" {
		note += "\n\n"
	}
	return &cli.Command{
		Name:        q.name,
		Usage:       q.asks,
		UsageText:   "spatsheet bench " + q.name + " [--json] --<name> <quantity>...",
		Description: note + "   # for instance\n   spatsheet bench " + q.name + " " + q.example,
		Flags:       flags,
		Action:      func(c *cli.Context) error { return p.answer(c, q) },
	}
}

func (p *program) listQuestions() error {
	fmt.Fprintln(p.out, "Questions for the bench; `spatsheet bench <question> --help` says what each takes.")
	for _, q := range questions() {
		fmt.Fprintf(p.out, "\n  %-14s %s\n  %-14s spatsheet bench %s %s\n", q.name, q.asks, "", q.name, q.example)
	}
	return nil
}

// answer reads the flags, works the question out and prints it.
func (p *program) answer(c *cli.Context, q question) error {
	b := &bench{sheet: benchAnswer{Question: q.name + ": " + q.asks, Cautions: []string{}}}
	err := b.read(c, q)
	if err == nil {
		worked := q.work(b) // on a line of its own: b.fault is set by then
		if err = firstFault(worked, b.fault); err != nil {
			err = usageFault("bench %s: %s", q.name, plainly(err))
		}
	}
	switch {
	case err != nil && c.Bool("json"):
		return firstFault(err, p.printJSON(benchRefusal{b.sheet.Question, err.Error()}))
	case err != nil:
		return err
	case c.Bool("json"):
		return p.printJSON(b.sheet)
	}
	p.showAnswer(&b.sheet)
	return nil
}

// plainly is an error's text without the class it wraps, which is for programs: a person has
// read the same in the words before it.
func plainly(err error) string {
	text := err.Error()
	for _, class := range []error{limits.ErrRange, stats.ErrTooFew, counts.ErrTooFew, stats.ErrNoFit} {
		text = strings.TrimSuffix(text, ": "+class.Error())
	}
	return text
}

func (p *program) printJSON(v any) error {
	e := json.NewEncoder(p.out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

func firstFault(first, second error) error {
	if first != nil {
		return first
	}
	return second
}

// showAnswer prints the question first and the result last, where the eye is.
func (p *program) showAnswer(s *benchAnswer) {
	fmt.Fprintf(p.out, "%s\n\nGiven\n", s.Question)
	p.showFigures(s.Given, 0)
	fmt.Fprintln(p.out, "\nWorking")
	for _, line := range s.Working {
		fmt.Fprintf(p.out, "  %s\n", line)
	}
	fmt.Fprintf(p.out, "\nSource: %s\n", s.Source)
	for _, caution := range s.Cautions {
		fmt.Fprintf(p.out, "CAUTION: %s\n", caution)
	}
	fmt.Fprintln(p.out, "\nResult")
	p.showFigures(s.Results, resultFigures)
}

// showFigures prints names and values in two columns.
func (p *program) showFigures(figures []figure, digits int) {
	width := 0
	for _, f := range figures {
		width = max(width, utf8.RuneCountInString(f.Name))
	}
	for _, f := range figures {
		fmt.Fprintf(p.out, "  %-*s  %s\n", width, f.Name, f.words(digits))
	}
}

// resultFigures are the significant figures of a printed result: one more than a pipette or a
// balance at the bench can use. --json has all of them.
const resultFigures = 4

// workingFigures are those of the working, so that a pocket calculator follows.
const workingFigures = 6

func (f figure) words(figures int) string {
	if f.figures > 0 && figures > 0 {
		figures = f.figures
	}
	switch v := f.Value.(type) {
	case float64:
		return printed(v, f.Unit, figures)
	case []int:
		return strings.Trim(fmt.Sprint(v), "[]")
	case []float64:
		return strings.TrimSpace(strings.Trim(fmt.Sprint(v), "[]") + " " + f.Unit)
	}
	return fmt.Sprint(f.Value)
}

// printed writes a value with its unit: "1/d" as "per d", and a pH as a number alone.
func printed(x float64, unit string, figures int) string {
	if below, isRate := strings.CutPrefix(unit, "1/"); isRate {
		return quantity.FormatNumber(x, figures) + " per " + below
	}
	if unit == "pH" {
		unit = ""
	}
	if u, err := quantity.ParseUnit(unit); err == nil {
		if q, err := quantity.New(x, u); err == nil {
			return q.Format(figures)
		}
	}
	return quantity.FormatNumber(x, figures) + " " + unit
}

// of writes a number of the working with its unit.
func of(x float64, unit string) string { return printed(x, unit, workingFigures) }

// finely is of where a difference follows that would eat its figures.
func finely(x float64, unit string) string { return printed(x, unit, 9) }

// line adds a line of working.
func (b *bench) line(format string, args ...any) {
	b.sheet.Working = append(b.sheet.Working, fmt.Sprintf(format, args...))
}

// result adds a result; one that is no finite number is a fault of the whole answer.
func (b *bench) result(name string, value float64, unit string) {
	if _, err := limits.Result(name, value); err != nil && b.fault == nil {
		b.fault = err
	}
	b.sheet.Results = append(b.sheet.Results, figure{Name: name, Value: value, Unit: unit})
}

// rest adds a result that with another one, in the same unit, makes up a whole: it is printed
// to the last decimal of the other, so that the two add up on paper.
func (b *bench) rest(name string, value, other float64, unit string) {
	b.result(name, value, unit)
	_, decimals, _ := strings.Cut(quantity.FormatNumber(other, resultFigures), ".")
	if whole := int(math.Floor(math.Log10(math.Abs(value)))) + 1; value != 0 && !strings.Contains(decimals, "e") {
		b.sheet.Results[len(b.sheet.Results)-1].figures = max(resultFigures, min(whole, 12)+len(decimals))
	}
}

func (b *bench) source(text string) { b.sheet.Source = text }

func (b *bench) caution(text string) { b.sheet.Cautions = append(b.sheet.Cautions, text) }
