package dose

import (
	"errors"
	"math"
	"strings"
	"testing"

	"spatsheet/calc/limits"
)

func TestDrip(t *testing.T) {
	checkValues(t, []valueCase{
		{"one volume", func() (float64, error) { return MixedValue(10+math.E, 10, 5, 10, 2) }, 11},
		{"no flow", func() (float64, error) { return MixedValue(20, 15, 0, 10, 2) }, 20},
		{"at the start", func() (float64, error) { return MixedValue(20, 15, 5, 10, 0) }, 20},
		{"upward", func() (float64, error) { return MixedValue(10-math.E, 10, 5, 10, 2) }, 9},
		{"flow for 1 °C an hour", func() (float64, error) { return DripFlow(20, 15, 1, 10) }, 2},
		{"flow upward", func() (float64, error) { return DripFlow(15, 20, 1, 10) }, 2},
		{"both, temperature binds", func() (float64, error) { return DripFlowForBoth(-5, 2, 1, 1, 10) }, 2},
		{"both, salinity binds", func() (float64, error) { return DripFlowForBoth(2, -5, 1, 1, 10) }, 2},
		{"both, same temperature", func() (float64, error) { return DripFlowForBoth(0, 5, 1, 1, 10) }, 2},
		{"both, same salinity", func() (float64, error) { return DripFlowForBoth(5, 0, 1, 1, 10) }, 2},
		{"time to a tenth", func() (float64, error) { return DripHours(20, 10, 1, 5, 10) }, 2 * math.Log(10)},
		{"there already", func() (float64, error) { return DripHours(20, 19.5, 0.5, 5, 10) }, 0},
	})
}

func TestDripCurve(t *testing.T) {
	start, incoming := Water{20, 36}, Water{15, 32}
	cases := []struct {
		name         string
		total, every float64
		want         []float64 // hours
	}{
		{"even", 1, 0.5, []float64{0, 0.5, 1}},
		{"dust does not add a point", 0.3, 0.1, []float64{0, 0.1, 0.2, 0.3}},
		{"a short last step", 1, 0.4, []float64{0, 0.4, 0.8, 1}},
		{"one step", 1, 1, []float64{0, 1}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			curve, err := DripCurve(start, incoming, 3, 10, c.total, c.every)
			if err != nil || len(curve) != len(c.want) {
				t.Fatalf("got %v, %v, want points at %v", curve, err, c.want)
			}
			for i, p := range curve {
				left := math.Exp(-0.3 * c.want[i])
				if !near(p.Hours, c.want[i]) || !near(p.TempC, 15+5*left) || !near(p.Salinity, 32+4*left) {
					t.Errorf("point %d: %+v at %v h", i, p, c.want[i])
				}
			}
		})
	}
}

func TestDripRefuses(t *testing.T) {
	curve := func(start, incoming Water, flow, volume, total, every float64) error {
		points, err := DripCurve(start, incoming, flow, volume, total, every)
		if err != nil && points != nil {
			t.Errorf("points with an error: %v", points)
		}
		return err
	}
	a, b, nan := Water{20, 36}, Water{15, 32}, math.NaN()
	cases := []struct {
		name string
		err  error
		want string
	}{
		{"nothing to change", fault(DripFlow(15, 15, 1, 10)), "incoming water: 15 is what the vessel has; no drip is needed"},
		{"nothing to change in both", fault(DripFlowForBoth(0, 0, 1, 1, 10)), "no drip is needed"},
		{"gap beyond all numbers", fault(DripFlow(math.MaxFloat64, -math.MaxFloat64, 1, 10)), "drip flow: 0 L/h"},
		{"rate of 0", fault(DripFlow(20, 15, 0, 10)), "greatest change: 0"},
		{"volume of 0", fault(DripFlow(20, 15, 1, 0)), "filled volume: 0 L"},
		{"volume of 0 for both", fault(DripFlowForBoth(1, 1, 1, 1, 0)), "filled volume: 0 L"},
		{"gap not a number", fault(DripFlowForBoth(nan, 1, 1, 1, 1)), "temperature gap: NaN"},
		{"salinity gap not a number", fault(DripFlowForBoth(1, nan, 1, 1, 1)), "salinity gap: NaN"},
		{"salinity rate", fault(DripFlowForBoth(0, 1, 1, -1, 1)), "greatest change of salinity: -1"},
		{"temperature rate", fault(DripFlowForBoth(1, 0, nan, 1, 1)), "greatest change of temperature: NaN"},
		{"start not a number", fault(DripFlow(nan, 15, 1, 10)), "start: NaN"},
		{"start of mixing", fault(MixedValue(nan, 15, 1, 10, 1)), "start: NaN"},
		{"incoming", fault(MixedValue(20, math.Inf(1), 1, 10, 1)), "incoming water: +Inf"},
		{"within 0 is never reached", fault(DripHours(20, 15, 0, 1, 10)), "distance left: 0"},
		{"no flow never arrives", fault(DripHours(20, 15, 1, 0, 10)), "flow: 0 L/h"},
		{"hours, volume", fault(DripHours(20, 15, 1, 1, -10)), "filled volume: -10 L"},
		{"curve, °F", curve(Water{68, 36}, b, 3, 10, 1, 0.5), "start temperature: 68 °C"},
		{"curve, specific gravity", curve(a, Water{15, 1025}, 3, 10, 1, 0.5), "incoming salinity: 1025"},
		{"curve, flow", curve(a, b, -3, 10, 1, 0.5), "flow: -3 L/h"},
		{"curve, volume", curve(a, b, 3, nan, 1, 0.5), "filled volume: NaN L"},
		{"curve, length", curve(a, b, 3, 10, 0, 0.5), "length of the drip: 0 h"},
		{"curve, length infinite", curve(a, b, 3, 10, math.Inf(1), 0.5), "length of the drip: +Inf h"},
		{"curve, step over length", curve(a, b, 3, 10, 1, 2), "time between points: 2 h"},
		{"curve, too many points", curve(a, b, 3, 10, 1, 1e-5), "points of the curve"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if !errors.Is(c.err, limits.ErrRange) || !strings.Contains(c.err.Error(), c.want) {
				t.Errorf("got %v, want %q", c.err, c.want)
			}
		})
	}
}
