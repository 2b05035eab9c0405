package main

import (
	"errors"
	"fmt"
	"math"
	"os"

	"gonum.org/v1/gonum/stat"
)

// fitCommand fits value = a × size^b by least squares of the logarithms, over lines of
// "size value" from standard input. Source: arithmetic.
func fitCommand([]string) error {
	var x, y []float64
	for {
		var size, value float64
		if n, _ := fmt.Fscan(os.Stdin, &size, &value); n < 2 {
			break
		}
		if size <= 0 || value <= 0 {
			return fmt.Errorf("%g %g: sizes and values must be above zero", size, value)
		}
		x, y = append(x, math.Log(size)), append(y, math.Log(value))
	}
	if len(x) < 2 {
		return errors.New("give at least two lines of size and value")
	}
	intercept, slope := stat.LinearRegression(x, y, nil, false)
	fmt.Printf("exponent %.3f over %d points (value = %.3g × size^%.3f)\n", slope, len(x), math.Exp(intercept), slope)
	return nil
}
