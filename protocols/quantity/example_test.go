package quantity_test

import (
	"fmt"

	"spatsheet/protocols/quantity"
)

func ExampleParse() {
	stock, _ := quantity.Parse("1200000 eggs")
	fmt.Println(stock, "|", stock.Format(3), "|", stock.Dimension())

	_, err := quantity.Parse("1,5 L")
	fmt.Println(err)
	// Output:
	// 1200000 eggs | 1 200 000 eggs | egg count
	// "1,5 L": a comma in a number can be read in two ways; write 1.5 for one and a half, 1500 for fifteen hundred
}

func ExampleParseUnit() {
	u, _ := quantity.ParseUnit("umol/m^2/s")
	fmt.Println(u.Symbol(), u.Print(), u.UCUM())

	_, err := quantity.ParseUnit("larve/mL")
	fmt.Println(err)
	// Output:
	// µmol/m2/s µmol/m²/s umol/m2/s
	// unknown unit "larve" in "larve/mL"; did you mean larva?
}

func ExampleQuantity_Times() {
	volume, _ := quantity.Parse("2 L")
	density, _ := quantity.Parse("3 larvae/mL")
	larvae, _ := volume.Times(density)
	fmt.Println(larvae)
	// Output: 6000 larvae
}

func ExampleQuantity_Plus() {
	temperature, _ := quantity.Parse("18 °C")
	warmer, _ := quantity.Parse("2 K")
	sum, _ := temperature.Plus(warmer)
	fmt.Println(sum)

	volume, _ := quantity.Parse("2 L")
	cells, _ := quantity.Parse("300 cells")
	_, err := volume.Plus(cells)
	fmt.Println(err)
	// Output:
	// 20 °C
	// cannot add 2 L and 300 cells: volume and cell count
}

func ExampleCounted() {
	for _, n := range []int{0, 1, 2} {
		fmt.Println(quantity.Counted(n, "batch", "batches"))
	}
	// Output:
	// 0 batches
	// 1 batch
	// 2 batches
}
