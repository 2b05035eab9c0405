package dose

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestDilutionThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stock := rapid.Float64Range(1e-3, 1e6).Draw(t, "stock")
		wanted := stock * rapid.Float64Range(1e-6, 0.99).Draw(t, "share")
		volume := rapid.Float64Range(1e-3, 1e6).Draw(t, "volume")
		v, err := StockVolume(stock, wanted, volume)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := DilutedStrength(stock, v, volume); err != nil || math.Abs(back-wanted) > 1e-9*wanted {
			t.Fatalf("%v in %v comes to %v, want %v: %v", v, volume, back, wanted, err)
		}
		v, err = StockVolumeOnTop(stock, wanted, volume)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := DilutedStrength(stock, v, volume+v); err != nil || math.Abs(back-wanted) > 1e-9*wanted {
			t.Fatalf("%v on %v comes to %v, want %v: %v", v, volume, back, wanted, err)
		}
	})
}

func TestChangesAreEnoughAndNoMore(t *testing.T) {
	for _, c := range []struct {
		residue, share float64
		want           int
	}{{0.01, 0.9, 2}, {0.001, 0.9, 3}, {0.25, 0.5, 2}, {0.24, 0.5, 3}, {0.01, 1, 1}, {1, 0.5, 0}, {0.01, 0.8, 3}} {
		if got, err := ChangesNeeded(c.residue, c.share); err != nil || got != c.want {
			t.Errorf("%v by %v: got %v, %v, want %v", c.residue, c.share, got, err, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		residue := rapid.Float64Range(1e-6, 0.999).Draw(t, "residue")
		share := rapid.Float64Range(0.01, 0.999).Draw(t, "share")
		n, err := ChangesNeeded(residue, share)
		if err != nil {
			t.Fatal(err)
		}
		if left, err := AfterChanges(1, share, n); err != nil || left > residue*(1+1e-6) {
			t.Fatalf("%d changes leave %v: %v", n, left, err)
		}
		if left, err := AfterChanges(1, share, n-1); err != nil || left <= residue {
			t.Fatalf("%d changes would have done: %v", n-1, err)
		}
	})
}

func TestDripKeepsItsRateAndArrives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := Water{rapid.Float64Range(5, 30).Draw(t, "T"), rapid.Float64Range(25, 40).Draw(t, "S")}
		incoming := Water{rapid.Float64Range(5, 30).Draw(t, "Tn"), rapid.Float64Range(25, 40).Draw(t, "Sn")}
		maxT, maxS := rapid.Float64Range(0.1, 3).Draw(t, "°C/h"), rapid.Float64Range(0.1, 3).Draw(t, "PSU/h")
		volume := rapid.Float64Range(1, 1000).Draw(t, "L")
		if math.Abs(start.TempC-incoming.TempC) < 0.1 || math.Abs(start.Salinity-incoming.Salinity) < 0.1 {
			t.Skip("no drip needed")
		}
		flow, err := DripFlowForBoth(start.TempC-incoming.TempC, start.Salinity-incoming.Salinity, maxT, maxS, volume)
		if err != nil {
			t.Fatal(err)
		}
		hours, err := DripHours(start.TempC, incoming.TempC, 0.05, flow, volume)
		if err != nil {
			t.Fatal(err)
		}
		curve, err := DripCurve(start, incoming, flow, volume, hours, hours/50)
		if err != nil {
			t.Fatal(err)
		}
		for i := 1; i < len(curve); i++ {
			a, b := curve[i-1], curve[i]
			dt := b.Hours - a.Hours
			if math.Abs(b.TempC-a.TempC) > maxT*dt*(1+1e-6) || math.Abs(b.Salinity-a.Salinity) > maxS*dt*(1+1e-6) {
				t.Fatalf("from %+v to %+v is too fast", a, b)
			}
		}
		if last := curve[len(curve)-1]; math.Abs(math.Abs(last.TempC-incoming.TempC)-0.05) > 1e-6 {
			t.Fatalf("the drip ends at %v °C, want 0.05 from %v", last.TempC, incoming.TempC)
		}
	})
}

func TestFlowAgreesWithItsTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		residue := rapid.Float64Range(1e-4, 1).Draw(t, "residue")
		flow, volume := rapid.Float64Range(0.1, 1e3).Draw(t, "L/h"), rapid.Float64Range(0.1, 1e3).Draw(t, "L")
		hours, err := FlowHours(residue, flow, volume)
		if err != nil {
			t.Fatal(err)
		}
		if left, err := MixedValue(1, 0, flow, volume, hours); err != nil || math.Abs(left-residue) > 1e-9 {
			t.Fatalf("%v left after %v h, want %v: %v", left, hours, residue, err)
		}
	})
}
