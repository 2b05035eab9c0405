package main

import (
	"errors"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"
	"charm.land/huh/v2"
	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/colorprofile"
)

// besideFrom is the width from which the amounts stand beside the questions.
const besideFrom = 130

// besideWidth is the width of the questions then.
const besideWidth = 66

// screen is the form as it stands: one page of the planner at a time.
type screen struct {
	s             *planner
	now           func() time.Time
	page          planPage
	form          *huh.Form
	before        []planStep // pages gone through, for going back
	width, height int
	trouble       error // what a page's answers led to, such as a protocol that cannot be read
	done, stopped bool
}

// askForm asks on a terminal, page by page, until everything is answered.
func askForm(s *planner, now func() time.Time, in *os.File, out io.Writer) error {
	m := &screen{s: s, now: now, width: 80, height: 24}
	m.open(s.first(askProtocol, now()))
	// Without colours it is legible on any ground; weight and reverse video stay.
	_, err := tea.NewProgram(m, tea.WithInput(in), tea.WithOutput(out), tea.WithColorProfile(colorprofile.ASCII)).Run()
	if m.stopped || errors.Is(err, tea.ErrInterrupted) || errors.Is(err, tea.ErrProgramKilled) {
		return errStopped
	}
	return err
}

// open turns to a page.
func (m *screen) open(p planPage) tea.Cmd {
	m.page = p
	if p.step == allAsked {
		m.done = true
		return tea.Quit
	}
	m.form = formOf(p, m.formWidth())
	init := m.form.Init()
	m.resize()
	return init
}

func (m *screen) Init() tea.Cmd { return m.form.Init() }

func (m *screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if m.done || m.stopped {
		return m, nil
	}
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		if m.width == msg.Width && m.height == msg.Height {
			return m, nil
		}
		m.width, m.height = msg.Width, msg.Height
		if len(m.page.questions[0].choices) > 0 { // its columns are laid out anew
			return m, m.open(m.page)
		}
		m.resize()
		return m, nil
	case tea.KeyPressMsg:
		m.trouble = nil
		if msg.String() == "esc" {
			return m, m.back()
		}
	}
	cmd := m.pass(msg)
	switch m.form.State {
	case huh.StateAborted:
		m.stopped = true
		return m, tea.Quit
	case huh.StateCompleted:
		return m, m.forward()
	}
	if m.page.shows {
		m.trouble = m.s.take(m.page) // so that the amounts follow what is typed
	}
	return m, cmd
}

// pass hands a message to the form. Going from line to line is done at once, not by a
// message of its own as the form would: keys pressed meanwhile would reach the old line.
func (m *screen) pass(msg tea.Msg) tea.Cmd {
	update := func(msg tea.Msg) tea.Cmd {
		model, cmd := m.form.Update(msg)
		m.form = model.(*huh.Form)
		return cmd
	}
	key, ok := msg.(tea.KeyPressMsg)
	if !ok {
		return update(msg)
	}
	field := m.form.GetFocusedField()
	at := slices.IndexFunc(m.page.questions, func(q *planQuestion) bool { return q.key == field.GetKey() })
	last, list := at == len(m.page.questions)-1, len(m.page.questions[at].choices) > 0
	switch press := key.String(); {
	case !list && at > 0 && (press == "up" || press == "shift+tab"):
		return update(huh.PrevField())
	case press == "enter" || (!list && !last && (press == "down" || press == "tab")):
		update(tea.KeyPressMsg{Code: tea.KeyEnter}) // holds the answer against its check
		if field.Error() != nil {
			return nil
		}
		if cmd := update(huh.NextField()); !last {
			return cmd
		}
		return m.form.NextGroup()
	}
	return update(msg)
}

// forward takes the page's answers and turns to the next one.
func (m *screen) forward() tea.Cmd {
	if err := m.s.take(m.page); err != nil {
		cmd := m.open(m.page)
		m.trouble = err
		return cmd
	}
	if m.page.step == askFinish && m.s.finish == writeNothing {
		m.stopped = true
		return tea.Quit
	}
	m.before = append(m.before, m.page.step)
	next := m.s.first(m.s.after(m.page.step), m.now())
	for i, at := range m.before { // a page again: what came after it is forgotten
		if at == next.step {
			m.before = m.before[:i]
			break
		}
	}
	return m.open(next)
}

