package protocols_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"spatsheet/calc/functions"
	"spatsheet/protocols"
)

const profileText = `profile: patella-aspera
version: 1.0.0
species: Patella aspera
title: A limpet
sources: [{id: S1, text: "an invented source"}]
changes: [{version: 1.0.0, note: first release}]
values:
  - {id: larval_days, label: Days until competent, value: 5 d, source: S1}
`

func folder() fstest.MapFS {
	return fstest.MapFS{
		"small-one/1.0.0.yaml":              {Data: []byte(small)},
		"species/patella-aspera/1.0.0.yaml": {Data: []byte(profileText)},
		"notes.txt":                         {Data: []byte("not a protocol")},
	}
}

func TestLockThenVerify(t *testing.T) {
	files := folder()
	released, err := protocols.Lock(files, protocols.Released{}, functions.All())
	if err != nil || len(released) != 2 {
		t.Fatalf("got %v, %v; want two released files", released, err)
	}
	again, err := protocols.ReadReleased(released.Text())
	if err != nil || len(again) != 2 {
		t.Fatalf("the list does not read back: %v, %v", again, err)
	}
	if faults, err := protocols.Verify(files, again, functions.All()); err != nil || len(faults) > 0 {
		t.Errorf("an unchanged folder has faults: %v %v", faults, err)
	}
}

func TestVerifyTells(t *testing.T) {
	cases := []struct {
		name   string
		change func(files fstest.MapFS)
		want   string
	}{
		{"a changed file", func(f fstest.MapFS) { f["small-one/1.0.0.yaml"].Data = []byte(small + "\n") }, "small-one/1.0.0.yaml: this released file was changed"},
		{"a file gone", func(f fstest.MapFS) { delete(f, "small-one/1.0.0.yaml") }, "small-one/1.0.0.yaml: this released file is gone"},
		{"another name inside", func(f fstest.MapFS) { f["small-two/1.0.0.yaml"] = f["small-one/1.0.0.yaml"] },
			"small-two/1.0.0.yaml: it says it is small-one@1.0.0"},
		{"a fault in a draft", func(f fstest.MapFS) {
			f["draft/0.1.0.yaml"] = &fstest.MapFile{Data: []byte("protocol: draft\n")}
		}, `draft/0.1.0.yaml:1:1: "version" is missing`},
		{"a changed profile", func(f fstest.MapFS) {
			f["species/patella-aspera/1.0.0.yaml"].Data = []byte(strings.Replace(profileText, "5 d", "6 d", 1))
		}, "species/patella-aspera/1.0.0.yaml: this released file was changed"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			released, err := protocols.Lock(folder(), protocols.Released{}, functions.All())
			if err != nil {
				t.Fatal(err)
			}
			files := folder()
			c.change(files)
			faults, err := protocols.Verify(files, released, functions.All())
			if err != nil {
				t.Fatal(err)
			}
			told := ""
			for _, f := range faults {
				told += f.Error() + "\n"
			}
			if !strings.Contains(told, c.want) {
				t.Errorf("got %q, want it to contain %q", told, c.want)
			}
			if _, err := protocols.Lock(files, released, functions.All()); err == nil {
				t.Error("a faulty folder was released")
			}
		})
	}
}

func TestReadReleasedRefuses(t *testing.T) {
	for _, text := range []string{"abc  x.yaml", strings.Repeat("a", 64) + " x.yaml", strings.Repeat("g", 64) + "  x.yaml"} {
		if list, err := protocols.ReadReleased([]byte(text)); err == nil {
			t.Errorf("%q was read as %v", text, list)
		}
	}
}

func TestLoadProfileRefuses(t *testing.T) {
	cases := []struct{ name, from, to, want string }{
		{"unknown key", "title: A limpet", "titel: A limpet", `unknown key "titel"; did you mean "title"?`},
		{"no number", "value: 5 d", "value: five days", "p.yaml:8:"},
		{"unknown source", "source: S1}\n", "source: S2}\n", `source "S2" is not in the list of sources`},
		{"a bad name", "id: larval_days", "id: Larval Days", "the name of a setting, such as larval_days"},
	}
	if _, err := protocols.LoadProfile("p.yaml", []byte(profileText)); err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := protocols.LoadProfile("p.yaml", []byte(strings.Replace(profileText, c.from, c.to, 1)))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want it to contain %q", err, c.want)
			}
		})
	}
}

func TestCompareNamesWhatChangedAndHowMuch(t *testing.T) {
	cases := []struct {
		name, from, to string
		what           string
		bump           protocols.Bump
	}{
		{"wording", "label: Dealt,", "label: Shared out,", "amount dealt label", protocols.Wording},
		{"caution", "Wet floor.", "Very wet floor.", "caution wet text", protocols.Wording},
		{"new optional entry", "      - {id: total,", "      - {id: smell, label: Smell, kind: text}\n      - {id: total,", "entry smell ", protocols.Optional},
		{"new required entry", "      - {id: total,",
			"      - {id: smell, label: Smell, kind: text, required: yes}\n      - {id: total,", "entry smell ", protocols.Essential},
		{"default", "default: 300 cells", "default: 400 cells", "setting cells default", protocols.Essential},
		{"formula", "formula: cells / water", "formula: 2 * cells / water", "amount density formula", protocols.Essential},
		{"rounding", "round: {to: measure}", "round: {to: measure, direction: up}", "amount dealt rounding", protocols.Essential},
		{"rule", "rule: seen <= cells", "rule: seen < cells", "check few rule", protocols.Optional},
		{"entry no longer required", "range: [0, 1000], required: yes}", "range: [0, 1000]}", "entry seen required", protocols.Essential},
	}
	before, err := protocols.Load("a.yaml", []byte(small), functions.All())
	if err != nil {
		t.Fatal(err)
	}
	if list := protocols.Compare(before, before); len(list) > 0 {
		t.Errorf("a protocol differs from itself: %v", list)
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			changed := strings.Replace(small, c.from, c.to, 1)
			after, err := protocols.Load("b.yaml", []byte(changed), functions.All())
			if err != nil || changed == small {
				t.Fatalf("%v, changed: %v", err, changed != small)
			}
			list := protocols.Compare(before, after)
			if len(list) != 1 {
				t.Fatalf("%d differences, want 1: %+v", len(list), list)
			}
			d := list[0]
			if got := d.Part + " " + d.ID + " " + d.What; got != c.what || d.Bump != c.bump {
				t.Errorf("got %q %v, want %q %v", got, d.Bump, c.what, c.bump)
			}
			for version, good := range map[string]bool{"1.0.1": c.bump == protocols.Wording, "1.1.0": c.bump <= protocols.Optional, "2.0.0": true} {
				if err := protocols.CheckBump("1.0.0", version, list); (err == nil) != good {
					t.Errorf("as %s: got %v, want accepted: %v", version, err, good)
				}
			}
		})
	}
}
