package functions_test

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"spatsheet/calc/functions"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/library"
)

// calledInPage finds a function called in a text, and its name.
var calledInPage = regexp.MustCompile(`([a-z_]+)\(`)

// namesIn are the functions that a text calls.
func namesIn(text string) []string {
	var list []string
	for _, found := range calledInPage.FindAllStringSubmatch(text, -1) {
		list = append(list, found[1])
	}
	return list
}

// TestThePageForAuthors: every function that the page names can be called, the page names all
// of the closed arithmetic, and its example is that of a shipped protocol and gives what it says.
func TestThePageForAuthors(t *testing.T) {
	page, err := os.ReadFile("../../templates/for-the-protocol-author.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(page), "\n### Functions\n")
	section, _, ended := strings.Cut(section, "\n## ")
	if !ended || !strings.Contains(section, "spatsheet protocols schema --functions") {
		t.Fatal("the page has no section on functions that names the command which lists them")
	}
	code := strings.Join(regexp.MustCompile("(?s)```.*?```|`[^`]+`").FindAllString(section, -1), "\n")
	named := namesIn(code)
	for _, name := range named {
		if !functions.All().Has(name) {
			t.Errorf("the page names %s; there is no such function", name)
		}
	}
	_, err = formula.Compile("no_such(1)", formula.Scope{}, formula.Functions{})
	if err == nil {
		t.Fatal("no_such is called")
	}
	_, all, _ := strings.Cut(err.Error(), "there are: ")
	all, _, _ = strings.Cut(all, "\n")
	arithmetic := strings.Split(all, ", ")
	if len(arithmetic) < 15 {
		t.Fatalf("%q lists only %d functions", err, len(arithmetic))
	}
	for _, name := range arithmetic {
		if !slices.Contains(named, name) {
			t.Errorf("the page does not name %s", name)
		}
	}
	example := regexp.MustCompile(`formula: "(.*?)"`).FindStringSubmatch(section)
	if example == nil {
		t.Fatal("the page has no example")
	}
	spawning, err := library.Load("limpet-spawning", functions.All())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(spawning.Text), example[0]) || namesIn(example[1])[0] != "left_after" {
		t.Errorf("%s does not stand in %s", example[0], spawning.Ref())
	}
	if left, err := called(t, "left_after", []string{"90 %", "3"}, "%"); err != nil || left < 0.0999999 || left > 0.1000001 {
		t.Errorf("the page says that 0.1 %% is left, it is %g %% (%v)", left, err)
	}
}
