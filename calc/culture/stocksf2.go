package culture

const (
	sourceF2         = "Guillard and Ryther (1962), Guillard (1975); recipe from memory"
	sourceF2Vitamins = "Guillard (1975); recipe from memory"
)

// StocksF2 gives the stocks of f/2 + Si in the order they go into the seawater.
//
// Strengths in g/L, doses in mL per L of finished medium, formula weights in g/mol; the
// slices are fresh at every call, so a caller may change them.
// Range: none, there is nothing to refuse.
// Source: Guillard and Ryther (1962), Guillard (1975), from memory, as in
// testdata/reference/medium_f2.csv; formula weights added up from the IUPAC abridged
// standard atomic weights (2021). Silicate after the others because it falls out with them
// when strong, vitamins when the medium is cool because heat spoils them: common practice.
func StocksF2() []MediumStock {
	return []MediumStock{
		{Name: "nitrate", MLPerL: 1, Source: sourceF2, Salts: []MediumSalt{
			{Name: "NaNO3", Formula: "NaNO3", FormulaWeight: 84.994, StockGPerL: 75},
		}},
		{Name: "phosphate", MLPerL: 1, Source: sourceF2, Salts: []MediumSalt{
			{Name: "NaH2PO4.H2O", Formula: "NaH2PO4.H2O", FormulaWeight: 137.991, StockGPerL: 5},
		}},
		{Name: "trace", MLPerL: 1, Source: sourceF2, Salts: traceSaltsF2()},
		{Name: "silicate", MLPerL: 1, Note: "after the other salts", Source: sourceF2, Salts: []MediumSalt{
			{Name: "Na2SiO3.9H2O", Formula: "Na2SiO3.9H2O", FormulaWeight: 284.197, StockGPerL: 30},
		}},
		{Name: "vitamin", MLPerL: 0.5, Note: "last, when the medium has cooled", Source: sourceF2Vitamins, Salts: []MediumSalt{
			{Name: "thiamine HCl (B1)", Formula: "C12H18Cl2N4OS", FormulaWeight: 337.263, StockGPerL: 0.2},
			viaPrimary("biotin (H)", "C10H16N2O3S", 244.309, 1),
			viaPrimary("cyanocobalamin (B12)", "C63H88CoN14O14P", 1355.388, 1),
		}},
	}
}

func traceSaltsF2() []MediumSalt {
	return []MediumSalt{
		{Name: "FeCl3.6H2O", Formula: "FeCl3.6H2O", FormulaWeight: 270.285, StockGPerL: 3.15},
		{Name: "Na2EDTA.2H2O", Formula: "C10H14N2Na2O8.2H2O", FormulaWeight: 372.238, StockGPerL: 4.36},
		viaPrimary("CuSO4.5H2O", "CuSO4.5H2O", 249.677, 9.8),
		viaPrimary("Na2MoO4.2H2O", "Na2MoO4.2H2O", 241.956, 6.3),
		viaPrimary("ZnSO4.7H2O", "ZnSO4.7H2O", 287.541, 22),
		viaPrimary("CoCl2.6H2O", "CoCl2.6H2O", 237.923, 10),
		viaPrimary("MnCl2.4H2O", "MnCl2.4H2O", 197.898, 180),
	}
}

// viaPrimary is a salt too scarce to weigh for one bottle: 1 mL of a primary stock of
// primaryGPerL goes into each litre of the stock, a thousandfold dilution.
func viaPrimary(name, formula string, formulaWeight, primaryGPerL float64) MediumSalt {
	return MediumSalt{
		Name: name, Formula: formula, FormulaWeight: formulaWeight,
		PrimaryGPerL: primaryGPerL, StockGPerL: primaryGPerL / 1000,
	}
}
