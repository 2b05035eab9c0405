package culture

import (
	"spatsheet/calc/limits"
)

// MediumSalt is one salt or vitamin of a stock.
type MediumSalt struct {
	Name          string  // as in the recipe, with the water of the crystal: "NaH2PO4.H2O"
	Formula       string  // what the formula weight was added up from
	FormulaWeight float64 // g/mol, IUPAC abridged standard atomic weights (2021)
	StockGPerL    float64 // g of this salt in a litre of the stock that goes into the medium
	PrimaryGPerL  float64 // g/L of the primary stock, 1 mL of which goes into a litre of the stock; 0: weighed straight in
}

// MediumStock is one bottle pipetted into the medium.
type MediumStock struct {
	Name   string  // "nitrate", "phosphate", "silicate", "trace", "vitamin"
	MLPerL float64 // mL of stock in a litre of finished medium at full strength
	Note   string  // when it goes in
	Source string
	Salts  []MediumSalt
}

// SaltAmount is what one volume of medium holds of a salt.
type SaltAmount struct {
	MediumSalt
	SaltG   float64 // g in the whole volume
	FinalUM float64 // µmol/L in the medium, not counting what the seawater brought
}

// StockAmount is what one volume of medium takes of a stock.
type StockAmount struct {
	Name     string
	VolumeML float64
	Note     string
	Source   string
	Salts    []SaltAmount
}

// MediumRecipe is the recipe for one volume of medium, stocks in the order they go in.
type MediumRecipe struct {
	MediumL    float64 // finished medium, L
	Strength   float64 // 1 is f/2
	Stocks     []StockAmount
	StocksML   float64 // all stocks together, mL
	SeawaterML float64 // seawater to make up the rest, mL
}

// strongestOfF2 is the strongest medium the recipe is made up for, relative to f/2: the
// full medium f of the same authors. Source: by the name, f/2 is half of f. Exact.
const strongestOfF2 = 2

// MediumF2 gives stocks and salts for a volume of f/2 medium without silicate.
//
// mediumL is the finished medium in L; strength is 1 for f/2, 0.5 for the half-strength
// top-up of plates, 2 for f. Volumes come in mL, salts in g, final molarities in µmol/L.
// Range: mediumL above 0; strength above 0 and at most 2; otherwise an error wrapping
// limits.ErrRange that names the argument.
// Source: Guillard and Ryther (1962), Guillard (1975), recipe from memory, checked against
// testdata/reference/medium_f2.csv; mL per L counts litres of finished medium.
// Published recipes differ in the trace stock (salt of iron, copper as sulphate or
// chloride); this is the one with FeCl3, Na2EDTA and CuSO4 of the reference table.
func MediumF2(mediumL, strength float64) (MediumRecipe, error) {
	var stocks []MediumStock
	for _, stock := range StocksF2() {
		if stock.Name != "silicate" {
			stocks = append(stocks, stock)
		}
	}
	return recipe(stocks, mediumL, strength)
}

// MediumF2Silicate gives stocks and salts for a volume of f/2 + Si, the medium for diatoms.
//
// Arguments and result as in MediumF2, with the silicate stock.
// Range: as in MediumF2.
// Source: as in MediumF2. For diatoms this is the default: without silicate they crash.
func MediumF2Silicate(mediumL, strength float64) (MediumRecipe, error) {
	return recipe(StocksF2(), mediumL, strength)
}

func recipe(stocks []MediumStock, mediumL, strength float64) (MediumRecipe, error) {
	r := MediumRecipe{MediumL: mediumL, Strength: strength}
	if err := limits.Above("medium", mediumL, 0, "L"); err != nil {
		return MediumRecipe{}, err
	}
	if !(strength > 0 && strength <= strongestOfF2) {
		return MediumRecipe{}, &limits.Error{Argument: "strength relative to f/2", Value: strength, High: strongestOfF2, OpenLow: true}
	}
	for _, stock := range stocks {
		amount := StockAmount{
			Name: stock.Name, Note: stock.Note, Source: stock.Source,
			VolumeML: mediumL * stock.MLPerL * strength,
		}
		for _, salt := range stock.Salts {
			gPerL := salt.StockGPerL * stock.MLPerL * strength / 1000
			amount.Salts = append(amount.Salts, SaltAmount{
				MediumSalt: salt, SaltG: gPerL * mediumL, FinalUM: gPerL / salt.FormulaWeight * 1e6,
			})
		}
		r.Stocks = append(r.Stocks, amount)
		r.StocksML += amount.VolumeML
	}
	// The seawater is the largest number of the recipe: when it is finite, all are.
	var err error
	r.SeawaterML, err = limits.Result("seawater", mediumL*1000-r.StocksML)
	if err != nil {
		return MediumRecipe{}, err
	}
	return r, nil
}
