package benchsheet

import (
	"fmt"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/render/page"
)

// parentsOf gives n parents with the longest codes there are.
func parentsOf(n int) []calc.Parent {
	var list []calc.Parent
	for i := range n {
		list = append(list, calc.Parent{Batch: fmt.Sprintf("KS-26-ABCDEFGHIJ-%03d", i+1), Revision: i%3 + 1})
	}
	return list
}

// TestParentsStandOnTheFirstPage, and however many there are the head stays a head.
func TestParentsStandOnTheFirstPage(t *testing.T) {
	for _, paper := range paperSize {
		for n, want := range map[int]string{
			0: "",
			1: "From KS-26-ABCDEFGHIJ-001, revision 1",
			2: "From KS-26-ABCDEFGHIJ-001, revision 1; KS-26-ABCDEFGHIJ-002, revision 2",
			8: "KS-26-ABCDEFGHIJ-008, revision 2",
			9: "KS-26-ABCDEFGHIJ-008, revision 2; 1 more: see the plan", 500: "; 492 more: see the plan",
		} {
			sheet := scaled(t, "spawn", paper, nil)
			sheet.Plan.Parents = parentsOf(n)
			checkPages(t, sheet)
			f, err := newForm(sheet)
			if err != nil {
				t.Fatal(err)
			}
			var all []string
			head := f.head()
			for _, m := range head.Marks {
				if w, ok := m.(page.Words); ok {
					all = append(all, w.Text)
				}
			}
			text := strings.Join(all, " ")
			if !strings.Contains(text, want) || strings.Contains(text, "From ") != (n > 0) || strings.Contains(text, "more: see the plan") != (n > 8) {
				t.Errorf("%s, %d parents: want %q in the head\n%s", paper, n, want, text)
			}
			if head.Height > 85 {
				t.Errorf("%s, %d parents: the head is %g mm high", paper, n, head.Height)
			}
		}
	}
}
