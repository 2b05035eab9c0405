package benchsheet

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

func cardOf(t fataler, sheet *calc.Sheet) page.Page {
	f, err := newForm(sheet)
	if err != nil {
		t.Fatal(err)
	}
	return f.card()
}

// checkCard holds a card to its rules: inside the margins, nothing over anything else or on
// a fold.
func checkCard(t errorer, sheet *calc.Sheet) {
	paper, err := style.PaperOf(sheet.Site.Paper)
	if err != nil {
		t.Fatal(err)
	}
	var texts []page.Words
	for _, m := range cardOf(t, sheet) {
		left, top, right, bottom := m.Extent()
		const slack = 1e-6
		if left < cardMargin-slack || right > paper.Width-cardMargin+slack || top < cardMargin-slack || bottom > paper.Height-cardMargin+slack {
			t.Errorf("%#v is outside the margins", m)
		}
		w, ok := m.(page.Words)
		if !ok {
			continue
		}
		texts = append(texts, w)
		onFold := func(from, to, fold float64) bool { return from < fold && to > fold }
		if isFoot := top > paper.Height-cardMargin-cardFoot; !isFoot && (onFold(left, right, paper.Width/2) || onFold(top, bottom, paper.Height/2)) {
			t.Errorf("%q lies on a fold", w.Text)
		}
		if w.Font.SizePt < leastCard.caution && !strings.Contains(w.Text, "digest") {
			t.Errorf("%q has %g points", w.Text, w.Font.SizePt)
		}
	}
	checkTexts(t, 1, texts, nil)
}

func TestCardOfSamples(t *testing.T) {
	for _, name := range samples {
		for _, paper := range paperSize {
			sheet := scaled(t, name, paper, nil)
			checkCard(t, sheet)
			checkCounted(t, sheet, false)
		}
	}
}

// TestCardOfLongTexts has texts of any length wherever an author can write.
func TestCardOfLongTexts(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		sheet := scaled(t, rapid.SampledFrom(samples).Draw(r, "plan"), rapid.SampledFrom(paperSize).Draw(r, "paper"), nil)
		length := rapid.SampledFrom([]int{3, 30, 80, 200}).Draw(r, "length")
		text := rapid.StringOfN(rapid.RuneFrom([]rune("aegi rstMWµ²≤é0-, ")), 0, length, -1)
		rewrite(sheet, func(place *string) { *place = text.Draw(r, "text") })
		checkCard(r, sheet)
	})
}

// checkCounted counts what stands on a card and what it says was left out.
func checkCounted(t *testing.T, sheet *calc.Sheet, leftOut bool) {
	t.Helper()
	numbered := *sheet
	numbered.Steps = nil
	for n, s := range sheet.Steps {
		s.Number = 1000 + n // so that no number looks like an amount
		numbered.Steps = append(numbered.Steps, s)
	}
	sheet = &numbered
	large, cautions, more, steps := 0, 0, 0, len(sheet.Steps)
	for _, m := range cardOf(t, sheet) {
		w, ok := m.(page.Words)
		var n int
		switch {
		case !ok:
		case strings.HasPrefix(w.Text, alarm): // one caution, or the numbers of some printed before
			cautions += strings.Count(w.Text, alarm)
		case strings.HasSuffix(w.Text, "more steps on the bench sheet"):
			if _, err := fmt.Sscanf(w.Text, "+ %d more", &n); err != nil {
				t.Error(err)
			}
			steps -= n
		case strings.HasSuffix(w.Text, ": see the sheet"):
			for _, part := range strings.Split(strings.TrimPrefix(w.Text, "+ "), ", ") {
				if _, err := fmt.Sscanf(part, "%d more", &n); err != nil {
					t.Error(err)
				}
				more += n
			}
		case w.Font.Bold && w.Font.SizePt >= 12 && isAmount(sheet, w.Text):
			large++
		}
	}
	want := 0
	for _, s := range sheet.Steps[:steps] {
		want += len(s.Amounts) + len(s.Cautions)
	}
	if large+cautions+more != want {
		t.Errorf("%d amounts and %d cautions printed, %d said to be left out; %d steps have %d", large, cautions, more, steps, want)
	}
	if (more > 0 || steps < len(sheet.Steps)) != leftOut {
		t.Errorf("%d left out, %d of %d steps", more, steps, len(sheet.Steps))
	}
}

