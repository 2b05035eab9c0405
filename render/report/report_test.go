package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/calc/stats"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// smallProtocol is one with a single box.
var smallProtocol = fixture.Protocol("small", `settings:
  - {id: dishes, label: Dishes, unit: "1", given_by: plan, range: [1, 9], source: site choice, example: 2}
amounts: [{id: all, label: All, unit: "1", formula: dishes}]
steps:
  - {id: count, title: Count, do: Count., entries: [{id: eggs, label: Eggs, kind: count, unit: eggs, range: [0, 9]}]}
`)

var stamp = time.Date(2026, 7, 1, 9, 34, 0, 0, time.UTC)

// sample is an invented report with every part in it, in which every text that people
// type says the given words.
func sample(t testing.TB, say string) season.Report {
	t.Helper()
	sheet := fixture.Sheet(t, smallProtocol, fixture.PlanOf("small@1.0.0").With("settings", "{dishes: 2}"))
	r := season.ReportOf(season.Compile([]season.Batch{{Sheet: sheet, Revision: 1, Readings: make([]calc.Reading, 1)}}, pedigree.Across), nil)
	fillIn(t, &r, say)
	return r
}

func fillIn(t testing.TB, r *season.Report, say string) {
	t.Helper()
	day := func(n int) time.Time { return time.Date(2026, 2, n, 0, 0, 0, 0, time.UTC) }
	r.Totals = []season.Total{{Species: say, Protocol: "p", Label: say, Unit: "larvae", Batches: 2, Number: 3.2e10}}
	r.Apart = []season.Apart{{Protocol: say, Label: say, From: say, Stage: say, OutFrom: say}}
	r.Collections = []season.Collection{{Batch: "T-2", Species: say, Shore: say, Permit: say, Start: day(1), Taken: season.Figure{Number: 5, Has: true}}}
	r.Outplantings = []season.Outplanting{{Batch: "T-3", Species: say, Shore: say, Permit: say, Parents: say, Mark: say,
		Start: day(2), Released: season.Figure{Number: 9, Has: true}}}
	share, err := stats.ShareWilson1927(3, 4, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	e := season.StageEstimate{Stage: season.Stage{Batch: "T-4", In: 4, Out: 3, Survival: 0.75, HasSurvival: true}, Interval: share, HasInterval: true}
	r.Stages = []season.StageGroup{{Species: say, Label: say, InUnit: "eggs", OutUnit: "larvae",
		Estimates: []season.StageEstimate{e, e}, Batches: 2, In: 8, Out: 6, Pooled: 0.75, Low: 0.75, Median: 0.75, High: 0.75}}
	observed := []stats.Observation{{Time: 3, Died: true, Number: 2}, {Time: 9, Died: false, Number: 5}}
	curve, err := stats.KaplanMeier(observed, 0.95, stats.LimitsLogLog)
	if err != nil {
		t.Fatal(err)
	}
	c := season.LossCurve{Class: say, Batches: 1, Number: 7, Died: 2, Observations: observed, Curve: curve}
	r.Losses = []season.LossGroup{{Protocol: say, Species: say, All: c, HasAll: true, Classes: []season.LossCurve{c, c}, TestNote: say, Notes: []string{say}}}
	r.Spawnings = []season.SpawningShare{{Batch: "T-5", Species: say, InducedBy: say, Start: day(3), Females: 4, Spawned: 3,
		Share: share, GonadIndex: 17, HasIndex: true, IndexFrom: say}}
	for i := range 12 {
		points := []season.LarvalPoint{{Days: 1, Alive: 100, Share: 1}, {Days: 4, Alive: 50, Share: 0.5 + 0.001*float64(i)}}
		r.Larvae = append(r.Larvae, season.LarvalCurve{Batch: fmt.Sprintf("T-%d", 10+i), Species: say, Points: points})
	}
	mean := func(x float64) stats.Interval { return stats.Interval{Estimate: x, Low: x - 1, High: x + 1} }
	r.Growth = []season.Growth{{Batch: "T-6", Cohort: say, Species: say,
		Samples:      []season.LengthSample{{At: day(1), Mean: mean(3), Number: 3, HasLimits: true}, {At: day(20), Mean: mean(5)}},
		RateUMPerDay: 105, HasRate: true}}
	r.Water = []season.Water{{Batch: "T-7", Protocol: say, Temperature: season.Spread{Number: 2, Low: 1, Mean: 2, High: 3}}}
	r.Deviations.Standing = []season.Deviation{{Batch: "T-8", Level: "error", Entries: []string{say, say, say}, Written: say, Says: say}}
	r.Deviations.Corrections = []season.Correction{{Batch: "T-9", Number: 2, At: day(5), Reason: say,
		Changes: []season.Change{{Entry: say, Was: say, Now: say}}}}
	r.Comparisons = []season.Comparison{{Species: say, What: say, First: say, Second: say, Of: say, Says: say}}
}

// TestHostileTextStaysText: what people type never becomes part of the page.
func TestHostileTextStaysText(t *testing.T) {
	plain := elements(t, sample(t, "Quiet Cove"))
	for _, say := range []string{
		`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `</title></svg><iframe src=//x>`, `' onload='x`,
		`{{.Title}}`, `]]><!--`, "javascript:alert(1)", "\u202etxt.exe", "a\x00b\u2028c", strings.Repeat("w", 400),
	} {
		got := elements(t, sample(t, say))
		for name, n := range plain {
			if got[name] != n && name != "text" { // long names are cut: fewer or more lines of text
				t.Errorf("%q: %d of <%s>, plain text gives %d", say, got[name], name, n)
			}
			delete(got, name)
		}
		if len(got) > 0 {
			t.Errorf("%q brought elements of its own: %v", say, got)
		}
	}
}

// elements counts the elements of a page, after making it XML; attributes that run or
// fetch anything are refused.
func elements(t *testing.T, r season.Report) map[string]int {
	t.Helper()
	var html bytes.Buffer
	if err := WriteHTML(&html, r, stamp); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(html.String(), "\u202e\x00") {
		t.Error("a sign that turns text, or none at all, is in the page")
	}
	d := xml.NewDecoder(&html)
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	count := map[string]int{}
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return count
		}
		if err != nil {
			t.Fatal(err)
		}
		if start, ok := token.(xml.StartElement); ok {
			count[start.Name.Local]++
			for _, a := range start.Attr {
				if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "src" || a.Name.Local == "href" {
					t.Errorf("<%s %s=%q>", start.Name.Local, a.Name.Local, a.Value)
				}
			}
		}
	}
}

