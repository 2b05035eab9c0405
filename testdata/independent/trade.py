"""The functions of the trade that formulas of protocols call, written anew from their
sources, in litres, grams, hours, decimetres, moles and counted things.

    python3 trade.py > ../reference/functions.csv

writes the table that calc/functions is held against. Shares nothing with spatsheet.
"""
import csv
import math
import sys


def to_start(target, *shares):
    for share in shares:
        target /= share
    return math.ceil(target - 1e-9 * target)


def plates_for(animals, density, plate_area, spare):
    plates = animals / (density * plate_area) * (1 + spare)
    return max(1, math.ceil(plates - 1e-9 * max(1, plates)))


def wilson(seen, of, sign):
    """Wilson (1927): the p at which |seen/of - p| is 1.96 of its own standard errors."""
    z = 1.959963984540054
    a, b, c = of + z * z, -(2 * seen + z * z), seen * seen / of  # a p^2 + b p + c = 0
    return (-b + sign * math.sqrt(max(0, b * b - 4 * a * c))) / (2 * a)


def inbreeding_after(effective_size, generations):
    left = 1.0
    for _ in range(round(generations)):
        left *= 1 - 1 / (2 * effective_size)
    return 1 - left


FUNCTIONS = {
    # a well mixed vessel: dT/dt at the start is Q/V times the gap, and the gap falls as exp(-Q t / V)
    "flow_for_drip": lambda change, rate, water: rate / abs(change) * water,
    "hours_for_drip": lambda change, close, flow, water: 0 if change <= close else -math.log(close / change) / (flow / water),
    # conservation of what is dissolved or afloat
    "stock_in_total": lambda stock, wanted, total: total / (stock / wanted) if wanted else 0,
    "stock_on_top": lambda stock, wanted, water: water / (stock / wanted - 1) if wanted else 0,
    "reagent_mass": lambda molarity, water, molar_mass: molarity * molar_mass * water,
    "left_after": lambda changed, changes: math.exp(changes * math.log(1 - changed)) if changed < 1 else float(changes == 0),
    "cells_for_film": lambda film, area, attaching: area * film / attaching,
    "culture_for_film": lambda film, area, attaching, density: area * film / (attaching * density),
    "volume_holding": lambda cells, density: cells / density,
    "film_counted": lambda count, suspension, scraped: suspension * count / scraped,
    "days_to_reach": lambda times, divisions, lag: lag + math.log2(times) / divisions,
    "area_of_plate": lambda length, wetted_height, sides: sides * length * wetted_height,
    "plates_for": plates_for,
    "cells_per_ml": lambda counted, squares, square_volume, dilution: counted * dilution / (squares * square_volume),
    "number_per_ml": lambda counted, sampled: counted / sampled,
    "number_on": lambda counted, windows, area: counted * (area / windows),
    "sperm_to_add": lambda target, water, stock: water / (stock / target - 1),
    "to_start": to_start,
    # Wright (1931): 1/Ne = 1/(4 Nm) + 1/(4 Nf)
    "effective_size_of": lambda fathers, mothers: 1 / (1 / (4 * fathers) + 1 / (4 * mothers)),
    "inbreeding_rise_of": lambda effective_size: 0.5 / effective_size,
    "inbreeding_after": inbreeding_after,
    "gonad_index": lambda gonad, body: gonad / body,
    "mass_at_length": lambda mass_per_cube, length: mass_per_cube * length ** 3,
    "share_low": lambda seen, of: wilson(seen, of, -1),
    "share_high": lambda seen, of: wilson(seen, of, 1),
    # growth of a cube of edge L; growth of a film against what is grazed from it; circles in squares
    "ration": lambda feed_per_gain, animals, mass_per_cube, length, gain:
        feed_per_gain * animals * mass_per_cube * ((length + gain) ** 3 - length ** 3),
    "film_carries": lambda rate, film, grazing, length: rate * film / (grazing * (length / 0.01) ** 3),
    "eggs_in_layer": lambda diameter: 0.5 / (math.pi * (diameter / 2) ** 2),
}

