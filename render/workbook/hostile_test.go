package workbook

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// repacked writes a workbook again with one part changed.
func repacked(t testing.TB, content []byte, part string, change func([]byte) []byte) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	var buffer bytes.Buffer
	out := zip.NewWriter(&buffer)
	found := false
	for _, p := range in.File {
		r, err := p.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if p.Name == part {
			text, found = change(text), true
		}
		w, err := out.Create(p.Name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(text); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(); err != nil || !found {
		t.Fatalf("part %s found: %t, %v", part, found, err)
	}
	return buffer.Bytes()
}

func other(t testing.TB) []byte {
	f := excelize.NewFile()
	if err := f.SetCellValue("Sheet1", "A1", "accounts"); err != nil {
		t.Fatal(err)
	}
	out, err := bytesOf(f)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestReadRefuses(t *testing.T) {
	good := filledIn(t, written(t, sample(t, "spawning")), everyBox(sample(t, "spawning")))
	sheetPart := "xl/worksheets/sheet2.xml"
	half := func(b []byte) []byte { return b[:len(b)/2] }
	swap := func(old, new string) func([]byte) []byte {
		return func(b []byte) []byte { return bytes.Replace(b, []byte(old), []byte(new), 1) }
	}
	cell := func(ref, text string) []byte {
		return edited(t, good, func(f *excelize.File) error { return f.SetCellStr(manifestSheet, ref, text) })
	}
	blob := make([]byte, 5000)
	for i := range blob {
		blob[i] = byte(rand.New(rand.NewPCG(1, uint64(i))).Uint32())
	}
	cases := map[string]struct {
		content []byte
		want    error
		says    string
	}{
		"nothing":                     {nil, ErrDamaged, "copy it again"},
		"random bytes":                {blob, ErrNotOurs, "no .xlsx"},
		"a zip's head and then noise": {append([]byte("PK\x03\x04"), blob...), ErrDamaged, "copy it again"},
		"an old .xls":                 {append([]byte{0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1}, blob...), ErrNotOurs, "save it as .xlsx"},
		"cut in the middle":           {half(good), ErrDamaged, "copy it again"},
		"cut at the end":              {good[:len(good)-30], ErrDamaged, "copy it again"},
		"another workbook":            {other(t), ErrNotOurs, "no manifest"},
		"a sheet's XML cut":           {repacked(t, good, sheetPart, half), ErrDamaged, "1 Set up the beakers"},
		"a bad cell reference":        {repacked(t, good, sheetPart, swap(`r="A3"`, `r="3A"`)), ErrDamaged, "1 Set up the beakers"},
		"an unknown entity":           {repacked(t, good, sheetPart, swap(`<sheetData>`, `<sheetData>&nope;`)), ErrDamaged, "1 Set up the beakers"},
		"workbook part cut":           {repacked(t, good, "xl/workbook.xml", half), ErrDamaged, "copy it again"},
		"manifest: another digest":    {cell("B6", "000000000000"), ErrDamaged, "changed by hand"},
		"manifest: another plan":      {cell("B10", `"date: 2027-01-01\n"`), ErrDamaged, "changed by hand"},
		"manifest: first row gone":    {cell("A1", ""), ErrNotOurs, "no manifest"},
		"manifest gone": {edited(t, good, func(f *excelize.File) error { return f.DeleteSheet(manifestSheet) }),
			ErrNotOurs, "no manifest"},
		"too large": {make([]byte, maxFile+1), ErrTooLarge, "remove"},
		"a part that unpacks large": {repacked(t, good, sheetPart,
			func(b []byte) []byte { return append(b, bytes.Repeat([]byte(" "), maxPart)...) }), ErrTooLarge, "remove"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			_, err := Read(c.content)
			if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v, want %v saying %q", err, c.want, c.says)
			}
			if _, err := Annotate(c.content, nil); !errors.Is(err, c.want) {
				t.Errorf("Annotate: got %v, want %v", err, c.want)
			}
			if _, err := Fill(c.content, nil); !errors.Is(err, c.want) {
				t.Errorf("Fill: got %v, want %v", err, c.want)
			}
		})
	}
}

func TestFillRefuses(t *testing.T) {
	content := written(t, sample(t, "spawning"))
	for name, c := range map[string]struct {
		values map[calc.Key]any
		says   string
	}{
		"an unknown key":   {map[calc.Key]any{"water_ph": 8.1, "nothing.2.here": 1}, `"nothing.2.here"`},
		"not a number":     {map[calc.Key]any{"water_ph": math.NaN()}, "finite"},
		"infinite":         {map[calc.Key]any{"water_ph": math.Inf(1)}, "finite"},
		"a kind it is not": {map[calc.Key]any{"water_ph": []int{1}}, "[]int"},
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := Fill(content, c.values); err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v, want an error saying %s", err, c.says)
			}
		})
	}
	if _, err := Fill(content, map[calc.Key]any{"x": 1}); !errors.Is(err, ErrUnknown) {
		t.Errorf("got %v, want ErrUnknown", err)
	}
}

// TestNoBytesEndTheProgram changes bytes inside the parts of a good workbook, since noise
// from outside goes no farther than the zip's directory. The seed is fixed.
func TestNoBytesEndTheProgram(t *testing.T) {
	good := filledIn(t, written(t, sample(t, "diatoms")), everyBox(sample(t, "diatoms")))
	parts := []string{"xl/workbook.xml", "xl/worksheets/sheet2.xml", "xl/worksheets/sheet5.xml", "xl/styles.xml",
		"xl/sharedStrings.xml", "[Content_Types].xml", "xl/_rels/workbook.xml.rels"}
	random := rand.New(rand.NewPCG(20, 26))
	refused := 0
	for i := range mutations {
		content := repacked(t, good, parts[i%len(parts)], func(b []byte) []byte { return mutated(random, b) })
		filled, err := Read(content)
		if (filled == nil) == (err == nil) {
			t.Fatalf("mutation %d: got %v and error %v, want one of them", i, filled, err)
		}
		if err != nil {
			refused++
			if !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNotOurs) && !errors.Is(err, ErrTooLarge) {
				t.Fatalf("mutation %d: an error of no kind: %v", i, err)
			}
		}
	}
	if refused == 0 || refused == mutations {
		t.Errorf("refused %d of %d; the changes are too mild or too rough to test anything", refused, mutations)
	}
}

const mutations = 70

// mutated changes a number, drops, doubles or swaps a piece of the text.
func mutated(random *rand.Rand, b []byte) []byte {
	out := bytes.Clone(b)
	at := random.IntN(len(out))
	to := min(len(out), at+1+random.IntN(20))
	switch random.IntN(4) {
	case 0:
		for i := at; i < min(at+400, len(out)); i++ {
			if out[i] >= '0' && out[i] <= '9' {
				return append(append(out[:i:i], "99999999"[:1+random.IntN(8)]...), out[i+1:]...)
			}
		}
	case 1:
		return append(out[:at:at], out[to:]...)
	case 2:
		return append(out[:to:to], out[at:]...)
	}
	out[at] = byte(random.UintN(256))
	return out
}
