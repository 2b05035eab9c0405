package dose

// Abridged standard atomic weights, g/mol: IUPAC (2021), conventional values rounded to
// five digits; measured.
const (
	weightH  = 1.008
	weightC  = 12.011
	weightN  = 14.007
	weightO  = 15.999
	weightNa = 22.990
	weightMg = 24.305
	weightS  = 32.06
	weightCl = 35.45
	weightK  = 39.098
)

// Formula weights of the trade's reagents in g/mol, added up from the IUPAC abridged
// standard atomic weights (2021); as exact as those, four digits or more.
const (
	WeightWater                        = 2*weightH + weightO                          // H2O
	WeightHydrogenPeroxide             = 2*weightH + 2*weightO                        // H2O2
	WeightChlorine                     = 2 * weightCl                                 // Cl2
	WeightSodiumThiosulphate           = 2*weightNa + 2*weightS + 3*weightO           // Na2S2O3, without water
	WeightThiosulphatePentahydrate     = WeightSodiumThiosulphate + 5*WeightWater     // Na2S2O3.5H2O
	WeightTrisBase                     = 4*weightC + 11*weightH + weightN + 3*weightO // C4H11NO3; Tris HCl is heavier and will not raise pH
	WeightMagnesiumChlorideHexahydrate = weightMg + 2*weightCl + 6*WeightWater        // MgCl2.6H2O
	WeightPotassiumChloride            = weightK + weightCl                           // KCl
	WeightSodiumBicarbonate            = weightNa + weightH + weightC + 3*weightO     // NaHCO3
	WeightGABA                         = 4*weightC + 9*weightH + weightN + 2*weightO  // C4H9NO2, gamma-aminobutyric acid
)
