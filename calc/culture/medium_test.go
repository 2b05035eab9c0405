package culture

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"spatsheet/calc/limits"
)

func TestMediumMakesUpTheVolume(t *testing.T) {
	cases := []struct {
		name      string
		recipe    func(mediumL, strength float64) (MediumRecipe, error)
		strength  float64
		stocks    int
		stocksML  float64 // in 20 L: stocks x 1 mL + vitamins 0.5 mL, x 20 x strength
		nitrateUM float64 // 75 g/L x 1 mL/L / 84.994 g/mol, x strength
	}{
		{"f/2", MediumF2, 1, 4, 70, 75e-3 / 84.994 * 1e6},
		{"f/2 + Si", MediumF2Silicate, 1, 5, 90, 75e-3 / 84.994 * 1e6},
		{"half f/2 + Si", MediumF2Silicate, 0.5, 5, 45, 37.5e-3 / 84.994 * 1e6},
		{"f", MediumF2, 2, 4, 140, 150e-3 / 84.994 * 1e6},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := c.recipe(20, c.strength)
			if err != nil {
				t.Fatal(err)
			}
			if len(r.Stocks) != c.stocks || !near(r.StocksML, c.stocksML) || !near(r.StocksML+r.SeawaterML, 20000) {
				t.Errorf("got %d stocks, %v mL and %v mL seawater", len(r.Stocks), r.StocksML, r.SeawaterML)
			}
			if got := r.Stocks[0].Salts[0].FinalUM; !near(got, c.nitrateUM) {
				t.Errorf("nitrate %v µM, want %v", got, c.nitrateUM)
			}
			if last := r.Stocks[len(r.Stocks)-1].Name; last != "vitamin" {
				t.Errorf("last stock %s, want vitamin", last)
			}
		})
	}
}

func TestStocksAreFresh(t *testing.T) {
	StocksF2()[0].Salts[0].StockGPerL = 0
	if got := StocksF2()[0].Salts[0].StockGPerL; got != 75 {
		t.Errorf("a caller changed the table: %v g/L", got)
	}
}

func TestMediumRefuses(t *testing.T) {
	for _, mediumL := range []float64{0, -1, math.NaN(), math.Inf(1), math.MaxFloat64} {
		if r, err := MediumF2Silicate(mediumL, 1); !errors.Is(err, limits.ErrRange) || r.Stocks != nil {
			t.Errorf("%v L: got %v", mediumL, err)
		}
	}
	for _, strength := range []float64{0, -1, 2.1, math.NaN(), math.Inf(1)} {
		if _, err := MediumF2(1, strength); !errors.Is(err, limits.ErrRange) {
			t.Errorf("strength %v: got %v", strength, err)
		}
	}
}

// near holds for two ways to work out the same number.
func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b)) }

func ExampleMediumF2Silicate() {
	r, err := MediumF2Silicate(20, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range r.Stocks {
		fmt.Printf("%-9s %2.0f mL  %s %.4g g, %.4g µM\n", s.Name, s.VolumeML, s.Salts[0].Name, s.Salts[0].SaltG, s.Salts[0].FinalUM)
	}
	// Output:
	// nitrate   20 mL  NaNO3 1.5 g, 882.4 µM
	// phosphate 20 mL  NaH2PO4.H2O 0.1 g, 36.23 µM
	// trace     20 mL  FeCl3.6H2O 0.063 g, 11.65 µM
	// silicate  20 mL  Na2SiO3.9H2O 0.6 g, 105.6 µM
	// vitamin   10 mL  thiamine HCl (B1) 0.002 g, 0.2965 µM
}
