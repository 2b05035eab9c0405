"""Works out a season's survival again from its CSV files.

    python3 season.py FOLDER

FOLDER holds the files that `spatsheet season` writes. Shares nothing with spatsheet but
those: readings.csv and planned.csv give the numbers, stages.csv the formulas. Counts in
and out, survival and note of every stage, survival pooled over the season and the counts
of batches.csv are worked out again and compared. Prints what was compared; exits 1 when
anything disagrees, or when there is nothing to compare.
"""
import csv
import datetime
import math
import os
import re
import sys

# Only what formulas of stages meet: counts are 1, and what is written in other units
# becomes litres, square centimetres, hours.
UNITS = {"%": 0.01, "1": 1, "": 1, "mL": 1e-3, "µL": 1e-6, "L": 1, "cm2": 1, "mm2": 0.01, "m2": 1e4, "cm": 1, "mm": 0.1,
         "m": 100, "µm": 1e-4, "h": 1, "d": 24, "min": 1 / 60, "g": 1, "mg": 1e-3, "kg": 1e3, "°C": 1, "K": 1, "PSU": 1, "pH": 1}
FORMULA = "'=+-@\t\r\n"


def factor(unit):
    """What one of a unit is in this script's own units; a counted thing is one."""
    over, *under = unit.split("/")
    value = 1.0
    for part in over.split("*"):
        value *= UNITS.get(part, 1)
    for part in under:
        value /= UNITS.get(part, 1)
    return value


def rows(folder, name):
    with open(os.path.join(folder, name + ".csv"), encoding="utf-8", newline="") as f:
        return list(csv.DictReader(f, strict=True))


def plain(text):
    """A text without the apostrophe that keeps spreadsheets from taking it for a formula."""
    if text.startswith("'") and text.lstrip("'")[:1] and text.lstrip("'")[0] in FORMULA:
        return text[1:]
    return text


class Missing(Exception):
    """A reading that a formula needs is not there."""


class Batch:
    """The numbers of one batch by their names in formulas."""

    def __init__(self):
        self.single, self.columns, self.words = {}, {}, {}

    def plan(self, row):
        self.single[row["id"]] = float(row["value"]) * factor(row["unit"])

    def read(self, row):
        parts = plain(row["key"]).split(".")
        column = parts[0] + "." + parts[2] if len(parts) == 3 and parts[1].isdigit() else None
        if column:
            self.columns.setdefault(column, [])
            self.words.setdefault(column, [])
        if row["state"] != "given":
            return
        if row["value"] == "":
            if column:
                self.words[column].append(plain(row["text"]))
            else:
                self.words[row["key"]] = plain(row["text"])
            return
        number = float(row["value"]) * factor(row["unit"])
        if column:
            self.columns[column].append(number)
        else:
            self.single[row["key"]] = number

    def name(self, name):
        if name not in self.single:
            raise Missing(name)
        return self.single[name]

    def column(self, name):
        if not self.columns.get(name):
            raise Missing(name)
        return self.columns[name]


TOKEN = re.compile(r'\s*(?:(\d+(?:\.\d+)?(?:e[+-]?\d+)?)|([A-Za-z_][A-Za-z0-9_.]*)|"([^"]*)"|(==|<=|>=|[-+*/^(),<>?:]))')
OVER_COLUMN = {"sum": math.fsum, "mean": lambda c: math.fsum(c) / len(c), "first": lambda c: c[0], "last": lambda c: c[-1],
               "largest": max, "smallest": min}
OVER_NUMBERS = {"least": min, "greatest": max, "up": lambda x: math.ceil(x - 1e-9), "down": lambda x: math.floor(x + 1e-9),
                "nearest": lambda x: math.floor(x + 0.5), "abs": abs, "ln": math.log, "exp": math.exp}


class Formula:
    """A reader of the protocols' formulas: + - * / ^, functions, sums over columns."""

    def __init__(self, text, batch):
        self.tokens, self.at, self.batch = [], 0, batch
        position = 0
        while position < len(text.rstrip()):
            m = TOKEN.match(text, position)
            if not m:
                raise SyntaxError(f"cannot read {text!r} at {position}")
            self.tokens.append(m.groups())
            position = m.end()

    def value(self):
        x = self.sums()
        if self.at != len(self.tokens):
            raise SyntaxError(f"something is left of {self.tokens!r}")
        return x

    def sign(self, signs):
        if self.at < len(self.tokens) and self.tokens[self.at][3] is not None and self.tokens[self.at][3] in signs:
            self.at += 1
            return self.tokens[self.at - 1][3]
        return None

    def sums(self):
        x = self.products()
        while s := self.sign(["+", "-"]):
            y = self.products()
            x = x + y if s == "+" else x - y
        return x

    def products(self):
        x = self.powers()
        while s := self.sign(["*", "/"]):
            y = self.powers()
            x = x * y if s == "*" else x / y
        return x

    def powers(self):
        if self.sign(["-"]):
            return -self.powers()
        x = self.single()
        return x ** self.powers() if self.sign(["^"]) else x

    def single(self):
        number, name, _, _ = self.tokens[self.at]
        if self.sign(["("]):
            x = self.sums()
            self.close()
            return x
        self.at += 1
        if number is not None:
            return float(number)
        if name is None:
            raise SyntaxError(f"a value is wanted in {self.tokens!r}")
        return self.call(name) if self.sign(["("]) else self.batch.name(name)

    def close(self):
        if not self.sign([")"]):
            raise SyntaxError(f") is wanted in {self.tokens!r}")

    def call(self, function):
        if function in OVER_COLUMN or function in ("filled", "tally"):
            column = self.tokens[self.at][1]
            self.at += 1
            if function == "tally":
                self.sign([","])
                word = self.tokens[self.at][2]
                self.at += 1
                self.close()
                return float(self.batch.words.get(column, []).count(word))
            self.close()
            if function == "filled":
                return float(len(self.batch.columns.get(column, [])) or len(self.batch.words.get(column, [])))
            return OVER_COLUMN[function](self.batch.column(column))
        arguments = [self.sums()]
        while self.sign([","]):
            if self.tokens[self.at][2] is not None:  # as(x, "larva"): the same number of another thing
                self.at += 1
                continue
            arguments.append(self.sums())
        self.close()
        return arguments[0] if function == "as" else OVER_NUMBERS[function](*arguments)