// back turns to the page before; what was typed on this one is kept where it is good.
func (m *screen) back() tea.Cmd {
	for n := len(m.before) - 1; n >= 0; n-- {
		page := m.s.page(m.before[n], m.now())
		if m.before = m.before[:n]; len(page.questions) > 0 {
			return m.open(page)
		}
	}
	return nil
}

func (m *screen) formWidth() int {
	if m.wide() {
		return besideWidth
	}
	return m.width
}

func (m *screen) wide() bool { return m.page.shows && m.width >= besideFrom }

// resize gives the form its room. Lists take what the amounts leave them.
func (m *screen) resize() {
	m.form.WithWidth(m.formWidth() - 2)
	rows := len(m.page.questions)
	if q := m.page.questions[0]; len(q.choices) > 0 {
		rows = len(q.choices)
		free := m.height - len(m.head()) - 5 // help, two blanks, keys, one spare
		if m.page.shows && !m.wide() {
			free -= previewMost * m.height / 40 // 7 of 24 lines
		}
		rows = max(3, min(rows, free))
	}
	m.form.WithHeight(rows)
}

func (m *screen) head() []string {
	lines := []string{lipgloss.NewStyle().Bold(true).Render("Plan a batch: " + m.page.title)}
	if m.page.about != "" {
		for _, line := range strings.Split(m.page.about, "\n") {
			lines = append(lines, wrapped(line, m.formWidth())...)
		}
	}
	return append(lines, "")
}

// foot is what is said below the questions: what is wrong, else help.
func (m *screen) foot(width int) (lines []string, faulty bool) {
	for _, err := range append(m.form.Errors(), m.trouble) {
		if err != nil {
			lines = append(lines, wrapped("! "+strings.ReplaceAll(inWords(err), "\n", " "), width)...)
		}
	}
	if len(lines) > 0 {
		return lines, true
	}
	key := m.form.GetFocusedField().GetKey()
	for _, q := range m.page.questions {
		if q.key != key {
			continue
		}
		return fitted(wrapped(q.helpNow(), width), 4), false
	}
	return nil, false
}

// helpNow is the help of the choice under the cursor, else of the question.
func (q *planQuestion) helpNow() string {
	for _, c := range q.choices {
		if c.value == q.value && c.help != "" {
			return c.help
		}
	}
	return q.help
}

// keys tells which keys do something here.
func (m *screen) keys() string {
	keys := "enter next   ↑↓ line   ctrl+u empty line"
	if q := m.page.questions[0]; q.several {
		keys = "x mark   ↑↓ line   enter next"
	} else if len(q.choices) > 0 {
		keys = "↑↓ line   enter choose"
	}
	if len(m.before) > 0 {
		keys += "   esc back"
	}
	return keys + "   ctrl+c stop, write nothing"
}

// View draws the page: questions, what is said of them, the amounts, the keys.
func (m *screen) View() tea.View {
	if m.done || m.stopped {
		return tea.NewView("")
	}
	width := m.formWidth() - 2
	left := append(m.head(), strings.Split(strings.TrimRight(m.form.View(), "\n "), "\n")...)
	foot, faulty := m.foot(width)
	left = append(append(left, ""), foot...)
	amounts := m.s.look()
	if faulty && len(m.page.questions[0].choices) == 0 { // they are told once
		amounts.faults = nil
	}
	room := m.height - 2 // above the keys
	if !m.page.shows {
		left = fitted(left, room)
	} else if !m.wide() {
		left = append(left, "")
		left = append(left, amounts.lines(width, room-len(left))...)
	}
	body := strings.Join(fitted(left, room), "\n")
	if m.wide() {
		right := amounts.lines(m.width-m.formWidth(), room-len(m.head()))
		body = lipgloss.JoinHorizontal(lipgloss.Top, lipgloss.NewStyle().Width(m.formWidth()).Render(body),
			strings.Repeat("\n", len(m.head()))+strings.Join(right, "\n"))
	}
	fill := max(0, room-lipgloss.Height(body))
	v := tea.NewView(body + strings.Repeat("\n", fill) + "\n\n" + cut(m.keys(), m.width))
	v.AltScreen = true
	return v
}
