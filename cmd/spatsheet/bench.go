package main

import (
	"cmp"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/counts"
	"spatsheet/calc/limits"
	"spatsheet/calc/stats"
)

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
		if err = cmp.Or(worked, b.fault); err != nil {
			err = usageFault("bench %s: %s", q.name, plainly(err))
		}
	}
	switch {
	case err != nil && c.Bool("json"):
		return cmp.Or(err, p.printJSON(benchRefusal{b.sheet.Question, err.Error()}))
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