class Comparison:
    def __init__(self):
        self.done, self.wrong = 0, []

    def number(self, what, got, want):
        """want is worked out here, None for none; got is the text of the file's cell."""
        self.done += 1
        same = got == "" if want is None else got != "" and math.isclose(float(got), want, rel_tol=1e-9, abs_tol=1e-12)
        if not same:
            self.wrong.append(f"{what}: the file says {got or 'nothing'}, worked out {want}")

    def text(self, what, got, want):
        self.done += 1
        if got != want:
            self.wrong.append(f"{what}: the file says {got!r}, expected {want!r}")


def count(formula, unit, batch):
    try:
        return Formula(plain(formula), batch).value() / factor(unit)
    except Missing:
        return None


def stages(folder, batches, c):
    """Compares stages.csv; gives what is pooled."""
    pooled = {}
    for row in rows(folder, "stages"):
        where = f"{row['batch']} {row['stage']}"
        batch = batches[row["batch"]]
        before, after = count(row["in_from"], row["unit_in"], batch), count(row["out_from"], row["unit_out"], batch)
        survival, note = None, ""
        if before is None or after is None:
            note = "a count is missing"
        elif before <= 0:
            note = "nothing went in"
        else:
            survival = after / before
            if after > before * (1 + 1e-9):
                note = "more came out than went in: see the findings"
        c.number(where + " count_in", row["count_in"], before)
        c.number(where + " count_out", row["count_out"], after)
        c.number(where + " survival", row["survival"], survival)
        c.text(where + " note", plain(row["note"]), note)
        if survival is not None and not note:
            key = (row["protocol"], row["species"], row["stage"])
            entry = pooled.setdefault(key, [0, [], []])
            entry[0] += 1
            entry[1].append(before)
            entry[2].append(after)
    return pooled


def survival(folder, pooled, c):
    seen = set()
    for row in rows(folder, "survival"):
        key = (row["protocol"], row["species"], row["stage"])
        where = " ".join(key)
        seen.add(key)
        n, before, after = pooled.get(key, [0, [], []])
        c.number(where + " batches", row["batches"], n)
        c.number(where + " count_in", row["count_in"], math.fsum(before))
        c.number(where + " count_out", row["count_out"], math.fsum(after))
        c.number(where + " survival", row["survival"], math.fsum(after) / math.fsum(before) if before else None)
    c.text("stages pooled", sorted(seen), sorted(pooled))


def batch_counts(folder, readings, c):
    levels = {}
    for row in rows(folder, "findings"):
        levels[row["batch"], row["level"]] = levels.get((row["batch"], row["level"]), 0) + 1
    for row in rows(folder, "batches"):
        own = [r for r in readings if r["batch"] == row["batch"]]
        c.number(row["batch"] + " boxes", row["boxes"], len(own))
        c.number(row["batch"] + " readings_given", row["readings_given"], sum(r["state"] == "given" for r in own))
        c.number(row["batch"] + " errors", row["errors"], levels.get((row["batch"], "error"), 0))
        c.number(row["batch"] + " warnings", row["warnings"], levels.get((row["batch"], "warning"), 0))
        datetime.datetime.strptime(row["start"], "%Y-%m-%dT%H:%M")


def main(folder):
    batches = {}
    for row in rows(folder, "planned"):
        batches.setdefault(row["batch"], Batch()).plan(row)
    readings = rows(folder, "readings")
    for row in readings:
        batches.setdefault(row["batch"], Batch()).read(row)
    c = Comparison()
    survival(folder, stages(folder, batches, c), c)
    batch_counts(folder, readings, c)
    for line in c.wrong:
        print(line)
    print(f"{len(batches)} batches, {c.done} figures compared, {len(c.wrong)} disagree")
    return 1 if c.wrong or not c.done else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
