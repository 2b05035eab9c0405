package benchsheet

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

func laidOut(t fataler, sheet *calc.Sheet) []page.Page {
	f, err := newForm(sheet)
	if err != nil {
		t.Fatal(err)
	}
	done, err := f.pages()
	if err != nil {
		t.Fatal(err)
	}
	return done
}

type fataler interface{ Fatal(...any) }

type errorer interface {
	fataler
	Errorf(string, ...any)
}

// ink is where the letters of a line of text are, without the space around them: a
// capital of DejaVu is 0.73 sizes high (measured on the font), a tail reaches 0.24 below.
func ink(w page.Words) (left, top, right, bottom float64) {
	size := w.Font.SizePt * style.PointMM
	return w.X, w.Y - 0.73*size, w.X + w.Font.Width(w.Text), w.Y + 0.15*size
}

// checkPages holds every page to the rules of the layout: nothing outside the margins, no
// line of text over another, none across the line of a box.
func checkPages(t errorer, sheet *calc.Sheet) {
	paper, err := style.PaperOf(sheet.Site.Paper)
	if err != nil {
		t.Fatal(err)
	}
	for n, p := range laidOut(t, sheet) {
		var texts []page.Words
		var boxes []page.Frame
		for _, m := range p {
			left, top, right, bottom := m.Extent()
			const slack = 1e-6
			if left < paper.Left-slack || right > paper.Width-paper.Right+slack || top < paper.Top-slack || bottom > paper.Height-paper.Bottom+slack {
				t.Errorf("page %d: %#v is outside the margins", n+1, m)
			}
			switch m := m.(type) {
			case page.Words:
				texts = append(texts, m)
			case page.Frame:
				if m.LineWidth > 0 {
					boxes = append(boxes, m)
				}
			}
		}
		checkTexts(t, n+1, texts, boxes)
	}
}

func checkTexts(t errorer, number int, texts []page.Words, boxes []page.Frame) {
	for i, w := range texts {
		left, top, right, bottom := ink(w)
		for _, v := range texts[i+1:] {
			l, tp, r, b := ink(v)
			if min(right, r)-max(left, l) > 0.01 && min(bottom, b)-max(top, tp) > 0.01 {
				t.Errorf("page %d: %q lies over %q", number, w.Text, v.Text)
			}
		}
		for _, box := range boxes {
			l, tp, r, b := box.Extent()
			meets := min(right, r)-max(left, l) > 0.01 && min(bottom, b)-max(top, tp) > 0.01
			inside := left >= l && right <= r && top >= tp && bottom <= b
			if meets && !inside {
				t.Errorf("page %d: %q crosses the line of a box", number, w.Text)
			}
		}
	}
}

func TestLayoutOfSamples(t *testing.T) {
	for _, name := range samples {
		for _, paper := range paperSize {
			t.Run(name+" "+paper, func(t *testing.T) { checkPages(t, scaled(t, name, paper, nil)) })
		}
	}
}

// TestLayoutOfLongTexts puts texts of any length in every place that a protocol's or
// plan's author can write in.
func TestLayoutOfLongTexts(t *testing.T) {
	text := rapid.Custom(func(r *rapid.T) string {
		word := rapid.StringOfN(rapid.RuneFrom([]rune("aeginrstMWµ²≤é0123456789-_,")), 1, 40, -1)
		all := strings.Join(rapid.SliceOfN(word, 5, 5).Draw(r, "words"), " ")
		length := rapid.SampledFrom([]int{3, 30, 80, 140}).Draw(r, "length")
		return string([]rune(strings.Repeat(all+" ", 120))[:length])
	})
	rapid.Check(t, func(r *rapid.T) {
		plan := rapid.SampledFrom(samples).Draw(r, "plan")
		sheet := scaled(t, plan, rapid.SampledFrom(paperSize).Draw(r, "paper"), nil)
		draw := func(place *string) {
			if rapid.IntRange(0, 2).Draw(r, "change") == 0 {
				*place = text.Draw(r, "text")
			}
		}
		rewrite(sheet, draw)
		checkPages(r, sheet)
	})
}

