package document

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func read(t *testing.T, text string) (*Document, error) {
	t.Helper()
	return Parse("p.yaml", []byte(text))
}

func TestScalarsStayAsTyped(t *testing.T) {
	d, err := read(t, "\ufeffversion: 1.10\ncount: 007\nbig: 1_000\nword: yes\nq: \"5\"\nblock: |\n  one\n  two\n")
	if err != nil {
		t.Fatal(err)
	}
	f := d.Root().Fields("version", "count", "big", "word", "q", "block")
	for key, want := range map[string]string{"version": "1.10", "count": "007", "big": "1_000", "word": "yes", "q": "5", "block": "one\ntwo"} {
		if got := f.Get(key).Text(); got != want {
			t.Errorf("%s: got %q, want %q", key, got, want)
		}
	}
	if err := d.Err(); err != nil {
		t.Error(err)
	}
}

func TestFaultsNamePlaceAndRemedy(t *testing.T) {
	cases := []struct{ name, text, want string }{
		{"unknown key", "titel: a\n", `p.yaml:1:1: unknown key "titel"; did you mean "title"?`},
		{"missing key", "note: a\n", `p.yaml:1:1: "title" is missing; add it`},
		{"list for a text", "title: [a]\n", "p.yaml:1:8: title must be a single value"},
		{"empty value", "title:\n", "p.yaml:1:8: title is empty"},
		{"twice", "title: a\ntitle: b\n", `p.yaml:2:1: mapping key "title" already defined at [1:1]`},
		{"second document", "title: a\n---\ntitle: b\n", "p.yaml:3:6: a second document starts here"},
		{"anchor", "title: &a b\n", "p.yaml:1:8: anchors"},
		{"alias bomb", "a: &a [x,x]\nb: &b [*a,*a]\n", "p.yaml:1:4: anchors"},
		{"not UTF-8", "title: \xff\n", "p.yaml:1:8: this byte is not UTF-8"},
		{"empty", "", "p.yaml:1:1: the file is empty"},
		{"tab", "title:\n\tx: 1\n", "p.yaml:2:1:"},
		{"too long", strings.Repeat("x", MaxBytes+1), "p.yaml:1:1: the file has 1048577 bytes"},
		{"too many lines", "title: |\n" + strings.Repeat(" \n", 400_000), "p.yaml:10000:1: the file has 400002 lines"},
		{"too many keys", strings.Repeat("k: 1\n", 90_000), "p.yaml:10000:1: the file has 90001 lines"},
		{"lists in lists on one line", strings.Repeat("- ", 500_000), "p.yaml:1:81: lists are nested"},
		{"a rule of dashes is text", "title: |\n " + strings.Repeat("-", 200) + " so\nnotee: x", `p.yaml:3:1: unknown key "notee"`},
		{"deep", "title: " + strings.Repeat("[", 10000), "p.yaml:1:48: brackets are nested"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			d, err := read(t, c.text)
			if err == nil {
				f := d.Root().Fields("title", "note")
				f.Need("title").Text()
				err = d.Err()
			}
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Fatalf("got %v, want it to contain %q", err, c.want)
			}
		})
	}
}

func TestAllFaultsInFileOrder(t *testing.T) {
	d, err := read(t, "title: a\nzzz: 1\nlist: 3\nnotee: x\n")
	if err != nil {
		t.Fatal(err)
	}
	f := d.Root().Fields("title", "list", "note")
	f.Get("list").List()
	faults, ok := d.Err().(Faults)
	if !ok || len(faults) != 3 {
		t.Fatalf("got %v, want three faults", d.Err())
	}
	for i, line := range []int{2, 3, 4} {
		if faults[i].Place.Line != line {
			t.Errorf("fault %d on line %d, want %d", i, faults[i].Place.Line, line)
		}
	}
}

func TestFaultInsidePointsIntoTheText(t *testing.T) {
	cases := []struct {
		name, text   string
		line, column int
	}{
		{"plain", "f: a + b\n", 1, 8},
		{"quoted", "f: \"a + b\"\n", 1, 9},
		{"block", "f: |\n  x\n  a + b\n", 3, 7},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			d, err := read(t, c.text)
			if err != nil {
				t.Fatal(err)
			}
			line := 1
			if c.name == "block" {
				line = 2
			}
			d.Root().Fields("f").Get("f").FaultInside(line, 5, "here")
			got := d.Err().(Faults)[0]
			if got.Place.Line != c.line || got.Place.Column != c.column {
				t.Errorf("got %d:%d, want %d:%d", got.Place.Line, got.Place.Column, c.line, c.column)
			}
		})
	}
}

func TestNoBytesPanic(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.SliceOf(rapid.SampledFrom([]byte("ab:-[]{}&*!|>'\"\n \t#?%,0"))).Draw(r, "text")
		d, err := Parse("p.yaml", text)
		if err != nil {
			return
		}
		for _, p := range d.Root().Pairs() {
			p.Value.Text()
			p.Value.List()
		}
	})
}
