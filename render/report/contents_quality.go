package report

import (
	"fmt"
	"slices"
	"strings"

	"spatsheet/calc/season"
	"spatsheet/protocols/quantity"
)

// Most rows printed; the rest is in the tables beside the report. Site choice: eight pages.
const (
	mostDeviations  = 30
	mostCorrections = 15
	mostChanges     = 4
)

// comparisons holds protocol versions and treatments against each other.
func comparisons(r season.Report) section {
	s := section{title: "Comparisons"}
	if len(r.Comparisons) == 0 {
		return s
	}
	g := grid{columns: []column{{"What, species", false}, {"First", false}, {"Second", false}, {"Batches", true}, {"Medians", true}, {"Result", false}}}
	for _, c := range r.Comparisons {
		result := c.Says
		if c.Done {
			result = fmt.Sprintf("first less second, median of all pairs: %s points; %s, adjusted %s",
				quantity.FormatNumber(100*c.Result.Different, 3), pText(c.Result.PValue), pText(c.Adjusted))
		}
		g.rows = append(g.rows, []string{c.What + ", " + c.Species + ", by " + c.Of, c.First, c.Second, fmt.Sprintf("%d, %d", c.Numbers[0], c.Numbers[1]),
			quantity.FormatNumber(100*c.Medians[0], 3) + ", " + quantity.FormatNumber(100*c.Medians[1], 3) + " %", result})
	}
	s.put(g)
	s.note("A batch is one value: its animals share parents, water and hands. Wilcoxon's rank-sum test, exact, two-sided; " +
		"adjusted for the number of tests after Holm. " +
		"It assumes that batches are independent and went into the groups without regard to how they would do. Batches are seldom " +
		"drawn by lot: groups differ in date and parents too, so a difference is not the group's doing by itself.")
	return s
}

// deviations are findings that stand and boxes not done.
func deviations(r season.Report) section {
	s := section{title: "Deviations"}
	d := r.Deviations
	if len(d.Standing) == 0 {
		s.say("No error, no warning, and no box marked as not done stands in the latest revisions.")
		return s
	}
	s.say(fmt.Sprintf("Standing in the latest revisions: %s, %s, %s; between batches %s. %s.",
		quantity.Counted(d.Errors, "error", "errors"), quantity.Counted(d.Warnings, "warning", "warnings"),
		quantity.Counted(d.NotDone, "box not done", "boxes not done"), quantity.Counted(d.Between, "finding", "findings"),
		cleanText(d.WithoutAny, len(r.Season.Batches))))
	g := grid{columns: []column{{"Batch", false}, {"Kind", false}, {"Where", false}, {"Written", false}, {"What it means", false}}}
	for i, x := range d.Standing {
		if i == mostDeviations {
			s.put(g)
			s.note(fmt.Sprintf("%d more are in findings.csv and readings.csv.", len(d.Standing)-mostDeviations))
			return s
		}
		g.rows = append(g.rows, []string{x.Batch, x.Level, placesText(x.Entries), cut(x.Written, 30), cut(x.Says, 160)})
	}
	s.put(g)
	return s
}

// cleanText tells how many of a season's batches have no deviation of their own.
func cleanText(clean, of int) string {
	has := "have none of their own"
	if clean == 1 {
		has = "has none of its own"
	}
	return fmt.Sprintf("%d of %s %s", clean, quantity.Counted(of, "batch", "batches"), has)
}

// placesText names the first boxes and counts the rest.
func placesText(entries []string) string {
	const most = 2
	if len(entries) == 1 {
		return cut(entries[0], 90)
	}
	var named []string
	for _, e := range entries[:min(most, len(entries))] {
		named = append(named, cut(e, 60))
	}
	say := fmt.Sprintf("%d boxes: %s", len(entries), strings.Join(named, "; "))
	if len(entries) > most {
		say += " ..."
	}
	return say
}

// cut shortens a text that stands in full elsewhere.
func cut(say string, most int) string {
	if runes := []rune(say); len(runes) > most {
		return string(runes[:most]) + "..."
	}
	return say
}

