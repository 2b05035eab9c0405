package culture

import (
	"cmp"

	"spatsheet/calc/limits"
)

// mostPlates is the most plates an answer is given for. Site choice, a trap for typing
// errors: the trade's bench sheets take 5000 plates to a tank.
const mostPlates = 1_000_000

// PlateArea gives the area of one plate that a film grows on.
//
// lengthCM and wettedHeightCM (height under water, not of the plate) in cm; sides is 1 for
// a plate lying or leaning on something, 2 for one hanging free; the result in cm2.
// Range: lengths above 0, sides 1 or 2; otherwise an error wrapping limits.ErrRange.
// Source: geometry. Edges are not counted. There is no default for sides because the
// one-sided area of a two-sided plate is the common mistake.
func PlateArea(lengthCM, wettedHeightCM float64, sides int) (float64, error) {
	if err := cmp.Or(
		limits.Above("plate length", lengthCM, 0, "cm"),
		limits.Above("wetted height", wettedHeightCM, 0, "cm"),
		limits.Between("sides counted", float64(sides), 1, 2, ""),
	); err != nil {
		return 0, err
	}
	return limits.Result("plate area", lengthCM*wettedHeightCM*float64(sides))
}

// SeedingCells gives the cells to pour over plates so that a wanted film attaches.
//
// targetCellsPerCM2 attached, areaCM2 all plates together (and tank walls, if they are to
// count), attachmentShare the part of the cells that attaches; the result in cells.
// Range: target and area above 0, attachmentShare above 0 and at most 1; otherwise an error
// wrapping limits.ErrRange.
// Source: arithmetic, cells/cm2 x cm2 / share. Shares of 0.5 to 0.8 are from memory: site
// choice, to be replaced by the site's own scrapings.
func SeedingCells(targetCellsPerCM2, areaCM2, attachmentShare float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("target film", targetCellsPerCM2, 0, "cells/cm2"),
		limits.Above("area", areaCM2, 0, "cm2"),
		share("share attaching", attachmentShare),
	); err != nil {
		return 0, err
	}
	return limits.Result("cells to add", targetCellsPerCM2*areaCM2/attachmentShare)
}

// CultureVolume gives the culture that holds a number of cells.
//
// cells wanted; cultureCellsPerML in cells/mL; the result in mL.
// Range: cells at least 0, culture above 0; otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, cells / cells per mL.
func CultureVolume(cells, cultureCellsPerML float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("cells", cells, 0, ""),
		limits.Above("culture density", cultureCellsPerML, 0, "cells/mL"),
	); err != nil {
		return 0, err
	}
	return limits.Result("culture volume", cells/cultureCellsPerML)
}

// SeedingVolume gives the culture to pour over plates so that a wanted film attaches.
//
// Arguments as in SeedingCells and CultureVolume; the result in mL.
// Range: as in SeedingCells and CultureVolume.
// Source: arithmetic, SeedingCells / cells per mL.
func SeedingVolume(targetCellsPerCM2, areaCM2, attachmentShare, cultureCellsPerML float64) (float64, error) {
	cells, err := SeedingCells(targetCellsPerCM2, areaCM2, attachmentShare)
	if err != nil {
		return 0, err
	}
	return CultureVolume(cells, cultureCellsPerML)
}

// FilmDensity gives the film on a plate, counted back from a scraped patch.
//
// cellsPerML counted in the suspension, suspensionML the volume the patch was scraped into
// in mL, scrapedCM2 the patch in cm2; the result in cells/cm2.
// Range: count at least 0, volume and patch above 0; otherwise an error wrapping
// limits.ErrRange.
// Source: arithmetic, cells/mL x mL / cm2. Three plates at least, top, middle and bottom,
// are common practice.
func FilmDensity(cellsPerML, suspensionML, scrapedCM2 float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("count", cellsPerML, 0, "cells/mL"),
		limits.Above("suspension", suspensionML, 0, "mL"),
		limits.Above("scraped patch", scrapedCM2, 0, "cm2"),
	); err != nil {
		return 0, err
	}
	return limits.Result("film", cellsPerML*suspensionML/scrapedCM2)
}

// PlatesNeeded gives the plates for a number of spat, rounded up, spare plates included.
//
// targetSpat on all plates, spatPerCM2 the density settled at, plateCM2 one plate's area
// with all sides counted (PlateArea), spareShare added (0.05 for 5 %); the result in plates.
// Range: the first three above 0, spareShare from 0 to 1, the result at most 1e6 plates;
// otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, ceil(spat / (spat/cm2 x cm2) x (1 + spare)), rounded up once.
// Spare of 5 to 10 % is from memory.
func PlatesNeeded(targetSpat, spatPerCM2, plateCM2, spareShare float64) (int, error) {
	if err := cmp.Or(
		limits.Above("target spat", targetSpat, 0, ""),
		limits.Above("spat density", spatPerCM2, 0, "spat/cm2"),
		limits.Above("plate area", plateCM2, 0, "cm2"),
		limits.Between("spare share", spareShare, 0, 1, ""),
	); err != nil {
		return 0, err
	}
	plates := wholeUp(targetSpat / (spatPerCM2 * plateCM2) * (1 + spareShare))
	if err := limits.Between("plates needed", plates, 0, mostPlates, ""); err != nil {
		return 0, err
	}
	return max(1, int(plates)), nil
}
