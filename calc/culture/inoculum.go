package culture

import (
	"cmp"
	"fmt"

	"spatsheet/calc/limits"
)

// InoculumVolume gives the culture to put into a vessel for a starting density.
//
// targetCellsPerML wanted and cultureCellsPerML of the parent in cells/mL, finalML the
// filled vessel in mL, inoculum included; the result in mL.
// Range: all above 0, and the target not above the parent culture; otherwise an error
// wrapping limits.ErrRange, with the remedy.
// Source: arithmetic, V1 = C2 V2 / C1.
func InoculumVolume(targetCellsPerML, finalML, cultureCellsPerML float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("target density", targetCellsPerML, 0, "cells/mL"),
		limits.Above("final volume", finalML, 0, "mL"),
		limits.Above("culture density", cultureCellsPerML, 0, "cells/mL"),
	); err != nil {
		return 0, err
	}
	if targetCellsPerML > cultureCellsPerML {
		return 0, tooThin(targetCellsPerML, cultureCellsPerML)
	}
	return limits.Result("inoculum", targetCellsPerML/cultureCellsPerML*finalML)
}

// FeedVolumeToDensity gives the culture to add on top of a tank's water so that the
// animals find a ration given as a density.
//
// rationCellsPerML wanted in the tank, residualCellsPerML still in it and cultureCellsPerML
// of the feed in cells/mL; tankL the water before feeding in L; the result in mL. A tank
// that still holds the ration takes 0 mL.
// Range: ration and residual at least 0, tank and culture above 0, ration below culture;
// otherwise an error wrapping limits.ErrRange, with the remedy.
// Source: arithmetic, conservation of cells with the feed added on top,
// V = tank (ration - residual) / (culture - ration). V1 = C2 V2 / C1 would take the water
// to the mark first; it gives less by the share the feed is of the tank.
func FeedVolumeToDensity(rationCellsPerML, residualCellsPerML, tankL, cultureCellsPerML float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("ration", rationCellsPerML, 0, "cells/mL"),
		limits.AtLeast("cells left in the tank", residualCellsPerML, 0, "cells/mL"),
		limits.Above("tank volume", tankL, 0, "L"),
		limits.Above("culture density", cultureCellsPerML, 0, "cells/mL"),
	); err != nil {
		return 0, err
	}
	if residualCellsPerML >= rationCellsPerML {
		return 0, nil
	}
	if rationCellsPerML >= cultureCellsPerML {
		return 0, tooThin(rationCellsPerML, cultureCellsPerML)
	}
	feedL := tankL * ((rationCellsPerML - residualCellsPerML) / (cultureCellsPerML - rationCellsPerML))
	return limits.Result("feed", feedL*1000)
}

// FeedVolumeForAnimals gives the culture that holds a ration counted per animal.
//
// cellsPerAnimal a feed, animals fed, cultureCellsPerML of the feed in cells/mL; the result
// in mL.
// Range: cellsPerAnimal and animals at least 0, culture above 0; otherwise an error wrapping
// limits.ErrRange.
// Source: arithmetic, cells per animal x animals / cells per mL.
func FeedVolumeForAnimals(cellsPerAnimal float64, animals int, cultureCellsPerML float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("ration", cellsPerAnimal, 0, "cells an animal"),
		limits.AtLeast("animals", float64(animals), 0, ""),
		limits.Above("culture density", cultureCellsPerML, 0, "cells/mL"),
	); err != nil {
		return 0, err
	}
	return limits.Result("feed", cellsPerAnimal*float64(animals)/cultureCellsPerML)
}

func tooThin(target, culture float64) error {
	return fmt.Errorf("target density: %g cells/mL is not below what the culture can give, %g cells/mL; grow or "+
		"concentrate the culture, or lower the target: %w",
		target, culture, limits.ErrRange)
}
