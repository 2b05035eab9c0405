package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"
)

// point is what one command took over a season of a size.
type point struct {
	command             string
	size, seconds, peak float64 // workbooks or readings, s, kB
}

// fitCommand reads lines of "command-size seconds peakKB" and fits seconds = a × size^b by
// least squares of the logarithms, over all sizes and over those from 100 on, where the
// start of the program no longer counts. With the name of a file it draws them there. Sizes
// are workbooks, or what is named after the file, such as readings.
// Source: arithmetic.
func fitCommand(arguments []string) error {
	points, err := readPoints()
	if err != nil {
		return err
	}
	counted := "workbooks"
	if len(arguments) > 1 {
		counted = arguments[1]
	}
	fmt.Printf("| command | %s | s | ms for one | peak MB |\n|---|---:|---:|---:|---:|\n", counted)
	for _, p := range points {
		fmt.Printf("| %s | %.0f | %.3f | %.3g | %.1f |\n", p.command, p.size, p.seconds, 1000*p.seconds/p.size, p.peak/1024)
	}
	fmt.Println("\n| command | exponent of time, all sizes | from 100 on | exponent of peak memory, all sizes |\n|---|---:|---:|---:|")
	for _, command := range commandsOf(points) {
		seconds := func(p point) float64 { return p.seconds }
		fmt.Printf("| %s | %s | %s | %s |\n", command, exponent(points, command, 0, seconds), exponent(points, command, 100, seconds),
			exponent(points, command, 0, func(p point) float64 { return p.peak }))
	}
	if len(arguments) > 0 {
		return os.WriteFile(arguments[0], []byte(drawing(points, counted)), 0o644)
	}
	return nil
}

func readPoints() ([]point, error) {
	var points []point
	for {
		var p point
		var label string
		if n, _ := fmt.Scan(&label, &p.seconds, &p.peak); n < 3 {
			break
		}
		cut := strings.LastIndex(label, "-")
		if cut < 0 {
			return nil, fmt.Errorf("%q is no command-size", label)
		}
		p.command = label[:cut]
		if _, err := fmt.Sscan(label[cut+1:], &p.size); err != nil || p.size <= 0 || p.seconds <= 0 {
			return nil, fmt.Errorf("%s: size and seconds must be numbers above zero", label)
		}
		points = append(points, p)
	}
	if len(points) == 0 {
		return nil, errors.New("fit: give lines of command-size, seconds and peak kB")
	}
	slices.SortStableFunc(points, func(a, b point) int { return strings.Compare(a.command, b.command) })
	return points, nil
}

func commandsOf(points []point) []string {
	var commands []string
	for _, p := range points {
		if !slices.Contains(commands, p.command) {
			commands = append(commands, p.command)
		}
	}
	return commands
}

func exponent(points []point, command string, from float64, value func(point) float64) string {
	var x, y []float64
	for _, p := range points {
		if p.command == command && p.size >= from && value(p) > 0 {
			x, y = append(x, math.Log(p.size)), append(y, math.Log(value(p)))
		}
	}
	if len(x) < 2 {
		return "-"
	}
	_, slope := stat.LinearRegression(x, y, nil, false)
	return fmt.Sprintf("%.2f", slope)
}

// Places on the drawing, in pixels: 120 for each tenfold.
const (
	left, bottom, decade = 70.0, 620.0, 120.0
	lowestSeconds        = -2 // its decimal logarithm
)

// lowest is the decimal logarithm of the tenfold that the smallest size is in.
func lowest(points []point) int {
	smallest := points[0].size
	for _, p := range points {
		smallest = min(smallest, p.size)
	}
	return int(math.Floor(math.Log10(smallest)))
}

// drawing is an SVG of seconds against sizes, both logarithmic, so that work in
// proportion to the season is a line of slope one.
func drawing(points []point, counted string) string {
	first := lowest(points)
	at := func(size, seconds float64) (x, y float64) {
		return left + decade*(math.Log10(size)-float64(first)), bottom - decade*(math.Log10(seconds)-lowestSeconds)
	}
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="760" height="680" font-family="sans-serif" font-size="13">` +
		`<rect width="760" height="680" fill="white"/>` + "\n")
	for e := lowestSeconds; e <= 3; e++ {
		x, y := at(math.Pow10(first), math.Pow10(e))
		fmt.Fprintf(&b, `<path d="M%.0f %.1fh400" stroke="#ddd"/><text x="8" y="%.1f">%g s</text>`+"\n", x, y, y+4, math.Pow10(e))
	}
	for e := first; e < first+4; e++ {
		x, y := at(math.Pow10(e), math.Pow10(lowestSeconds))
		fmt.Fprintf(&b, `<path d="M%.1f %.0fv-600" stroke="#ddd"/><text x="%.1f" y="%.0f" text-anchor="middle">%g</text>`+"\n", x, y, x, y+20, math.Pow10(e))
	}
	fmt.Fprintf(&b, `<text x="%.0f" y="660">%s</text>`+"\n", left+decade, counted)
	colours := []string{"#1b6ca8", "#b5451b", "#3a7d34", "#7a4fa3", "#666", "#c79a00"}
	for i, command := range commandsOf(points) {
		var line []string
		var x, y float64
		for _, p := range points {
			if p.command == command {
				x, y = at(p.size, p.seconds)
				line = append(line, fmt.Sprintf("%.1f,%.1f", x, y))
			}
		}
		fmt.Fprintf(&b, `<polyline points="%s" fill="none" stroke="%s" stroke-width="2"/><text x="%.1f" y="%.1f" fill="%s">%s</text>`+"\n",
			strings.Join(line, " "), colours[i%len(colours)], x+8, y+4, colours[i%len(colours)], command)
	}
	return b.String() + "</svg>\n"
}
