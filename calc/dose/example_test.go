package dose_test

import (
	"fmt"

	"spatsheet/calc/dose"
)

func ExampleStockVolume() {
	ml, err := dose.StockVolume(200, 5, 1500) // mg/mL, mg/mL, mL
	fmt.Println(ml, "mL", err)
	// Output: 37.5 mL <nil>
}

func ExamplePeroxideStock() {
	// 6 % w/v to 5.3 mM: the published 3 mL to a litre.
	stock, err := dose.PeroxideByVolume(6)
	if err != nil {
		fmt.Println(err)
		return
	}
	ml, err := dose.PeroxideStock(5.3, 1, stock)
	fmt.Printf("%.1f mL/L %v\n", ml, err)
	// Output: 3.0 mL/L <nil>
}

func ExamplePeroxideByWeight() {
	molPerL, err := dose.PeroxideByWeight(30, 1.112)
	fmt.Printf("%.2f mol/L %v\n", molPerL, err)
	// Output: 9.81 mol/L <nil>
}

func ExampleHypochloriteVolume() {
	ml, err := dose.HypochloriteVolume(5, 500, 12.5)
	fmt.Println(ml, "mL", err)
	// Output: 20 mL <nil>
}

func ExampleThiosulphate() {
	for product := dose.ToTetrathionate; product <= dose.ToSulphate; product++ {
		g, err := dose.Thiosulphate(2, 1000, product)
		fmt.Printf("%.2f g %v\n", g, err)
	}
	// Output:
	// 14.00 g <nil>
	// 7.00 g <nil>
	// 1.75 g <nil>
}

func ExampleMagnesiumChlorideForPercent() {
	g, err := dose.MagnesiumChlorideForPercent(7.5, 2)
	fmt.Println(g, "g", err)
	// Output: 150 g <nil>
}

func ExampleChangesNeeded() {
	changes, err := dose.ChangesNeeded(0.01, 0.8)
	fmt.Println(changes, "changes", err)
	// Output: 3 changes <nil>
}

func ExampleDripFlowForBoth() {
	// From 20 to 15 °C and 36 to 34, at most 1 °C and 2 PSU an hour, 10 L in the vessel.
	flow, err := dose.DripFlowForBoth(15-20, 34-36, 1, 2, 10)
	fmt.Println(flow, "L/h", err)
	// Output: 2 L/h <nil>
}

func ExampleDripCurve() {
	curve, err := dose.DripCurve(dose.Water{TempC: 20, Salinity: 36}, dose.Water{TempC: 15, Salinity: 34}, 2, 10, 10, 5)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range curve {
		fmt.Printf("%2.0f h %.1f °C %.1f\n", p.Hours, p.TempC, p.Salinity)
	}
	// Output:
	//  0 h 20.0 °C 36.0
	//  5 h 16.8 °C 34.7
	// 10 h 15.7 °C 34.3
}
