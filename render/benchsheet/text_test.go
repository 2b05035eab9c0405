package benchsheet

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
	"spatsheet/render/page"
)

var update = flag.Bool("update", false, "rewrite the golden texts of the printed pages")

const golden = "../../testdata/golden/benchsheet"

// textOf is what a reader can copy from the pages.
func textOf(t *testing.T, sheet *calc.Sheet) string {
	t.Helper()
	return run(t, tool(t, "pdftotext"), "-layout", saved(t, printPDF(t, sheet)), "-")
}

// TestGoldenText compares the text of every page; look at the pages before -update.
func TestGoldenText(t *testing.T) {
	for _, name := range samples {
		for _, paper := range paperSize {
			t.Run(name+" "+paper, func(t *testing.T) {
				got := textOf(t, scaled(t, name, paper, nil))
				file := filepath.Join(golden, name+"-"+paper+".txt")
				if *update {
					if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
						t.Fatal(err)
					}
				}
				compareLines(t, got, string(read(t, file)))
			})
		}
	}
}

func compareLines(t *testing.T, got, want string) {
	t.Helper()
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			t.Fatalf("line %d:\n got %q\nwant %q", i+1, g[i], w[i])
		}
	}
	if len(g) != len(w) {
		t.Fatalf("%d lines, want %d", len(g), len(w))
	}
}

// workings reads the pages under WORKING as a stranger's program would, in the order in
// which they were drawn: lines that begin with "id = formula", numbers, exact, rounded.
func workings(text string) map[string]map[string]string {
	_, text, _ = strings.Cut(text, "WORKING\n")
	found := map[string]map[string]string{}
	var group map[string]string
	for l := range strings.Lines(text) {
		l = strings.Join(strings.Fields(l), " ")
		if id, formula, ok := strings.Cut(l, " = "); ok && !strings.ContainsAny(id, " ()") {
			group = map[string]string{"formula": formula}
			found[id] = group
			continue
		}
		name, value, _ := strings.Cut(l, " ")
		if group != nil && (name == "numbers" || name == "exact" || name == "rounded") {
			value, more, _ := strings.Cut(value, " | ")
			group[name], group[name+" |"] = value, more
		}
	}
	return found
}

// TestEveryAmountIsWorkedOut reads the working back from the pages.
func TestEveryAmountIsWorkedOut(t *testing.T) {
	plain := func(s string) string { return strings.Join(strings.Fields(s), " ") } // the narrow blank too
	for _, name := range samples {
		for _, paper := range paperSize {
			sheet := scaled(t, name, paper, nil)
			found := workings(run(t, tool(t, "pdftotext"), "-raw", saved(t, printPDF(t, sheet)), "-"))
			if len(found) != len(sheet.Amounts) || len(found) == 0 {
				t.Errorf("%s %s: %d amounts worked out of %d", name, paper, len(found), len(sheet.Amounts))
			}
			for _, a := range sheet.Amounts {
				got := found[a.Definition.ID]
				want := map[string]string{
					"exact": a.Exact.Format(6), "exact |": a.Rule, "rounded": a.Rounded.Format(0),
				}
				for line, value := range want {
					if got[line] != plain(value) {
						t.Errorf("%s %s: %s: %s is %q, want %q", name, paper, a.Definition.ID, line, got[line], plain(value))
					}
				}
				if !strings.HasPrefix(plain(a.Definition.Formula.String()), got["formula"]) || got["formula"] == "" {
					t.Errorf("%s: formula %q", a.Definition.ID, got["formula"])
				}
				if !strings.HasPrefix(plain(a.PutIn), got["numbers"]) || got["numbers"] == "" {
					t.Errorf("%s: numbers %q, want %q", a.Definition.ID, got["numbers"], a.PutIn)
				}
				if len(a.Parts) > 1 && got["rounded |"] == "" {
					t.Errorf("%s: no parts", a.Definition.ID)
				}
			}
		}
	}
}

// TestEveryBoxIsNamed looks for the name of every box, the initials of every signed step,
// and every setting.
func TestEveryBoxIsNamed(t *testing.T) {
	for _, name := range samples {
		sheet := scaled(t, name, "A4", nil)
		var all []string
		for _, p := range laidOut(t, sheet) {
			for _, m := range p {
				if w, ok := m.(page.Words); ok {
					all = append(all, w.Text)
				}
			}
		}
		text := strings.Join(all, " ")
		signed := 0
		for _, b := range sheet.Boxes() {
			if !strings.Contains(text, b.Entry.Label) {
				t.Errorf("%s: box %s (%s) is not printed", name, b.Key, b.Entry.Label)
			}
			if strings.HasPrefix(string(b.Key), "sign.") {
				signed++
			}
		}
		if n := strings.Count(text, "by (initials)"); n != signed || n == 0 {
			t.Errorf("%s: %d boxes for initials, want %d", name, n, signed)
		}
		for _, v := range sheet.Settings {
			if !strings.Contains(text, v.Setting.ID) {
				t.Errorf("%s: setting %s is not printed", name, v.Setting.ID)
			}
		}
	}
}

// TestStrangeLetters prints what the type does not have as a mark, and does not panic.
func TestStrangeLetters(t *testing.T) {
	sheet := scaled(t, "spawn", "A4", func(p *protocols.Protocol) {
		p.Steps[0].Entries[1].Label = "water 🌊 now"  // above U+FFFF
		p.Steps[0].Entries[2].Label = "kelp 昆布 salt" // not in DejaVu
		p.Steps[0].Title = "Set\tup\x01 \xff the\u200bbeakers"
	})
	sheet.Plan.Note = "two\nlines and 🦑"
	text := textOf(t, sheet)
	for _, want := range []string{"water □ now", "kelp □□ salt", "Set up□ □ the□beakers", "two lines and □", "□ in a text: a sign that cannot be printed."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the pages", want)
		}
	}
	if strings.Contains(textOf(t, scaled(t, "spawn", "A4", nil)), "□") {
		t.Error("the mark stands on a sheet that needs none")
	}
}

// TestInGroups writes parts short; expected values worked out by hand.
func TestInGroups(t *testing.T) {
	litres := func(values ...float64) []quantity.Quantity {
		var parts []quantity.Quantity
		for _, v := range values {
			q, err := quantity.New(v, quantity.MustUnit("L"))
			if err != nil {
				t.Fatal(err)
			}
			parts = append(parts, q)
		}
		return parts
	}
	for _, c := range []struct {
		parts []quantity.Quantity
		want  string
	}{
		{litres(14, 13, 13), "1 × 14 + 2 × 13 L"},
		{litres(2.5), "1 × 2.5 L"},
	} {
		if got := inGroups(c.parts); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestTimesOfAnotherYearShowIt(t *testing.T) {
	start := time.Date(2026, 2, 14, 18, 0, 0, 0, time.UTC)
	f := &form{sheet: &calc.Sheet{Plan: calc.Plan{Start: start}}}
	for want, at := range map[string]time.Time{
		"Sat 14 Feb 18:00": start, "14 Feb 2027 18:00": start.AddDate(1, 0, 0), "when ready": {},
	} {
		if got := f.when(at); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
