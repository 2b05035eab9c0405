package main

import (
	"fmt"
	"strings"

	"spatsheet/calc/stats"
)

func developmentQuestion() question {
	return question{
		name: "development", asks: "hours to a stage at a temperature, from own batches at others",
		example: "--temps '12 15 18' --hours '62 38 28' --at '16 °C'",
		note:    "Three batches at least. Between them only: what is colder or warmer is not answered.",
		inputs: []input{
			{name: "temps", says: "temperature of each batch", kind: row, unit: "°C", like: "12 15 18"},
			{name: "hours", says: "time each batch took", kind: row, unit: "h", like: "62 38 28"},
			{name: "at", says: "temperature asked about", unit: "°C", like: "16 °C"},
		},
		work: func(b *bench) error {
			temps, hours, at := b.values["temps"].row, b.values["hours"].row, b.in("at")
			if len(temps) != len(hours) {
				return fmt.Errorf("--temps has %d numbers and --hours %d; give one of each for every batch", len(temps), len(hours))
			}
			fit, err := stats.FitDevelopment(temps, hours)
			if err != nil {
				return err
			}
			reached, err := fit.HoursAt(at)
			if err != nil {
				return err
			}
			b.lineThrough(temps, hours, fit)
			b.line("time: %s / (%s - %s) = %s", finely(fit.DegreeHours, ""), of(at, ""), finely(fit.ThresholdC, ""), of(reached, "h"))
			b.source("least squares of 1/time on temperature, 1/t = (T - T0)/DH; common practice, no source")
			b.result("threshold", fit.ThresholdC, "°C")
			b.result("degree-hours above it", fit.DegreeHours, "")
			b.result("time to the stage", reached, "h")
			return nil
		},
	}
}

// lineThrough works the line of 1/time on temperature.
func (b *bench) lineThrough(temps, hours []float64, fit stats.DevelopmentFit) {
	var meanTemp, meanSpeed float64
	n := float64(len(temps))
	for i, h := range hours {
		b.line("speed at %s: 1 / %s = %s", of(temps[i], "°C"), of(h, "h"), finely(1/h, "1/h"))
		meanTemp += temps[i] / n
		meanSpeed += 1 / h / n
	}
	b.line("mean temperature: (%s) / %d = %s", joined(temps, " + "), len(temps), finely(meanTemp, ""))
	var speeds, products, squares []string
	for i, h := range hours {
		away := fmt.Sprintf("(%s - %s)", of(temps[i], ""), finely(meanTemp, ""))
		speeds = append(speeds, finely(1/h, ""))
		products = append(products, fmt.Sprintf("%s × (%s - %s)", away, finely(1/h, ""), finely(meanSpeed, "")))
		squares = append(squares, away+" ^ 2")
	}
	b.line("mean speed: (%s) / %d = %s", strings.Join(speeds, " + "), len(hours), finely(meanSpeed, ""))
	slope := 1 / fit.DegreeHours
	b.line("slope: (%s) / (%s) = %s", strings.Join(products, " + "), strings.Join(squares, " + "), finely(slope, ""))
	b.line("degree-hours: 1 / %s = %s", finely(slope, ""), finely(fit.DegreeHours, ""))
	b.line("threshold: %s - %s / %s = %s", finely(meanTemp, ""), finely(meanSpeed, ""), finely(slope, ""), finely(fit.ThresholdC, ""))
}
