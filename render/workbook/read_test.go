package workbook

import (
	"bytes"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
)

func TestSameSheetSameBytes(t *testing.T) {
	for name := range plans {
		t.Run(name, func(t *testing.T) {
			first := written(t, sample(t, name))
			for range 5 {
				if again := written(t, sample(t, name)); !bytes.Equal(first, again) {
					t.Fatalf("got %d other bytes for the same sheet, want the same %d", len(again), len(first))
				}
			}
		})
	}
}

func TestBlankComesBack(t *testing.T) {
	for name := range plans {
		t.Run(name, func(t *testing.T) {
			sheet := sample(t, name)
			filled := read(t, written(t, sheet))
			want := calc.Manifest{
				Format: 1, Batch: sheet.Plan.Batch, Protocol: sheet.Protocol.Ref(), ProtocolDigest: sheet.Protocol.Digest, ProtocolText: string(sheet.Protocol.Text),
				Digest: sheet.Digest, Plan: string(sheet.Plan.Text), Site: string(sheet.Site.Text),
			}
			if filled.Manifest != want {
				t.Errorf("got manifest %+v, want %+v", filled.Manifest, want)
			}
			for _, b := range sheet.Boxes() {
				if cell, ok := filled.Cells[b.Key]; !ok || cell.Kind != calc.CellBlank {
					t.Errorf("%s: got %+v, found %t; want a blank cell", b.Key, cell, ok)
				}
			}
			if len(filled.Cells) != len(sheet.Boxes()) || len(filled.Lost) != 0 || filled.Date1904 {
				t.Errorf("got %d cells, lost %v, 1904 %t; want %d, none, false", len(filled.Cells), filled.Lost, filled.Date1904, len(sheet.Boxes()))
			}
			checkLocked(t, sheet, filled)
			again := scaled(t, []byte(filled.Manifest.Site), fixture.Plan(filled.Manifest.Plan))
			if again.Digest != filled.Manifest.Digest {
				t.Errorf("scaled again from the manifest: got digest %s, want %s", again.Digest, filled.Manifest.Digest)
			}
		})
	}
}

func TestFilledComesBackExactly(t *testing.T) {
	for name := range plans {
		t.Run(name, func(t *testing.T) {
			sheet := sample(t, name)
			blank := written(t, sheet)
			kept := bytes.Clone(blank)
			values := everyBox(sheet)
			filled := read(t, filledIn(t, blank, values))
			checkCells(t, filled, values)
			checkLocked(t, sheet, filled)
			if !bytes.Equal(blank, kept) {
				t.Error("Fill changed the bytes it was given")
			}
		})
	}
}