// TestLayoutWhenAllIsLong has every text at once far longer than anyone would write.
func TestLayoutWhenAllIsLong(t *testing.T) {
	for _, name := range samples {
		for _, text := range []string{strings.Repeat("sieve and rinse ", 9), strings.Repeat("Navicula", 18)} {
			t.Run(name+" "+text[:8], func(t *testing.T) {
				sheet := scaled(t, name, "Letter", nil)
				rewrite(sheet, func(place *string) { *place = text })
				checkPages(t, sheet)
			})
		}
	}
}

// rewrite offers every text of a sheet to draw.
func rewrite(sheet *calc.Sheet, draw func(*string)) {
	for _, place := range []*string{&sheet.Plan.Species, &sheet.Plan.Note, &sheet.Site.Name, &sheet.Protocol.Title,
		&sheet.Protocol.Purpose, &sheet.Protocol.Stage} {
		draw(place)
	}
	p := sheet.Protocol
	for i := range p.Roles {
		draw(&p.Roles[i].ID)
		draw(&p.Roles[i].Does)
	}
	for i := range p.Cautions {
		draw(&p.Cautions[i].Text)
	}
	for i := range p.Materials {
		draw(&p.Materials[i].Name)
		draw(&p.Materials[i].Note)
	}
	for i := range p.Settings {
		draw(&p.Settings[i].Label)
		draw(&p.Settings[i].Source)
	}
	for i := range p.Amounts {
		draw(&p.Amounts[i].Label)
		draw(&p.Amounts[i].Note)
	}
	for i := range p.Sources {
		draw(&p.Sources[i].Text)
	}
	for i := range sheet.Steps {
		rewriteStep(&sheet.Steps[i], draw)
	}
}

func rewriteStep(s *calc.Step, draw func(*string)) {
	draw(&s.Definition.Title)
	draw(&s.Do)
	entries := func(list []protocols.Entry) {
		for i := range list {
			draw(&list[i].Label)
			draw(&list[i].How)
			draw(&list[i].Note)
			for c := range list[i].Choices {
				draw(&list[i].Choices[c])
			}
		}
	}
	entries(s.Definition.Entries)
	for i := range s.Tables {
		draw(&s.Tables[i].Definition.Title)
		draw(&s.Tables[i].Definition.RowLabel)
		for r := range s.Tables[i].Rows {
			draw(&s.Tables[i].Rows[r].Label)
		}
		entries(s.Tables[i].Definition.Columns)
	}
}

// TestLongTable counts the rows of a table over several pages: each once, each page of
// them under a head, never one row alone.
func TestLongTable(t *testing.T) {
	sheet := scaled(t, "spawn", "Letter", nil)
	table := &sheet.Steps[0].Tables[0]
	first := table.Rows[0]
	table.Rows = nil
	for range 100 {
		table.Rows = append(table.Rows, calc.Row{Label: "Kestrel row", Shown: first.Shown})
	}
	total := 0
	for n, p := range laidOut(t, sheet) {
		rows, heads := 0, 0
		for _, m := range p {
			if w, ok := m.(page.Words); ok {
				switch w.Text {
				case "Kestrel row":
					rows++
				case "Beakers", "Beakers (continued)":
					heads++
				}
			}
		}
		if rows > 0 && heads != 1 || rows == 1 {
			t.Errorf("page %d: %d rows under %d heads", n+1, rows, heads)
		}
		total += rows
	}
	if total != 100 {
		t.Errorf("%d rows printed of 100", total)
	}
}

// TestManyColumns prints a table too wide for the paper in parts, every column once.
func TestManyColumns(t *testing.T) {
	sheet := scaled(t, "diatom", "A4", nil)
	def := sheet.Steps[3].Tables[0].Definition
	for len(def.Columns) < 15 {
		def.Columns = append(def.Columns, protocols.Entry{Label: "Chlorophyll", Kind: protocols.KindNumber})
	}
	checkPages(t, sheet)
	parts, columns := 0, 0
	for _, p := range laidOut(t, sheet) {
		for _, m := range p {
			if w, ok := m.(page.Words); ok && strings.HasPrefix(w.Text, "Carboys, part ") {
				parts++
			} else if ok && w.Text == "Chlorophyll" {
				columns++
			}
		}
	}
	if parts < 2 || columns != 13 { // two of the fifteen are the protocol's own
		t.Errorf("%d parts with %d of 13 columns", parts, columns)
	}
}