// TestSameSeasonSameBytes of both forms.
func TestSameSeasonSameBytes(t *testing.T) {
	for name, write := range map[string]func(io.Writer, season.Report, time.Time) error{"PDF": WritePDF, "HTML": WriteHTML} {
		var first, second bytes.Buffer
		if err := errors.Join(write(&first, sample(t, "Quiet Cove"), stamp), write(&second, sample(t, "Quiet Cove"), stamp)); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Errorf("%s: two reports of one season differ", name)
		}
		if err := write(io.Discard, season.Report{}, stamp); err == nil || !strings.Contains(err.Error(), "no batch") {
			t.Errorf("%s of nothing: %v", name, err)
		}
	}
}

// TestCleanBatchesInWords: one has, none and several have.
func TestCleanBatchesInWords(t *testing.T) {
	for _, c := range []struct {
		clean, of int
		want      string
	}{
		{1, 2, "1 of 2 batches has none of its own"}, {0, 2, "0 of 2 batches have none of their own"},
		{3, 9, "3 of 9 batches have none of their own"}, {1, 1, "1 of 1 batch has none of its own"},
	} {
		if got := cleanText(c.clean, c.of); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// TestHandedApartIsTold below the totals, with both ways of working it out.
func TestHandedApartIsTold(t *testing.T) {
	r := sample(t, "x")
	r.Apart = []season.Apart{{Protocol: "p", Label: "Fit larvae", From: "left * share", Stage: "Egg to larva", OutFrom: "left"}}
	var html bytes.Buffer
	if err := WriteHTML(&html, r, stamp); err != nil {
		t.Fatal(err)
	}
	const want = "Fit larvae, by p: handed over is left * share; the stage &#34;Egg to larva&#34; counts left."
	if !strings.Contains(html.String(), want) {
		t.Errorf("the report does not say %q", want)
	}
}

// bounds is a canvas that remembers how far drawing goes.
type bounds struct{ left, top, right, bottom float64 }

func (b *bounds) to(x, y float64) {
	b.left, b.top, b.right, b.bottom = min(b.left, x), min(b.top, y), max(b.right, x), max(b.bottom, y)
}

func (b *bounds) Path(points []page.Point, _ page.Pen) {
	for _, p := range points {
		b.to(p.X, p.Y)
	}
}

func (b *bounds) Shape(points []page.Point, _ style.Colour) { b.Path(points, page.Pen{}) }

func (b *bounds) Shapes(list [][]page.Point, _ style.Colour) {
	for _, points := range list {
		b.Path(points, page.Pen{})
	}
}

func (b *bounds) Outlined(points []page.Point, _ style.Colour, _ page.Pen) {
	b.Path(points, page.Pen{})
}

func (b *bounds) Text(x, y float64, l page.Font, say string) {
	switch wide := l.Width(say); l.Anchor {
	case page.FromStart:
		b.to(x, y)
		b.to(x+wide, y-l.Ascent())
	case page.ToEnd:
		b.to(x, y)
		b.to(x-wide, y-l.Ascent())
	case page.AboutMiddle:
		b.to(x-wide/2, y)
		b.to(x+wide/2, y-l.Ascent())
	}
}

// TestNothingLeavesThePage on either paper, with short, long and wide words.
func TestNothingLeavesThePage(t *testing.T) {
	for _, name := range []string{"A4", "Letter"} {
		paper, err := style.PaperOf(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, say := range []string{"", "Quiet Cove", strings.Repeat("long words follow each other ", 20), strings.Repeat("W", 120)} {
			l := &layout{paper: paper}
			l.document(contents(sample(t, say), stamp))
			pages, err := l.pages()
			if err != nil {
				t.Fatal(err)
			}
			for number, p := range pages {
				b := &bounds{left: 1e9, top: 1e9}
				p.Draw(b)
				const slack = 3.0 // tick labels and markers may stand half outside of their field
				if b.left < paper.Left-slack || b.right > paper.Width-paper.Right+slack || b.top < paper.Top ||
					b.bottom > paper.Height-paper.Bottom-footRoom+1 {
					t.Errorf("%s, %.12q, page %d: drawn from %.1f, %.1f to %.1f, %.1f mm", name, say, number+1, b.left, b.top, b.right, b.bottom)
				}
			}
		}
	}
}

// TestNamesDoNotMeet at the right of a figure, however close the curves end.
func TestNamesDoNotMeet(t *testing.T) {
	f := larvalFigure("x", sample(t, "x").Larvae)
	rows := map[string]float64{}
	f.draw(&nameCanvas{rows: rows}, 0, 0, 170)
	if len(rows) != 12 {
		t.Fatalf("%d names, want 12", len(rows))
	}
	for a, y := range rows {
		for b, z := range rows {
			if a < b && max(y-z, z-y) < small.SizePt*style.PointMM {
				t.Errorf("%s and %s stand %.2f mm apart", a, b, y-z)
			}
		}
	}
}

type nameCanvas struct {
	bounds
	rows map[string]float64
}

func (n *nameCanvas) Text(_, y float64, _ page.Font, say string) {
	if strings.HasPrefix(say, "T-") {
		n.rows[say] = y
	}
}

// TestManyCurvesKeepToAPage: their names are left out where a line each would not go on it.
func TestManyCurvesKeepToAPage(t *testing.T) {
	one := sample(t, "x").Larvae[0]
	for _, n := range []int{mostNamed, mostNamed + 1, 5000} {
		var list []season.LarvalCurve
		for i := range n {
			one.Batch = fmt.Sprintf("T-%04d", i)
			list = append(list, one)
		}
		f := larvalFigure("x", list)
		rows := map[string]float64{}
		f.draw(&nameCanvas{rows: rows}, 0, 0, 170)
		if named := len(rows) == n; named != (n <= mostNamed) || !named && (len(rows) > 0 || !strings.Contains(f.caption, fmt.Sprint(n))) {
			t.Errorf("%d curves: %d names, caption %q", n, len(rows), f.caption)
		}
		paper, err := style.PaperOf("Letter")
		if err != nil {
			t.Fatal(err)
		}
		if room := paper.Height - paper.Top - paper.Bottom - headRoom - footRoom; f.height+12 > room {
			t.Errorf("%d curves: %g mm high with its caption, and a page has %g", n, f.height+12, room)
		}
	}
}