# The units of a row's arguments and result; not those in which the functions are written.
SIZES = {
    "": 1, "%": 0.01, "L": 1, "mL": 1e-3, "µL": 1e-6, "m3": 1000, "L/h": 1, "mL/min": 0.06, "h": 1, "d": 24, "min": 1 / 60, "K": 1, "PSU": 1,
    "K/h": 1, "PSU/h": 1, "K/d": 1 / 24, "mmol/L": 1e-3, "mol/L": 1, "µmol/L": 1e-6, "g/mol": 1, "mg": 1e-3, "g": 1, "kg": 1000,
    "cells/mL": 1000, "cells/L": 1, "cells": 1, "cells/cm2": 100, "cells/mm2": 1e4, "cm2": 0.01, "m2": 100, "mm2": 1e-4, "1/d": 1 / 24, "1/h": 1,
    "cm": 0.1, "mm": 0.01, "m": 10, "1/plate": 1, "cm2/plate": 0.01, "m2/plate": 100, "plates": 1, "larvae": 1, "larvae/cm2": 100, "larvae/m2": 0.01,
    "spat": 1, "spat/cm2": 100, "squares": 1, "µL/square": 1e-6, "mL/square": 1e-3, "sperm": 1, "sperm/mL": 1000, "sperm/L": 1, "eggs": 1, "eggs/mL": 1000,
    "eggs/L": 1, "larvae/mL": 1000, "animals": 1, "g/animal": 1, "mg/animal": 1e-3, "g/mm3/animal": 1e6, "g/cm3/animal": 1000, "g/d": 1 / 24,
    "mm/d": 0.01 / 24, "µm/d": 1e-5 / 24, "cells/spat/h": 1, "cells/spat/d": 1 / 24, "µm": 1e-5, "eggs/cm2": 100, "spat/m2": 0.01, "g/g": 1,
}

