package seasonlog

import (
	"fmt"
	"math"
	"path/filepath"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/render/scratch"
)

// Every reading comes back as it went in: text byte for byte, numbers bit for bit (minus
// zero comes back as zero: SQLite keeps no sign on it).
func TestReadingsRoundTrip(t *testing.T) {
	log := newLog(t)
	batch := 0
	rapid.Check(t, func(rt *rapid.T) {
		batch++
		w := sample(batch, 0)
		w.Readings = rapid.SliceOfNDistinct(rapid.Custom(drawReading), 1, 20, func(r calc.Reading) calc.Key { return r.Key }).Draw(rt, "readings")
		if outcome, _, err := log.Collect(w); err != nil || outcome != Added {
			rt.Fatalf("got %s, error %v", outcome, err)
		}
		got, err := log.Readings(w.Batch, 0)
		if err != nil || len(got) != len(w.Readings) {
			rt.Fatalf("got %d readings, error %v; want %d", len(got), err, len(w.Readings))
		}
		for i, want := range w.Readings {
			if want.Number == 0 {
				want.Number = 0
			}
			if got[i] != want || math.Float64bits(got[i].Number) != math.Float64bits(want.Number) {
				rt.Fatalf("got %+v; want %+v", got[i], want)
			}
		}
	})
	sound(t, log)
}

func drawReading(rt *rapid.T) calc.Reading {
	text := rapid.String()
	number := rapid.OneOf(rapid.Float64(), rapid.Map(rapid.Int64(), func(i int64) float64 { return float64(i) }),
		rapid.SampledFrom([]float64{0, math.Copysign(0, -1), math.MaxFloat64, math.SmallestNonzeroFloat64, 1 << 53, 1<<53 + 2, -1 << 63, 0.1, 1e15, 1e16}))
	return calc.Reading{
		Key:     calc.Key(rapid.StringN(1, 20, -1).Draw(rt, "key")),
		Printed: text.Draw(rt, "printed"), Sheet: text.Draw(rt, "sheet"), Ref: text.Draw(rt, "ref"),
		State: rapid.SampledFrom([]calc.State{calc.Given, calc.Blank, calc.NotDone, calc.Unreadable}).Draw(rt, "state"),
		Raw:   text.Draw(rt, "raw"), Number: number.Draw(rt, "number"), Unit: text.Draw(rt, "unit"), Text: text.Draw(rt, "text"),
	}
}

// logMaker makes a new log at each call, within a property.
func logMaker(t *testing.T) func(rt *rapid.T) *Log {
	folder, logs := scratch.Folder(t), 0
	return func(rt *rapid.T) *Log {
		logs++
		path := filepath.Join(folder, fmt.Sprintf("%d.log", logs))
		if err := Create(path); err != nil {
			rt.Fatal(err)
		}
		log, err := Open(path)
		if err != nil {
			rt.Fatal(err)
		}
		return log
	}
}

// Whatever is collected in whatever order, collecting each twice gives the same log as
// collecting each once, and every step leaves a sound log.
func TestCollectTwiceEqualsOnceInAnyOrder(t *testing.T) {
	fresh := logMaker(t)
	rapid.Check(t, func(rt *rapid.T) {
		once, twice := fresh(rt), fresh(rt)
		defer once.Close()
		defer twice.Close()
		steps := rapid.SliceOfN(rapid.IntRange(0, 8), 0, 6).Draw(rt, "steps")
		for _, s := range steps {
			w := sample(s%3, s/3)
			w.Reason, w.Content, w.Readings = "drawn", w.Content[:500], w.Readings[:5]
			o1, n1, err1 := once.Collect(w)
			o2, n2, err2 := twice.Collect(w)
			o3, n3, err3 := twice.Collect(w)
			if err1 != nil || err2 != nil || err3 != nil || o1 != o2 || n1 != n2 || n2 != n3 || o3 != Unchanged {
				rt.Fatalf("got %s %d %v, %s %d %v, %s %d %v", o1, n1, err1, o2, n2, err2, o3, n3, err3)
			}
			for _, log := range []*Log{once, twice} {
				if faults, err := log.Verify(); err != nil || len(faults) > 0 {
					rt.Fatalf("verify: %v, error %v", faults, err)
				}
			}
		}
		a, err1 := once.History()
		b, err2 := twice.History()
		if err1 != nil || err2 != nil || !reflect.DeepEqual(a, b) {
			rt.Fatalf("got %+v, error %v; want %+v, error %v", b, err2, a, err1)
		}
	})
}