// TestHeadingsKeepTheirContent looks for a heading with nothing under it.
func TestHeadingsKeepTheirContent(t *testing.T) {
	for before := range 60 { // headings at every height of a page
		blocks := []page.Block{{Height: float64(before) * 4}, {Height: 10, Keep: true}, {Height: 30, Keep: true}, {Height: 20}}
		done, err := page.Paginate(room(paperA4(t)), named(blocks))
		if err != nil {
			t.Fatal(err)
		}
		on := map[string]int{}
		for n, p := range done {
			for _, m := range p {
				on[m.(page.Words).Text] = n
			}
		}
		if on["1"] != on["2"] || on["2"] != on["3"] {
			t.Errorf("after %d mm the group is on pages %v", before*4, on)
		}
	}
}

func paperA4(t fataler) style.Paper {
	p, err := style.PaperOf("A4")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// named names blocks 0, 1, 2 ... by a word each.
func named(blocks []page.Block) []page.Block {
	for i := range blocks {
		blocks[i].Add(page.Words{Text: string(rune('0' + i)), Font: body})
	}
	return blocks
}

// TestBoxesAreLargeEnough measures the boxes of every number entry of the samples.
func TestBoxesAreLargeEnough(t *testing.T) {
	for _, name := range samples {
		sheet := scaled(t, name, "A4", nil)
		f, err := newForm(sheet)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range sheet.Boxes() {
			if b.Table != nil || b.Entry.Kind == protocols.KindChoice {
				continue
			}
			for _, m := range f.entryRow([]*protocols.Entry{b.Entry}).Marks {
				box, ok := m.(page.Frame)
				if !ok || box.LineWidth == 0 {
					continue
				}
				if box.H < 8 { // a gloved hand writes digits of 5 to 7 mm
					t.Errorf("%s: box %g mm high", b.Key, box.H)
				}
				if b.Entry.Kind == protocols.KindNumber && box.W < 4*math.Min(digits(b.Entry), 11) {
					t.Errorf("%s: box %g mm wide for %g digits", b.Key, box.W, digits(b.Entry))
				}
			}
		}
	}
}

// TestGroupHigherThanAPage breaks it, and repeats what is to be repeated.
func TestGroupHigherThanAPage(t *testing.T) {
	var blocks []page.Block
	for range 4 {
		blocks = append(blocks, page.Block{Height: 100, Keep: true, Repeat: func() page.Block { return named([]page.Block{{Height: 5}})[0] }})
	}
	done, err := page.Paginate(room(paperA4(t)), blocks)
	if err != nil || len(done) != 2 {
		t.Fatalf("%d pages, %v", len(done), err)
	}
	if len(done[0]) != 0 || len(done[1]) != 1 {
		t.Errorf("repeated %d and %d times, want 0 and 1", len(done[0]), len(done[1]))
	}
}

// TestPlannedUnderTheBox has a box, unit and planned amount too wide for one line.
func TestPlannedUnderTheBox(t *testing.T) {
	sheet := scaled(t, "spawn", "A4", nil)
	e := &sheet.Steps[6].Definition.Entries[0]
	*e = protocols.Entry{ID: "x", Label: "Larvae", Kind: protocols.KindNumber, HasRange: true, High: 1e10, Planned: "larvae_expected"}
	e.Unit = sheet.Amounts[0].Definition.Unit
	checkPages(t, sheet)
	for _, p := range laidOut(t, sheet) {
		for _, m := range p {
			if w, ok := m.(page.Words); ok && strings.HasPrefix(w.Text, "planned: 1\u202f440\u202f000 larvae") {
				return
			}
		}
	}
	t.Error("the planned amount is not under the box")
}

// TestAmountsAreLarge finds every step's amounts, number and unit on one line, in bold of
// 16 points or more (read by head torch).
func TestAmountsAreLarge(t *testing.T) {
	for _, name := range samples {
		sheet := scaled(t, name, "A4", nil)
		large := map[string]bool{}
		for _, p := range laidOut(t, sheet) {
			for _, m := range p {
				if w, ok := m.(page.Words); ok && w.Font.Bold && w.Font.SizePt >= 16 {
					large[w.Text] = true
				}
			}
		}
		for _, s := range sheet.Steps {
			for _, a := range s.Amounts {
				if !large[show(a.Rounded)] {
					t.Errorf("%s: %s, %s, is not printed large on one line", name, a.Definition.ID, show(a.Rounded))
				}
			}
		}
	}
}