ROWS = {
    "flow_for_drip": ("mL/min", "3 K; 1 K/h; 400 L", "0.5 K; 24 K/d; 60 L", "2 PSU; 1.5 PSU/h; 0.25 m3", "12 K; 0.1 K/h; 2 L", "1 PSU; 1 PSU/h; 5000 L"),
    "hours_for_drip": ("h", "3 K; 0.5 K; 133 L/h; 400 L", "2 PSU; 0.5 PSU; 200 mL/min; 60 L", "0.4 K; 0.5 K; 10 L/h; 60 L", "8 K; 0.05 K; 1 L/h; 0.1 m3",
                       "1 PSU; 1 PSU; 4 L/h; 9 L"),
    "stock_in_total": ("mL", "0.1 mol/L; 1 µmol/L; 400 L", "1 mol/L; 20 mmol/L; 50 mL", "8e5 cells/mL; 2e7 cells/L; 40 L", "500 mmol/L; 0 mmol/L; 3 L",
                       "2 mol/L; 2 mol/L; 10 mL"),
    "stock_on_top": ("L", "8e5 cells/mL; 2e4 cells/mL; 40 L", "1e9 cells/L; 2e4 cells/mL; 500 mL", "3e8 sperm/mL; 1e5 sperm/mL; 48 L", "2 mol/L; 10 mmol/L; 1 L",
                     "1 mol/L; 0 mol/L; 1 L"),
    "reagent_mass": ("g", "1 µmol/L; 400 L; 103.12 g/mol", "10 mmol/L; 400 L; 74.55 g/mol", "0 mmol/L; 5 L; 74.55 g/mol", "0.5 mol/L; 250 mL; 121.14 g/mol",
                     "2 mmol/L; 1 m3; 58.44 g/mol"),
    "left_after": ("%", "90 %; 3", "50 %; 10", "99 %; 1", "33 %; 7", "100 %; 2"),
    "cells_for_film": ("cells", "1e4 cells/cm2; 3 m2; 60 %", "500 cells/mm2; 1200 cm2; 1", "2e5 cells/cm2; 50 cm2; 25 %", "1 cells/cm2; 1 mm2; 50 %",
                       "3e4 cells/cm2; 120 m2; 80 %"),
    "culture_for_film": ("L", "1e4 cells/cm2; 3 m2; 60 %; 1e6 cells/mL", "500 cells/mm2; 1200 cm2; 1; 2e9 cells/L", "2e5 cells/cm2; 50 cm2; 25 %; 4e5 cells/mL",
                         "1 cells/cm2; 1 mm2; 50 %; 1 cells/mL", "3e4 cells/cm2; 120 m2; 80 %; 8e5 cells/mL"),
    "volume_holding": ("mL", "5e9 cells; 1e6 cells/mL", "0 cells; 1e6 cells/mL", "3 cells; 2 cells/L", "7e7 cells; 35000 cells/mL", "1e12 cells; 4e9 cells/L"),
    "film_counted": ("cells/mm2", "1e5 cells/mL; 10 mL; 4 cm2", "2e8 cells/L; 0.05 L; 25 cm2", "0 cells/mL; 10 mL; 4 cm2", "350 cells/mL; 2 mL; 100 mm2",
                     "8e6 cells/mL; 1 mL; 0.01 m2"),
    "days_to_reach": ("h", "50; 0.55 1/d; 1.5 d", "1; 2 1/d; 36 h", "2; 0.05 1/h; 0 d", "1000; 1.7 1/d; 2 d", "7.3; 0.2 1/d; 0.5 d"),
    "area_of_plate": ("cm2/plate", "33 cm; 30 cm; 2 1/plate", "0.5 m; 300 mm; 1 1/plate", "70 cm; 35 cm; 2 1/plate", "1 cm; 1 cm; 1 1/plate", "12.5 cm; 8 cm; 2 1/plate"),
    "plates_for": ("plates", "6e5 larvae; 0.5 larvae/cm2; 1980 cm2/plate; 0", "60000 spat; 0.2 spat/cm2; 0.198 m2/plate; 5 %", "1 spat; 2 spat/cm2; 100 cm2/plate; 0",
                   "1000 larvae; 1e4 larvae/m2; 100 cm2/plate; 0", "1001 larvae; 1 larvae/cm2; 100 cm2/plate; 10 %"),
    "cells_per_ml": ("cells/mL", "187 cells; 5 squares; 0.1 µL/square; 10", "0 cells; 4 squares; 0.1 µL/square; 1", "912 cells; 9 squares; 1e-4 mL/square; 2.5",
                     "33 cells; 25 squares; 0.004 µL/square; 100", "5 cells; 1 squares; 1 µL/square; 1"),
    "number_per_ml": ("eggs/L", "261 eggs; 5 mL", "0 eggs; 1 mL", "77 eggs; 250 µL", "1432 eggs; 0.01 L", "1 eggs; 1 L"),
    "number_on": ("spat", "96 spat; 48 cm2; 12 m2", "0 spat; 10 cm2; 1 m2", "7 spat; 100 mm2; 1980 cm2", "812 spat; 0.03 m2; 0.4 m2", "5 spat; 20 cm2; 20 cm2"),
    "sperm_to_add": ("mL", "1e5 sperm/mL; 48 L; 3e8 sperm/mL", "1e6 sperm/mL; 500 mL; 2e6 sperm/mL", "1e8 sperm/L; 20 L; 7.5e7 sperm/mL", "1000 sperm/mL; 1 L; 1e9 sperm/mL",
                     "5e4 sperm/mL; 12 L; 6e4 sperm/mL"),
    "to_start": ("animals", "20 animals; 60 %; 40 %; 80 %", "1 animals; 1", "1200 animals; 35 %", "7 animals; 0.1; 0.1", "0 animals; 50 %"),
    "effective_size_of": ("animals", "10 animals; 10 animals", "1 animals; 20 animals", "12 animals; 18 animals", "200 animals; 3 animals", "1 animals; 1 animals"),
    "inbreeding_rise_of": ("%", "20 animals", "1 animals", "3.81 animals", "500 animals", "50 animals"),
    "inbreeding_after": ("%", "20 animals; 5", "1 animals; 3", "3.81 animals; 1", "500 animals; 50", "50 animals; 0"),
    "gonad_index": ("%", "2.1 g; 14 g", "0 g; 3 g", "350 mg; 5 g", "9 g; 10 g", "0.02 g; 900 mg"),
    "mass_at_length": ("g/animal", "1.42e-4 g/mm3/animal; 26 mm", "0.122 g/cm3/animal; 1.07 cm", "1.51e-4 g/mm3/animal; 34 mm", "0.001 g/mm3/animal; 0.4 mm",
                       "2e-4 g/mm3/animal; 0.1 m"),
    "share_low": ("%", "12 animals; 15 animals", "0 eggs; 100 eggs", "30 eggs; 30 eggs", "81; 263", "1; 29"),
    "share_high": ("%", "12 animals; 15 animals", "0 eggs; 100 eggs", "30 eggs; 30 eggs", "81; 263", "1; 29"),
    "ration": ("g", "1.5; 1000 animals; 1.42e-4 g/mm3/animal; 26 mm; 0.075 mm", "0.3; 1 animals; 2e-4 g/mm3/animal; 3 cm; 50 µm",
               "30; 5e5 animals; 1.2e-4 g/mm3/animal; 5 mm; 0.2 mm", "2; 40 animals; 0.15 g/cm3/animal; 80 mm; 1 mm", "1; 10 animals; 0.001 g/mm3/animal; 0.5 mm; 5 µm"),
    "film_carries": ("spat/m2", "0.38 1/d; 2e5 cells/cm2; 724 cells/spat/h; 1 mm", "0.1 1/h; 1e4 cells/cm2; 100 cells/spat/h; 0.4 mm",
                     "1.2 1/d; 500 cells/mm2; 2400 cells/spat/d; 3 mm", "5 1/d; 1e6 cells/cm2; 1e5 cells/spat/h; 10 mm", "0.01 1/d; 10 cells/cm2; 1 cells/spat/h; 0.1 mm"),
    "eggs_in_layer": ("eggs/cm2", "150 µm", "0.2 mm", "30 µm", "1 mm", "230 µm"),
}


def base(text):
    number, _, unit = text.strip().partition(" ")
    return float(number) * SIZES[unit]


def main():
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(["function", "arguments", "value", "unit", "source", "method"])
    for name, (unit, *rows) in ROWS.items():
        for row in rows:
            value = FUNCTIONS[name](*[base(text) for text in row.split(";")]) / SIZES[unit]
            out.writerow([name, row, repr(float(value)), unit, "the source named beside the function", "arithmetic in Python, testdata/independent/trade.py"])


if __name__ == "__main__":
    main()
