package main

import (
	"bytes"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/render/benchsheet"
	"spatsheet/templates"
)

// TestAnotherProgramAgrees prints every shipped protocol from the examples of its settings
// and has a script that shares nothing with spatsheet recompute every amount from the
// text of the page.
func TestAnotherProgramAgrees(t *testing.T) {
	installed(t, "pdftotext")
	interpreter := python(t)
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	for _, ref := range library.Refs() {
		t.Run(ref, func(t *testing.T) {
			t.Parallel()
			text := pageText(t, exampleSheet(t, site, ref))
			out, err := recompute(interpreter, text)
			if err != nil || !strings.Contains(out, ", 0 disagree") {
				t.Errorf("%v\n%s", err, out)
			}
			// The script must be able to disagree: one printed amount changed.
			wrong := regexp.MustCompile(`(exact )([1-9])`).ReplaceAll(text, []byte("${1}7${2}"))
			if out, err := recompute(interpreter, wrong); err == nil {
				t.Errorf("a changed page still agrees:\n%s", out)
			}
		})
	}
}

// exampleSheet scales a protocol from its examples, with the first species profile that
// goes with it where it needs one.
func exampleSheet(t *testing.T, site calc.Site, ref string) *calc.Sheet {
	t.Helper()
	p, err := library.Load(ref, functions.All())
	if err != nil {
		t.Fatal(err)
	}
	profiles := []*protocols.Profile{nil}
	for _, profileRef := range library.ProfileRefs() {
		profile, err := library.LoadProfile(profileRef)
		if err != nil {
			t.Fatal(err)
		}
		profiles = append(profiles, profile)
	}
	for _, profile := range profiles {
		plan, err := calc.ReadPlan("plan.yaml", examplePlan(p, profile, 1))
		if err != nil {
			t.Fatal(err)
		}
		if sheet, err := calc.Scale(p, site, plan); err == nil {
			return sheet
		}
	}
	t.Fatalf("%s cannot be scaled from its examples", ref)
	return nil
}

func pageText(t *testing.T, sheet *calc.Sheet) []byte {
	t.Helper()
	var pdf bytes.Buffer
	if err := benchsheet.Write(&pdf, sheet); err != nil {
		t.Fatal(err)
	}
	c := exec.Command("pdftotext", "-raw", "-", "-")
	c.Stdin = &pdf
	text, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func recompute(interpreter string, text []byte) (string, error) {
	c := exec.Command(interpreter, "../../testdata/independent/recompute.py")
	c.Stdin = bytes.NewReader(text)
	out, err := c.CombinedOutput()
	return string(out), err
}
