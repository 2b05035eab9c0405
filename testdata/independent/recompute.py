"""Recomputes every amount of a printed bench sheet from the sheet's own text.

    pdftotext -raw sheet.pdf - | python3 recompute.py

Shares nothing with spatsheet but the page: settings come from "Settings of this batch",
formulas from WORKING. Prints each amount; exits 1 when one disagrees.
"""
import math
import re
import sys

# The unit table is this script's own: litre, gram, hour and one counted thing are 1.
UNITS = {
    "L": 1, "mL": 1e-3, "µL": 1e-6, "cm": 0.1, "cm²": 0.01, "m": 10, "m²": 100, "g": 1, "mg": 1e-3, "kg": 1e3,
    "d": 24, "h": 1, "min": 1 / 60, "s": 1 / 3600, "%": 0.01, "": 1,
}
FUNCTIONS = {"greatest": max, "least": min, "ln": math.log, "exp": math.exp, "up": math.ceil, "down": math.floor}


def factor(unit):
    unit = re.sub(r"^per ", "/", unit.strip())
    over, *under = unit.split("/")
    value = UNITS.get(over.strip(), 1)
    for u in under:
        value /= UNITS.get(u.strip(), 1)
    return value


def quantity(text):
    """'2 400 000 eggs' or '4.8e9 sperm' to a number in base units."""
    m = re.match(r"^(-?[0-9][0-9 \u202f]*(?:\.[0-9]+)?(?:e-?[0-9]+)?)(?: ?(.*))?$", text.strip())
    if not m:
        raise ValueError("not a quantity: %r" % text)
    number = float(re.sub(r"[ \u202f]", "", m.group(1)))
    return number * factor(m.group(2) or "")


def evaluate(formula, values):
    names = re.compile(r"[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?")

    def put(m):
        return m.group(0) if m.group(0) in FUNCTIONS else "(%r)" % values[m.group(0)]

    return eval(names.sub(put, formula).replace("^", "**"), {"__builtins__": {}}, FUNCTIONS)


def read(lines):
    """Settings: "Females females 18 animals plan". Amounts: lines that begin with
    "id = formula", numbers, exact, rounded; a line that begins otherwise goes on with the
    formula or the numbers before it."""
    settings, amounts, field, working = {}, [], None, False
    for line in lines:
        line = line.replace("\f", "").strip()
        working = working or line == "WORKING"
        m = re.match(r"^.* ([a-z][a-z0-9_]*(?:\.[a-z0-9_]+)?) (-?[0-9][^ ]*(?: .*?)?) (?:plan|site|species|protocol)(?: |$)", line)
        if m and not working:
            settings[m.group(1)] = quantity(m.group(2))
        m = re.match(r"^([a-z][a-z0-9_]*(?:\.[a-z0-9_]+)?) = (.*)$", line)
        if m and working:
            amounts.append({"id": m.group(1), "formula": m.group(2)})
            field = "formula"
            continue
        m = re.match(r"^(numbers|exact|rounded) (.*)$", line)
        if m and amounts:
            field = m.group(1)
            amounts[-1][field] = m.group(2)
        elif field in ("formula", "numbers", "exact"):
            amounts[-1][field] += " " + line
    for a in amounts:
        a["exact"], a["rounding"] = a["exact"].split(" | ")
        a["rounded"], _, a["parts"] = a["rounded"].partition(" | ")
    return settings, amounts


def agrees(a, values):
    exact = evaluate(a["formula"], values)
    printed, rounded = quantity(a["exact"]), quantity(a["rounded"])
    if abs(exact - printed) > 1e-5 * abs(exact):
        return "the formula gives %g, exact is printed as %g" % (exact, printed)
    if a["rounding"].startswith("up") and rounded < exact * (1 - 1e-9):
        return "rounded up, yet %g is below %g" % (rounded, exact)
    if abs(rounded - exact) > 0.1 * abs(exact) and not a["rounding"].endswith("whole") and "to whole" not in a["rounding"]:
        return "rounded by more than a tenth"
    if "to whole" in a["rounding"] and abs(rounded - exact) >= 1:
        return "rounded by one or more"
    if a["parts"]:  # "1 × 14 + 2 × 13 L"
        groups = a["parts"].split(" + ")
        unit = re.sub(r"^[0-9 \u202f.×-]+", "", groups[-1])
        total = 0
        for g in groups:
            times, each = g.split(" × ")
            total += quantity(times) * quantity(re.match(r"[0-9 \u202f.]+", each).group(0).strip() + " " + unit)
        if abs(total - rounded) > 1e-9 * rounded:
            return "the parts add up to %g, not %g" % (total, rounded)
    return None


def main():
    values, amounts = read(sys.stdin.read().splitlines())
    # An amount may stand on the page before one that it is computed from.
    for a in amounts:
        values[a["id"]] = quantity(a["rounded"])
    faults = 0
    for a in amounts:
        fault = agrees(a, values)
        print("%-20s %-28s %s" % (a["id"], a["rounded"], fault or "agrees"))
        faults += fault is not None
    print("%d amounts, %d disagree" % (len(amounts), faults))
    sys.exit(1 if faults or not amounts else 0)


if __name__ == "__main__":
    main()