// cautionsOn reads the cautions of a card as they stand there, each with its lines joined;
// again are numbers of those that hold at a later step too.
func cautionsOn(p page.Page) (printed map[string]string, again []string, count map[string]int) {
	printed, count = map[string]string{}, map[string]int{}
	var at page.Words // the sign of the caution being read
	number, text := "", ""
	end := func() {
		if at.Text != "" {
			printed[number], count[text] = text, count[text]+1
		}
		at, text = page.Words{}, ""
	}
	for _, m := range p {
		w, ok := m.(page.Words)
		switch {
		case !ok:
		case strings.HasPrefix(w.Text, alarm) && strings.Contains(w.Text, " "):
			end()
			for _, f := range strings.Fields(w.Text) {
				if n, ok := strings.CutPrefix(f, alarm); ok {
					again = append(again, n)
				}
			}
		case strings.HasPrefix(w.Text, alarm):
			end()
			at, number = w, strings.TrimPrefix(w.Text, alarm)
		case at.Text != "" && w.Font == at.Font && w.X > at.X:
			text = strings.TrimSpace(text + " " + w.Text)
		default:
			end()
		}
	}
	end()
	return printed, again, count
}

// TestCardHasCautionsWhole: every caution of every step stands whole on the card, or by the
// number of where it does; those that cannot be are counted, and none is cut.
func TestCardHasCautionsWhole(t *testing.T) {
	for _, name := range samples {
		for _, paper := range paperSize {
			sheet := scaled(t, name, paper, nil)
			want := map[string]int{}
			for _, s := range sheet.Steps {
				for _, c := range s.Cautions {
					want[strings.Join(strings.Fields(c.Text), " ")]++
				}
			}
			printed, again, count := cautionsOn(cardOf(t, sheet))
			for _, n := range again {
				count[printed[n]]++
			}
			if len(want) < 2 || !maps.Equal(count, want) {
				t.Errorf("%s on %s: on the card\n%v\nwant\n%v", name, paper, count, want)
			}
		}
	}
	for _, sentences := range []int{1, 4, 24, 60} { // of the last one no caution has room in a quarter
		sheet := scaled(t, "spawn", "A4", nil)
		whole := strings.TrimSpace(strings.Repeat("Seawater and mains do not go together. ", sentences))
		for i := range sheet.Steps {
			for j := range sheet.Steps[i].Cautions {
				sheet.Steps[i].Cautions[j].Text = whole
			}
		}
		checkCard(t, sheet)
		checkCounted(t, sheet, sentences >= 24)
		if _, _, count := cautionsOn(cardOf(t, sheet)); len(count) > 1 || len(count) == 1 && count[whole] == 0 || (len(count) == 1) != (sentences < 60) {
			t.Errorf("%d sentences: on the card %v", sentences, count)
		}
	}
}

// TestCardAgain: a caution of an earlier step is named by number where there is no room for
// it twice.
func TestCardAgain(t *testing.T) {
	var found []string
	for _, m := range cardOf(t, scaled(t, "spawn", "A4", nil)) {
		if w, ok := m.(page.Words); ok && strings.Contains(w.Text, "again: ") {
			found = append(found, w.Text)
		}
	}
	if want := []string{"⚠2 again: see step 1", "⚠1 ⚠5 again: see steps 1, 6"}; !slices.Equal(found, want) {
		t.Errorf("got %q, want %q", found, want)
	}
}

func isAmount(sheet *calc.Sheet, text string) bool {
	for _, s := range sheet.Steps {
		for _, a := range s.Amounts {
			if show(a.Rounded) == text {
				return true
			}
		}
	}
	return false
}

// TestCardSaysWhatItLeavesOut has ever more steps with ever more amounts and cautions: one
// page, and everything printed or counted.
func TestCardSaysWhatItLeavesOut(t *testing.T) {
	for _, c := range []struct{ steps, amounts, cautions int }{{12, 4, 2}, {40, 3, 1}, {3, 60, 0}, {1, 200, 200}, {300, 1, 0}, {20, 20, 20}} {
		t.Run(fmt.Sprintf("%+v", c), func(t *testing.T) {
			sheet := scaled(t, "spawn", "Letter", nil)
			one := sheet.Steps[0]
			amount, caution := one.Amounts[0], one.Cautions[0]
			one.Amounts, one.Cautions = nil, nil
			for range c.amounts {
				one.Amounts = append(one.Amounts, amount)
			}
			for i := range c.cautions {
				caution.ID = fmt.Sprint("caution", i)
				one.Cautions = append(one.Cautions, caution)
			}
			sheet.Steps = nil
			for range c.steps {
				sheet.Steps = append(sheet.Steps, one)
			}
			checkCard(t, sheet)
			checkCounted(t, sheet, true)
		})
	}
}

func TestCardIsOnePageAndTheSameBytes(t *testing.T) {
	var first, again bytes.Buffer
	for _, w := range []*bytes.Buffer{&first, &again} {
		if err := WriteCard(w, scaled(t, "spawn", "A4", nil)); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), again.Bytes()) {
		t.Error("two prints differ")
	}
	if n := bytes.Count(first.Bytes(), []byte("/Type /Page\n")); n != 1 {
		t.Errorf("%d pages", n)
	}
	if err := WriteCard(&first, scaled(t, "spawn", "A3", nil)); err == nil || !strings.Contains(err.Error(), "write A4 or Letter") {
		t.Errorf("got %v", err)
	}
}
