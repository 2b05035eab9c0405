// Command bench makes what spatsheet is measured with: seasons of filled workbooks by a
// seed, and the least that reading them can cost.
//
//	go run ./testdata/bench make  --folder DIR --workbooks N --seed S [--protocol twelve] [--boxes 150] [--own-sizes]
//	go run ./testdata/bench make  --folder DIR --plans N
//	go run ./testdata/bench floor --folder DIR [--procs P] [--gogc G]
//	go run ./testdata/bench time [--runs 5] LABEL BEFORE COMMAND [LABEL BEFORE COMMAND]...
//	go run ./testdata/bench fit [FILE.svg [readings]] < lines of "command-size seconds peakKB"
//
// What may enter: what is needed to measure. What may not: anything that spatsheet itself
// uses; run.sh beside this file says what is measured.
package main

import (
	"fmt"
	"os"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run(arguments []string) error {
	commands := map[string]func([]string) error{"make": makeCommand, "floor": floorCommand, "time": timeCommand, "fit": fitCommand}
	if len(arguments) > 0 {
		if command, ok := commands[arguments[0]]; ok {
			return command(arguments[1:])
		}
	}
	return fmt.Errorf("name what to do: make, floor, time or fit; testdata/bench/main.go shows how")
}
