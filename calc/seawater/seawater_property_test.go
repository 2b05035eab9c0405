package seawater

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *rapid.T, what string, got, want, allowed float64, err error) {
	t.Helper()
	if err != nil || !(math.Abs(got-want) <= allowed) {
		t.Fatalf("%s: got %v, %v; want %v within %g", what, got, err, want, allowed)
	}
}

// There and back again: 1e-9 in salinity is what 60 halvings and float64 leave.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(2.001, 41.999).Draw(t, "salinity")
		temp := rapid.Float64Range(-2, 35).Draw(t, "temperature")
		reference := rapid.Float64Range(0, 40).Draw(t, "reference temperature")
		conductivity, err := Conductivity(s, temp)
		near(t, "conductivity", conductivity, 40, 40, err) // above 0 and below 80 mS/cm throughout
		back, err := SalinityFromConductivity(conductivity, temp)
		near(t, "back from conductivity", back, s, 1e-9, err)
		density, err := Density(s, temp)
		near(t, "density", density, 1020, 30, err)
		pure, err := PureWaterDensity(reference)
		near(t, "density of pure water", pure, 996, 5, err)
		gravity := density / pure
		back, err = SalinityFromSpecificGravity(gravity, temp, reference)
		near(t, "back from gravity", back, s, 1e-9, err)
	})
}

// mixed is the salinity of two volumes poured together: salt is kept, by mass.
func mixed(volumeA, salinityA, volumeB, salinityB, temp float64) (float64, error) {
	densityA, errA := Density(salinityA, temp)
	densityB, errB := Density(salinityB, temp)
	massA, massB := volumeA*densityA, volumeB*densityB
	return (massA*salinityA + massB*salinityB) / (massA + massB), errors.Join(errA, errB)
}

func TestMixingKeepsTheSalt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0, 42).Draw(t, "first salinity")
		b := rapid.Float64Range(0, 42).Filter(func(b float64) bool { return math.Abs(a-b) > 0.01 }).Draw(t, "second salinity")
		wanted := a + rapid.Float64Range(0, 1).Draw(t, "share")*(b-a)
		wanted = min(max(wanted, min(a, b)), max(a, b))
		temp := rapid.Float64Range(-2, 40).Draw(t, "temperature")
		total := rapid.Float64Range(0.001, 1e5).Draw(t, "total")
		volumeA, volumeB, err := VolumesToMix(total, wanted, a, b, temp)
		near(t, "sum of the volumes over the total", (volumeA+volumeB)/total-1, 0.0002, 0.0002+1e-9, err)
		got, err := mixed(volumeA, a, volumeB, b, temp)
		near(t, "salinity of the mix", got, wanted, 1e-9, err)
	})
}

func TestLoweringAndRaisingReachTheSalinity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		high := rapid.Float64Range(1, 42).Draw(t, "high")
		low := high * rapid.Float64Range(0.05, 1).Draw(t, "low, as a share of high")
		temp := rapid.Float64Range(-2, 40).Draw(t, "temperature")
		volume := rapid.Float64Range(0.001, 1e5).Draw(t, "volume")
		share := rapid.Float64Range(0.5, 1).Draw(t, "salt share")
		fresh, err := FreshWaterToLower(volume, high, low, temp)
		near(t, "fresh water over volume is positive", fresh/volume, 10, 10.5, err)
		got, err := mixed(volume, high, fresh, 0, temp)
		near(t, "lowered", got, low, 1e-9, err)

		grams, err := SaltToRaise(volume, low, high, temp, share)
		density, _ := Density(low, temp)
		mass := volume * density // g
		salt := mass*low*35.16504/35/1000 + share*grams
		near(t, "raised", 1000*salt/(mass+grams)*35/35.16504, high, 1e-9, err)
	})
}

func TestWhatRisesWithWhat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0, 39).Draw(t, "salinity")
		temp := rapid.Float64Range(-2, 39).Draw(t, "temperature")
		pH := rapid.Float64Range(4, 10.9).Draw(t, "pH")
		scale := rapid.SampledFrom([]PHScale{TotalScale, FreeScale}).Draw(t, "scale")
		d0, _ := Density(s, temp)
		d1, _ := Density(s+0.1, temp)
		o0, _ := OxygenSolubility(s, temp)
		o1, _ := OxygenSolubility(s+0.1, temp)
		o2, _ := OxygenSolubility(s, temp+0.1)
		n0, _ := UnionisedAmmoniaFraction(pH, scale, s, temp)
		n1, _ := UnionisedAmmoniaFraction(pH+0.1, scale, s, temp)
		n2, _ := UnionisedAmmoniaFraction(pH, scale, s, temp+0.1)
		if !(d1 > d0 && o1 < o0 && o2 < o0 && n1 > n0 && n2 > n0 && n0 > 0 && n1 < 1) {
			t.Fatalf("density %v, %v; oxygen %v, saltier %v, warmer %v; ammonia %v, higher pH %v, warmer %v", d0, d1, o0, o1, o2, n0, n1, n2)
		}
	})
}

// No input whatever gives a number that is none, or a number with an error.
func TestAnyInputGivesANumberOrAnError(t *testing.T) {
	any1 := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-5, 60),
		rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.MaxFloat64, 5e-324}))
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, d, e := any1.Draw(t, "a"), any1.Draw(t, "b"), any1.Draw(t, "c"), any1.Draw(t, "d"), any1.Draw(t, "e")
		scale := PHScale(rapid.IntRange(-1, 5).Draw(t, "scale"))
		check := func(what string, got float64, err error) {
			if math.IsNaN(got) || math.IsInf(got, 0) || (err != nil && got != 0) {
				t.Fatalf("%s: got %v, %v", what, got, err)
			}
		}
		got, err := Density(a, b)
		check("Density", got, err)
		got, err = SalinityFromConductivity(a, b)
		check("SalinityFromConductivity", got, err)
		got, err = Conductivity(a, b)
		check("Conductivity", got, err)
		got, err = SalinityFromSpecificGravity(a, b, c)
		check("SalinityFromSpecificGravity", got, err)
		volumeA, volumeB, err := VolumesToMix(a, b, c, d, e)
		check("VolumesToMix, first", volumeA, err)
		check("VolumesToMix, second", volumeB, err)
		got, err = FreshWaterToLower(a, b, c, d)
		check("FreshWaterToLower", got, err)
		got, err = SaltToRaise(a, b, c, d, e)
		check("SaltToRaise", got, err)
		got, err = OxygenSaturationPercentAtPressure(a, b, c, 1000+d)
		check("OxygenSaturationPercentAtPressure", got, err)
		got, err = UnionisedAmmoniaMGPerL(a, b, scale, c, d)
		check("UnionisedAmmoniaMGPerL", got, err)
	})
}