// corrections are the revisions, why they were made and what they changed.
func corrections(r season.Report) section {
	s := section{title: "Corrections"}
	list := r.Deviations.Corrections
	if len(list) == 0 {
		return s
	}
	g := grid{columns: []column{{"Batch", false}, {"Revision", true}, {"Collected", false}, {"Reason", false}, {"Changed", false}}}
	for i, c := range list {
		if i == mostCorrections {
			break
		}
		g.rows = append(g.rows, []string{c.Batch, count(float64(c.Number)), c.At.UTC().Format(dayForm), cut(dash(c.Reason), 200), changesText(c.Changes)})
	}
	s.put(g)
	if len(list) > mostCorrections {
		s.note(fmt.Sprintf("%d more are in the season log.", len(list)-mostCorrections))
	}
	s.note("Every workbook ever collected is kept whole in the season log; earlier readings stay readable there.")
	return s
}

func changesText(list []season.Change) string {
	var out []string
	for i, c := range list {
		if i == mostChanges {
			out = append(out, fmt.Sprintf("and %d more", len(list)-i))
			break
		}
		out = append(out, fmt.Sprintf("%s: %s → %s", cut(c.Entry, 60), cut(c.Was, 20), cut(c.Now, 20)))
	}
	return dash(strings.Join(out, "; "))
}

// method says how the figures were made and where protocols come from.
func method(r season.Report) section {
	s := section{title: "Method and sources"}
	for _, say := range []string{
		"Records. Each batch was worked from a printed sheet of a fixed protocol version, with amounts computed from its plan. " +
			"Filled workbooks were read by name of box, checked against the protocol, and stored whole. This report uses the " +
			"latest revision of each batch and nothing else. Blank, not done, unreadable and zero are kept apart; a missing number is shown as -, never as 0.",
		"Survival by stage. Out over in, as each protocol defines them. Batches with a missing count, or with more out than in, " +
			"are left out and named. Wilson's interval: Wilson (1927), J. Am. Stat. Assoc. 22:209, for animals counted one by one only.",
		"Survival over time. Kaplan and Meier (1958), J. Am. Stat. Assoc. 53:457; variance of Greenwood (1926); log-log limits. " +
			"Log-rank test of Mantel (1966), Cancer Chemother. Rep. 50:163. Where classes were counted only on some days, deaths " +
			"are dated on the day of the count that missed them, which draws the curve too high in between. Animals taken out count as alive until then.",
		"Comparisons. Wilcoxon (1945), Biometrics Bull. 1:80, exact; median of pair differences after Hodges and Lehmann; Holm " +
			"(1979), Scand. J. Stat. 6:65. Refused where no result could reach p = 0.05.",
		"Means. Lengths with Student's t limits. Water as plain means of the readings, also of pH; readings are not spread evenly over the day.",
	} {
		s.say(say)
	}
	var used, cited []string
	for _, b := range protocolsOf(r) {
		p := b.Sheet.Protocol
		used = append(used, fmt.Sprintf("%s (SHA-256 %s)", p.Ref(), p.Digest[:12]))
		for _, source := range p.Sources {
			cited = append(cited, citation(source.Text))
		}
	}
	s.note("Protocols in use: " + strings.Join(used, ", ") + ".")
	slices.Sort(cited)
	s.note("Sources named by the protocols; what each gives stands in the protocol and on its sheet: " + strings.Join(slices.Compact(cited), "; ") + ".")
	return s
}

// citation is a source without what was taken from it.
func citation(source string) string {
	before, _, _ := strings.Cut(source, ": ")
	return cut(before, 160)
}

// protocolsOf gives one batch for each protocol version in use, by name.
func protocolsOf(r season.Report) []season.Batch {
	list := slices.Clone(r.Season.Batches)
	slices.SortStableFunc(list, func(a, b season.Batch) int {
		return strings.Compare(a.Sheet.Protocol.Ref(), b.Sheet.Protocol.Ref())
	})
	return slices.CompactFunc(list, func(a, b season.Batch) bool { return a.Sheet.Protocol.Ref() == b.Sheet.Protocol.Ref() })
}
