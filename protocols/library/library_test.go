package library

import (
	"strings"
	"testing"

	"spatsheet/calc/functions"
	"spatsheet/protocols"
)

func TestEveryShippedProtocolLoads(t *testing.T) {
	if len(Refs()) < 2 {
		t.Fatalf("only %v ship", Refs())
	}
	for _, ref := range Refs() {
		t.Run(ref, func(t *testing.T) {
			p, err := Load(ref, functions.All())
			if err != nil {
				t.Fatal(err)
			}
			if p.Ref() != ref {
				t.Errorf("the file of %s says it is %s", ref, p.Ref())
			}
		})
	}
}

// TestReleasedFilesAreUnchanged fails when a released file reads otherwise than it was
// released: write the change as a new version.
func TestReleasedFilesAreUnchanged(t *testing.T) {
	faults, err := Verify(functions.All())
	if err != nil {
		t.Fatal(err)
	}
	for _, fault := range faults {
		t.Error(fault)
	}
	list, err := protocols.ReadReleased(released)
	if err != nil {
		t.Fatal(err)
	}
	names, err := protocols.Files(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if _, ok := list[name]; !ok {
			t.Errorf("%s is not in released.txt; when it is ready: go run ./cmd/spatsheet protocols lock --dir protocols/library", name)
		}
	}
}

// TestVersionsMoveEnough holds each version against the one before it.
func TestVersionsMoveEnough(t *testing.T) {
	for id, versions := range protocols.ByID(Refs()) {
		for i := 1; i < len(versions); i++ {
			before, err := Load(id+"@"+versions[i-1], functions.All())
			if err != nil {
				t.Fatal(err)
			}
			after, err := Load(id+"@"+versions[i], functions.All())
			if err != nil {
				t.Fatal(err)
			}
			if err := protocols.CheckBump(versions[i-1], versions[i], protocols.Compare(before, after)); err != nil {
				t.Errorf("%s: %v", id, err)
			}
		}
	}
}

func TestNewestVersionComesFirst(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{{"x@1.10.0", "x@1.9.0", true}, {"x@2.0.0", "x@10.0.0", false}, {"a@1.0.0", "b@9.0.0", true}} {
		if got := newer(c.a, c.b); got != c.want {
			t.Errorf("newer(%s, %s) = %v", c.a, c.b, got)
		}
	}
}

func TestUnknownNamesTellWhatShips(t *testing.T) {
	for name, c := range map[string]struct {
		load func() error
		want []string
	}{
		"protocol": {func() error { _, err := Load("nothing", functions.All()); return err },
			[]string{`there is no protocol "nothing"; there are: `, "gonad-check@1.0.0", "limpet-spawning@2.0.0"}},
		"version": {func() error { _, err := Load("limpet-spawning@7.0.0", functions.All()); return err },
			[]string{`there is no protocol "limpet-spawning@7.0.0"; there are: `, "limpet-spawning@2.0.0", "limpet-spawning@1.0.0"}},
		"profile": {func() error { _, err := LoadProfile("nothing"); return err },
			[]string{`there is no species profile "nothing"; there are: `, "patella-aspera@1.0.0"}},
	} {
		err := c.load()
		if err == nil {
			t.Errorf("%s: it loads", name)
			continue
		}
		for _, text := range c.want {
			if !strings.Contains(err.Error(), text) {
				t.Errorf("%s: got %q, want %q in it", name, err, text)
			}
		}
	}
}

func TestProfileForASpecies(t *testing.T) {
	if p, err := ProfileFor("Patella aspera"); err != nil || p == nil || p.Species != "Patella aspera" {
		t.Errorf("got %v, %v", p, err)
	}
	if p, err := ProfileFor("Homo sapiens"); err != nil || p != nil {
		t.Errorf("got %v, %v for a species that no profile is for", p, err)
	}
}
