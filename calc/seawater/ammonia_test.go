package seawater

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

func TestRangesOfAmmonia(t *testing.T) {
	refuses(t, "total, S", 0, 40, func(x float64) (float64, error) { return AmmoniumPKTotalClegg1995(x, 15) })
	refuses(t, "total, temperature", -2, 40, func(x float64) (float64, error) { return AmmoniumPKTotalClegg1995(35, x) })
	refuses(t, "free, S", 0, 40, func(x float64) (float64, error) { return AmmoniumPKFreeClegg1995(x, 15) })
	refuses(t, "free, temperature", -2, 40, func(x float64) (float64, error) { return AmmoniumPKFreeClegg1995(35, x) })
	refuses(t, "Emerson, temperature", 0, 50, AmmoniumPKEmerson1975)
	refuses(t, "share, pH", 4, 11, func(x float64) (float64, error) { return UnionisedAmmoniaFraction(x, TotalScale, 35, 15) })
	refuses(t, "share, S", 0, 40, func(x float64) (float64, error) { return UnionisedAmmoniaFraction(8, FreeScale, x, 15) })
	refuses(t, "share, temperature", -2, 40, func(x float64) (float64, error) { return UnionisedAmmoniaFraction(8, TotalScale, 35, x) })
	refuses(t, "share in fresh water, temperature", 0, 40, func(x float64) (float64, error) { return UnionisedAmmoniaFraction(8, NBSScale, 0, x) })
	refuses(t, "nitrogen, total", 0, 1000, func(x float64) (float64, error) { return UnionisedAmmoniaMGPerL(x, 8, TotalScale, 35, 15) })
	refuses(t, "NBS to total, pH", 4, 11, func(x float64) (float64, error) { return TotalPHFromNBS(x, 0.13) })
	refuses(t, "NBS to total, difference", 0, 0.3, func(x float64) (float64, error) { return TotalPHFromNBS(8.2, x) })
}

func TestPHScaleMustSuitTheWater(t *testing.T) {
	cases := []struct {
		name  string
		scale PHScale
		s     float64
		want  string // part of the error; empty where a share must come out
	}{
		{"no scale given", 0, 35, "say whether pH is on the total, free or NBS scale"},
		{"unknown scale", 9, 35, "unknown pH scale 9"},
		{"NBS in seawater", NBSScale, 35, "give it as total scale"},
		{"NBS in brackish water", NBSScale, 0.6, "give it as total scale"},
		{"NBS in fresh water", NBSScale, 0.5, ""},
		{"total in seawater", TotalScale, 35, ""},
		{"total in fresh water", TotalScale, 0, ""},
		{"free in seawater", FreeScale, 35, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := UnionisedAmmoniaFraction(8, c.scale, c.s, 20)
			if c.want == "" {
				if err != nil || got <= 0 || got >= 1 {
					t.Fatalf("got %v, %v; want a share", got, err)
				}
				return
			}
			if got != 0 || !errors.Is(err, ErrPHScale) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, %v; want ErrPHScale with %q", got, err, c.want)
			}
		})
	}
}

// In fresh water the equations of two papers must meet, whichever scale the pH is on.
func TestAmmoniaEquationsMeetInFreshWater(t *testing.T) {
	for temp := 0.0; temp <= 40; temp++ {
		total, err1 := AmmoniumPKTotalClegg1995(0, temp)
		free, err2 := AmmoniumPKFreeClegg1995(0, temp)
		emerson, err3 := AmmoniumPKEmerson1975(temp)
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
		// 0.0003: twice what Clegg and Whitfield give as their uncertainty, 0.00015.
		if total != free || math.Abs(total-emerson) > 0.0003 {
			t.Errorf("%g °C: total %.5f, free %.5f, Emerson %.5f", temp, total, free, emerson)
		}
	}
}

func ExampleUnionisedAmmoniaFraction() {
	// The documented example of R package wq, ammFrac: 0.0556 and 0.0440.
	for _, scale := range []PHScale{TotalScale, FreeScale} {
		share, _ := UnionisedAmmoniaFraction(8, scale, 35, 25)
		fmt.Printf("pH 8 on the %s: %.4f\n", scale, share)
	}
	_, err := UnionisedAmmoniaFraction(8, NBSScale, 35, 25)
	fmt.Println(strings.ReplaceAll(err.Error(), "; ", ";\n"))
	// Output:
	// pH 8 on the total scale: 0.0556
	// pH 8 on the free scale: 0.0440
	// pH scale does not suit the water: NBS at salinity 35;
	// subtract what the site's meter reads above the total scale (0.1 to 0.15 is usual) and give it as total scale
}

func ExampleUnionisedAmmoniaMGPerL() {
	pH, _ := TotalPHFromNBS(8.15, 0.12) // the meter reads 0.12 above a seawater buffer
	poison, _ := UnionisedAmmoniaMGPerL(0.5, pH, TotalScale, 34, 16)
	fmt.Printf("pH %.2f: %.4f mg N/L of 0.5 mg N/L\n", pH, poison)
	// Output: pH 8.03: 0.0149 mg N/L of 0.5 mg N/L
}

func ExampleUnionisedAmmoniaFraction_freshWater() {
	// Emerson et al. (1975), table: 0.396, 3.82 and 28.4 % at 20 °C (from memory).
	for _, pH := range []float64{7, 8, 9} {
		share, _ := UnionisedAmmoniaFraction(pH, NBSScale, 0, 20)
		fmt.Printf("pH %g: %.3g %%\n", pH, 100*share)
	}
	// Output:
	// pH 7: 0.396 %
	// pH 8: 3.82 %
	// pH 9: 28.4 %
}
