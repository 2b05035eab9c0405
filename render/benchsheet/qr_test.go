package benchsheet

import (
	"path/filepath"
	"strings"
	"testing"
)

// TestCodesAreRead renders pages as a printer of 200 dots an inch would, and has a
// decoder find batch and digest in the large and the small code.
func TestCodesAreRead(t *testing.T) {
	sheet := scaled(t, "spawn", "A4", nil)
	render, decode := tool(t, "pdftoppm"), tool(t, "zbarimg")
	pdf := saved(t, printPDF(t, sheet))
	pages := filepath.Join(t.TempDir(), "page")
	run(t, render, "-r", "200", "-gray", "-f", "1", "-l", "2", "-png", pdf, pages)
	found, err := filepath.Glob(pages + "*.png")
	if err != nil || len(found) != 2 {
		t.Fatalf("pages rendered: %v, %v", found, err)
	}
	for _, page := range found {
		got := strings.TrimSpace(run(t, decode, "-q", "--raw", "-Sdisable", "-Sqrcode.enable", page))
		if want := "KS-26-01 " + sheet.Digest; got != want {
			t.Errorf("%s: read %q, want %q", filepath.Base(page), got, want)
		}
	}
}

// TestLongestBatchCode has the longest code that calc takes: 20 letters.
func TestLongestBatchCode(t *testing.T) {
	sheet := scaled(t, "spawn", "A4", nil)
	sheet.Plan.Batch = strings.Repeat("W", 20)
	checkPages(t, sheet)
	printPDF(t, sheet)
}
