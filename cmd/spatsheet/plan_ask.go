package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"golang.org/x/term"

	"charm.land/huh/v2"

	"spatsheet/cmd/station"
)

// askMode says how plan may ask.
type askMode int

const (
	neverAsk askMode = iota
	askInForm
	askByLine // one question after another, for screen readers and dumb terminals
)

// asks says how plan may ask here: only where a person sits at a terminal.
func (p *program) asks(forced, never bool) (askMode, error) {
	if forced && never {
		return neverAsk, usageFault("--ask and --no-ask do not go together; give one of them")
	}
	out, isFile := raw(p.out).(*os.File)
	if !isFile || !term.IsTerminal(int(out.Fd())) || !term.IsTerminal(int(os.Stdin.Fd())) {
		if forced {
			return neverAsk, usageFault("--ask needs a terminal to ask on; give the answers as flags")
		}
		return neverAsk, nil
	}
	dumb, ci := os.Getenv("TERM") == "dumb", os.Getenv("CI")
	switch byLine := os.Getenv("ACCESSIBLE"); {
	case never, !forced && (dumb || (ci != "" && ci != "false")):
		return neverAsk, nil
	case dumb, byLine != "" && byLine != "0":
		return askByLine, nil
	}
	return askInForm, nil
}

// askPlan asks for what is missing; asked is false where nothing was.
func (p *program) askPlan(mode askMode, folder *station.Folder, replace, everything bool, given answers) (full answers, asked bool, err error) {
	s, err := newPlanner(p, folder, replace, everything, given)
	if err != nil || !(everything || s.missing()) {
		return given, false, err
	}
	if err := s.givenFault(); err != nil {
		return given, false, err
	}
	if mode == askByLine {
		err = p.askLines(s, os.Stdin)
	} else {
		err = askForm(s, p.now, os.Stdin, raw(p.out))
	}
	if errors.Is(err, errStopped) {
		return given, false, usageFault("%w", errStopped)
	}
	return s.answers, true, err
}

// formOf makes the fields of a page. The form draws neither help nor faults: the screen
// around it does, which knows how much room there is.
func formOf(p planPage, width int) *huh.Form {
	var fields []huh.Field
	label, within := 0, 0
	for _, q := range p.questions {
		label, within = max(label, len([]rune(q.label))), max(within, len([]rune(q.bounds)))
	}
	if label+within+24 > width { // the range stands below the form too
		within = 0
	}
	for _, q := range p.questions {
		fields = append(fields, q.field(q.before(label, within), width-6))
	}
	plain := huh.ThemeFunc(func(bool) *huh.Styles { return plainTheme() })
	return huh.NewForm(huh.NewGroup(fields...)).WithTheme(plain).WithKeyMap(formKeys()).WithShowHelp(false).WithShowErrors(false)
}

// before is what stands before a line to type into, in columns; nothing before a list.
func (q *planQuestion) before(label, within int) string {
	if len(q.choices) > 0 {
		return ""
	}
	before := fmt.Sprintf("%-*s  ", label, q.label)
	if within > 0 {
		before += fmt.Sprintf("%-*s  ", within, q.bounds)
	}
	return before
}

// field is a list to choose from, each choice in one line, or a line to type into.
func (q *planQuestion) field(title string, width int) huh.Field {
	switch {
	case q.several:
		return huh.NewMultiSelect[string]().Key(q.key).Title(title).Options(q.options(width - 4)...).Value(&q.chosen).Filterable(false).
			Validate(func(chosen []string) error { return q.check(strings.Join(chosen, " ")) })
	case len(q.choices) > 0:
		return huh.NewSelect[string]().Key(q.key).Title(title).Options(q.options(width)...).Value(&q.value).Validate(q.check)
	}
	return huh.NewInput().Key(q.key).Inline(true).Title(title).Prompt("> ").Value(&q.value).Validate(q.check)
}

func (q *planQuestion) options(width int) []huh.Option[string] {
	widths := q.columnWidths(width)
	var options []huh.Option[string]
	for _, c := range q.choices {
		var text string
		for i, column := range c.columns {
			if len(c.columns) > 1 { // one alone may run over all of them
				column = cut(column, widths[i])
			}
			text += fmt.Sprintf("%-*s  ", widths[i], column)
		}
		options = append(options, huh.NewOption(cut(strings.TrimRight(text, " "), width), c.value))
	}
	return options
}

// columnWidths gives each column of a list its room; the widest gives way.
func (q *planQuestion) columnWidths(width int) []int {
	var widths []int
	for _, c := range q.choices {
		for i, column := range c.columns {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			if len(c.columns) > 1 {
				widths[i] = max(widths[i], utf8.RuneCountInString(column))
			}
		}
	}
	over := 2*(len(widths)-1) - width
	for _, w := range widths {
		over += w
	}
	if widest := slices.Index(widths, slices.Max(widths)); over > 0 {
		widths[widest] = max(10, widths[widest]-over)
	}
	return widths
}

func (q *planQuestion) check(value string) error {
	if q.fault == nil {
		return nil
	}
	if says := q.fault(value); says != "" {
		return errors.New(says)
	}
	return nil
}

// formKeys are those of the form library without filters in lists.
func formKeys() *huh.KeyMap {
	keys := huh.NewDefaultKeyMap()
	keys.Select.Filter.SetEnabled(false)
	return keys
}

// plainTheme marks what is chosen by signs and weight, never by colour. Made once: the form
// library asks for it at every line it draws.
var plainTheme = sync.OnceValue(func() *huh.Styles {
	t := huh.ThemeBase(false)
	t.FieldSeparator = t.FieldSeparator.SetString("\n")
	for _, f := range []*huh.FieldStyles{&t.Focused, &t.Blurred} {
		f.SelectedPrefix = f.SelectedPrefix.SetString("[x] ")
		f.UnselectedPrefix = f.UnselectedPrefix.SetString("[ ] ")
	}
	t.Focused.SelectedOption = t.Focused.SelectedOption.Bold(true)
	return t
})
