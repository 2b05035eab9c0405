package dose

import (
	"errors"
	"math"
	"strings"
	"testing"

	"spatsheet/calc/limits"
)

// near holds for two ways to work out the same number.
func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b)) }

type valueCase struct {
	name string
	call func() (float64, error)
	want float64
}

func checkValues(t *testing.T, cases []valueCase) {
	t.Helper()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := c.call(); err != nil || !near(got, c.want) {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestDilutionAndReagents(t *testing.T) {
	checkValues(t, []valueCase{
		{"stock for a tenth", func() (float64, error) { return StockVolume(10, 1, 50) }, 5},
		{"nothing wanted", func() (float64, error) { return StockVolume(10, 0, 50) }, 0},
		{"the stock itself", func() (float64, error) { return StockVolume(10, 10, 50) }, 50},
		{"on top: 50 L + 50/9 L at 10 is 1 in all", func() (float64, error) { return StockVolumeOnTop(10, 1, 50) }, 50.0 / 9},
		{"strength of 5 in 50", func() (float64, error) { return DilutedStrength(10, 5, 50) }, 1},
		{"nothing of the stock", func() (float64, error) { return DilutedStrength(10, 0, 50) }, 0},
		{"a stock of nothing", func() (float64, error) { return DilutedStrength(0, 5, 50) }, 0},
		{"all of the stock", func() (float64, error) { return DilutedStrength(10, 50, 50) }, 10},
		{"no mass", func() (float64, error) { return GramsForMolarity(0, 1, 58.44) }, 0},
		{"no antibiotic", func() (float64, error) { return Antibiotic(0, 1500, 1) }, 0},
		{"nothing on top", func() (float64, error) { return StockVolumeOnTop(10, 0, 50) }, 0},
		// By definition a molar solution holds its formula weight in a litre.
		{"1 M for a litre", func() (float64, error) { return GramsForMolarity(1000, 1, 58.44) }, 58.44},
		{"peroxide 3.4014 % w/v is 1 M", func() (float64, error) { return PeroxideByVolume(3.4014) }, 1},
		{"peroxide stock", func() (float64, error) { return PeroxideStock(5, 20, 10) }, 10},
		{"magnesium, 1 M", func() (float64, error) { return MagnesiumChlorideForMolarity(1, 2) }, 2 * 203.295},
		{"magnesium, 7.5 %", func() (float64, error) { return MagnesiumChlorideForPercent(7.5, 2) }, 150},
		{"antibiotic", func() (float64, error) { return Antibiotic(5, 1500, 1) }, 7500},
		{"antibiotic of 900 µg/mg", func() (float64, error) { return Antibiotic(9, 100, 0.9) }, 1000},
	})
}

func TestChlorineAndThiosulphate(t *testing.T) {
	checkValues(t, []valueCase{
		{"5 % bleach to 50 mg/L: 50 mg/mL", func() (float64, error) { return HypochloriteVolume(50, 1, 5) }, 1},
		{"tetrathionate", func() (float64, error) { return ThiosulphatePerChlorine(ToTetrathionate) }, 2 * 248.172 / 70.9},
		{"sulphate and sulphur", func() (float64, error) { return ThiosulphatePerChlorine(ToSulphateAndSulphur) }, 248.172 / 70.9},
		{"sulphate", func() (float64, error) { return ThiosulphatePerChlorine(ToSulphate) }, 248.172 / 4 / 70.9},
		{"no chlorine wanted", func() (float64, error) { return HypochloriteVolume(0, 1, 5) }, 0},
		{"no chlorine left", func() (float64, error) { return Thiosulphate(0, 100, ToTetrathionate) }, 0},
	})
	// The plan's figure, 7.00, 3.50 and 0.875 in testdata/reference/README.md.
	for product, want := range map[ThiosulphateProduct]float64{ToTetrathionate: 7.00, ToSulphateAndSulphur: 3.50, ToSulphate: 0.875} {
		if got, err := ThiosulphatePerChlorine(product); err != nil || math.Abs(got-want) > 0.005 {
			t.Errorf("product %d: %v mg/mg, %v, want %v", product, got, err, want)
		}
	}
	var plan ThiosulphateProduct
	if plan != ToTetrathionate {
		t.Errorf("the product when nothing is said is %d", plan)
	}
}

func TestRinseFlowAndUltraviolet(t *testing.T) {
	checkValues(t, []valueCase{
		{"three halves", func() (float64, error) { return AfterChanges(80, 0.5, 3) }, 10},
		{"no change", func() (float64, error) { return AfterChanges(80, 0.5, 0) }, 80},
		{"poured off whole", func() (float64, error) { return AfterChanges(80, 1, 1) }, 0},
		{"nothing to rinse", func() (float64, error) { return AfterChanges(0, 0.5, 1) }, 0},
		{"no flow in a day", func() (float64, error) { return VolumesPerDay(0, 60) }, 0},
		{"dark", func() (float64, error) { return Fluence(0, 40) }, 0},
		{"no time", func() (float64, error) { return Fluence(2.5, 0) }, 0},
		{"hours to 1/e", func() (float64, error) { return FlowHours(1/math.E, 5, 10) }, 2},
		{"hours to all of it", func() (float64, error) { return FlowHours(1, 5, 10) }, 0},
		{"volumes a day", func() (float64, error) { return VolumesPerDay(5, 60) }, 2},
		{"fluence", func() (float64, error) { return Fluence(2.5, 40) }, 100},
		{"chamber of 1 L, 40 s", func() (float64, error) { return FlowForFluence(2.5, 1, 100) }, 90},
		{"flow past it", func() (float64, error) { return FlowForLampDose(10, 0.5, 500) }, 10},
	})
}

func TestRefuses(t *testing.T) {
	const dust = 1e-9 // below 0 when 0 itself is allowed
	type one = func(x float64) error
	calls := map[string]one{
		"stock":               func(x float64) error { return fault(StockVolume(x, 1, 1)) },
		"wanted":              func(x float64) error { return fault(StockVolume(1, x-dust, 1)) },
		"final":               func(x float64) error { return fault(StockVolume(1, 1, x)) },
		"stock on top":        func(x float64) error { return fault(StockVolumeOnTop(x, 1, 1)) },
		"wanted on top":       func(x float64) error { return fault(StockVolumeOnTop(1, x-dust, 1)) },
		"start volume":        func(x float64) error { return fault(StockVolumeOnTop(2, 1, x)) },
		"diluted strength":    func(x float64) error { return fault(DilutedStrength(x-dust, 1, 1)) },
		"diluted part":        func(x float64) error { return fault(DilutedStrength(1, x-dust, 1)) },
		"diluted final":       func(x float64) error { return fault(DilutedStrength(1, 0, x)) },
		"molarity":            func(x float64) error { return fault(GramsForMolarity(x-dust, 1, 1)) },
		"litres":              func(x float64) error { return fault(GramsForMolarity(1, x, 1)) },
		"formula weight":      func(x float64) error { return fault(GramsForMolarity(1, 1, x)) },
		"peroxide w/w":        func(x float64) error { return fault(PeroxideByWeight(x, 1)) },
		"peroxide density":    func(x float64) error { return fault(PeroxideByWeight(30, x)) },
		"peroxide w/v":        func(x float64) error { return fault(PeroxideByVolume(x)) },
		"peroxide wanted":     func(x float64) error { return fault(PeroxideStock(x-dust, 1, 1)) },
		"peroxide bath":       func(x float64) error { return fault(PeroxideStock(1, x, 1)) },
		"peroxide stock":      func(x float64) error { return fault(PeroxideStock(1, 1, x)) },
		"magnesium mol":       func(x float64) error { return fault(MagnesiumChlorideForMolarity(x-dust, 1)) },
		"magnesium percent":   func(x float64) error { return fault(MagnesiumChlorideForPercent(x-dust, 1)) },
		"magnesium litres":    func(x float64) error { return fault(MagnesiumChlorideForPercent(1, x)) },
		"antibiotic dose":     func(x float64) error { return fault(Antibiotic(x-dust, 1, 1)) },
		"antibiotic litres":   func(x float64) error { return fault(Antibiotic(1, x, 1)) },
		"antibiotic share":    func(x float64) error { return fault(Antibiotic(1, 1, x)) },
		"chlorine dose":       func(x float64) error { return fault(HypochloriteVolume(x-dust, 1, 5)) },
		"chlorine litres":     func(x float64) error { return fault(HypochloriteVolume(1, x, 5)) },
		"chlorine percent":    func(x float64) error { return fault(HypochloriteVolume(1, 1, x)) },
		"residual":            func(x float64) error { return fault(Thiosulphate(x-dust, 1, ToSulphate)) },
		"residual litres":     func(x float64) error { return fault(Thiosulphate(1, x, ToSulphate)) },
		"rinse start":         func(x float64) error { return fault(AfterChanges(x-dust, 0.5, 1)) },
		"rinse share":         func(x float64) error { return fault(AfterChanges(1, x, 1)) },
		"residue":             func(x float64) error { return fault(ChangesNeeded(x, 0.5)) },
		"changed":             func(x float64) error { return fault(ChangesNeeded(0.5, x)) },
		"hours residue":       func(x float64) error { return fault(FlowHours(x, 1, 1)) },
		"hours flow":          func(x float64) error { return fault(FlowHours(0.5, x, 1)) },
		"hours volume":        func(x float64) error { return fault(FlowHours(0.5, 1, x)) },
		"day flow":            func(x float64) error { return fault(VolumesPerDay(x-dust, 1)) },
		"day volume":          func(x float64) error { return fault(VolumesPerDay(1, x)) },
		"irradiance":          func(x float64) error { return fault(Fluence(x-dust, 1)) },
		"seconds":             func(x float64) error { return fault(Fluence(1, x-dust)) },
		"chamber irradiance":  func(x float64) error { return fault(FlowForFluence(x, 1, 1)) },
		"chamber":             func(x float64) error { return fault(FlowForFluence(1, x, 1)) },
		"wanted fluence":      func(x float64) error { return fault(FlowForFluence(1, 1, x)) },
		"lamp for flow":       func(x float64) error { return fault(FlowForLampDose(x, 1, 1)) },
		"lamp share for flow": func(x float64) error { return fault(FlowForLampDose(1, x, 1)) },
		"wanted lamp dose":    func(x float64) error { return fault(FlowForLampDose(1, 1, x)) },
	}
	for name, call := range calls {
		for _, x := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
			// A *limits.Error names the argument; a division by 0 found out later would not.
			var refused *limits.Error
			if err := call(x); !errors.As(err, &refused) {
				t.Errorf("%s %v: got %v, want a *limits.Error", name, x, err)
			}
		}
	}
}

func TestRefusesWithRemedy(t *testing.T) {
	cases := []struct {
		name string
		err  error
		want string
	}{
		{"stronger than stock", fault(StockVolume(10, 11, 1)), "wanted strength: 11 is stronger than the stock of 10; take a stronger stock or want less"},
		{"on top, the stock's own", fault(StockVolumeOnTop(10, 10, 1)), "take a stronger stock or want less"},
		{"on top, stronger", fault(StockVolumeOnTop(10, 11, 1)), "take a stronger stock or want less"},
		{"peroxide", fault(PeroxideStock(1500, 1, 1)), "wanted peroxide: 1.5 mol/L is stronger than the stock of 1 mol/L"},
		{"chlorine", fault(HypochloriteVolume(60000, 1, 5)), "chlorine dose: 60000 mg/L is stronger than the stock of 50000 mg/L"},
		{"part over whole", fault(DilutedStrength(1, 2, 1)), "stock volume: 2 is above the 1"},
		{"percent for share", fault(ChangesNeeded(1, 50)), "changed share: 50 is out of range; it must be above 0 and at most 1"},
		{"bleach of 60 %", fault(HypochloriteVolume(1, 1, 60)), "available chlorine: 60 % w/v is out of range"},
		{"peroxide of 101 %", fault(PeroxideByWeight(101, 1.1)), "peroxide: 101 % w/w is out of range"},
		{"density in kg/m3", fault(PeroxideByWeight(30, 1112)), "peroxide density: 1112 g/mL is out of range"},
		{"peroxide of 146 % w/v", fault(PeroxideByVolume(146)), "peroxide: 146 % w/v"},
		{"magnesium of 6 M", fault(MagnesiumChlorideForMolarity(6, 1)), "magnesium chloride: 6 mol/L"},
		{"no such product", fault(Thiosulphate(1, 1, 3)), "thiosulphate product: 3 is out of range"},
		{"no such product below", fault(ThiosulphatePerChlorine(-1)), "thiosulphate product: -1"},
		{"changes below none", fault(AfterChanges(1, 0.5, -1)), "changes: -1"},
		{"endless rinse", fault(ChangesNeeded(0.01, 1e-9)), "changes:"},
		{"beyond all numbers", fault(GramsForMolarity(math.MaxFloat64, 1e10, 1)), "mass cannot be computed"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if !errors.Is(c.err, limits.ErrRange) || !strings.Contains(c.err.Error(), c.want) {
				t.Errorf("got %v, want %q", c.err, c.want)
			}
		})
	}
}

func fault[T any](_ T, err error) error { return err }
