"""Recomputes every amount of a printed bench sheet from the sheet's own text.

    pdftotext -raw sheet.pdf - | python3 recompute.py

Shares nothing with spatsheet but the page: settings come from "Settings of this batch",
formulas from WORKING; the functions of the trade are written anew in trade.py, and the
arithmetic printed inside each call is worked out too. Prints each amount; exits 1 when one
disagrees.
"""
import math
import re
import sys

import trade

# The unit table is this script's own: litre, gram, hour and one counted thing are 1.
UNITS = {
    "L": 1, "mL": 1e-3, "µL": 1e-6, "cm³": 1e-3, "mm³": 1e-6, "m": 10, "cm": 0.1, "mm": 0.01, "µm": 1e-5, "m²": 100, "cm²": 0.01, "mm²": 1e-4,
    "kg": 1e3, "g": 1, "mg": 1e-3, "µg": 1e-6, "mol": 1, "mmol": 1e-3, "µmol": 1e-6,
    "d": 24, "h": 1, "min": 1 / 60, "s": 1 / 3600, "kn": 1852 * 10, "°C": 1, "K": 1, "PSU": 1, "pH": 1, "%": 0.01, "": 1,
}
COUNTED = set("egg eggs sperm larva larvae spat cell cells animal animals plate plates beaker beakers tank tanks flask flasks "
              "carboy carboys vessel vessels rack racks square squares person persons tube tubes drop drops division divisions "
              "pass passes".split())
FUNCTIONS = {"greatest": max, "least": min, "ln": math.log, "exp": math.exp, "up": math.ceil, "down": math.floor,
             "nearest": round, "abs": abs}
FUNCTIONS.update(trade.FUNCTIONS)


def one(unit):
    """The size of one unit without divisors; powers above the line stand as in cm²."""
    if unit in COUNTED:
        return 1
    return UNITS[unit]  # an unknown unit must not pass for 1


def factor(unit):
    unit = re.sub(r"^per ", "/", unit.strip())
    over, *under = unit.split("/")
    value = 1
    for u in over.strip().split("·"):
        value *= one(u)
    for u in under:
        value /= one(u.strip())
    return value


def quantity(text):
    """'2 400 000 eggs' or '4.8e9 sperm' to a number in base units."""
    power = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
    text = re.sub(r"[ \u00a0]×[ \u00a0]10([⁰¹²³⁴⁵⁶⁷⁸⁹⁻]+)", lambda m: "e" + m.group(1).translate(power), text.strip())
    m = re.match(r"^(-?[0-9][0-9 \u202f]*(?:\.[0-9]+)?(?:e-?[0-9]+)?)(?: ?(.*))?$", text)
    if not m:
        raise ValueError("not a quantity: %r" % text)
    number = float(re.sub(r"[ \u202f]", "", m.group(1)))
    return number * factor(m.group(2) or "")


def choice(formula):
    """a ? b : c, as Python writes it; the test binds as far as the formula goes."""
    if " ? " not in formula:
        return formula
    test, rest = formula.split(" ? ", 1)
    yes, no = rest.split(" : ", 1)
    return "((%s) if (%s) else (%s))" % (yes, test, choice(no))


def evaluate(formula, values):
    names = re.compile(r"[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?")

    def put(m):
        return m.group(0) if m.group(0) in FUNCTIONS else "(%r)" % values[m.group(0)]

    formula = re.sub(r"\bas\(", "(", re.sub(r', "[a-z]+"\)', ")", formula))  # as(5, "egg") counts 5 as eggs
    text = names.sub(put, formula).replace("^", "**")
    return eval(choice(text), {"__builtins__": {}}, FUNCTIONS)


def put_in(text):
    """'1 °C/h × 400 L ÷ (5 × 2 K)' to a number: the quantities in base units, the signs as Python has them."""
    number = r"[0-9][0-9\u202f ]*(?:\.[0-9]+)?(?:e-?[0-9]+)?(?:[ \u00a0]×[ \u00a0]10[⁰¹²³⁴⁵⁶⁷⁸⁹⁻]+)?"
    unit = r"(?: ?(?:%|per [a-z]+|[A-Za-zµ°][A-Za-zµ°²³·]*(?:/[A-Za-zµ°²³]+)*)(?![A-Za-z_(]))?"
    text = re.sub(number + unit, lambda m: " (%r) " % quantity(m.group(0).strip()), text)
    return eval(text.translate(str.maketrans({"×": "*", "÷": "/", "−": "-"})).replace("^", "**"), {"__builtins__": {}}, FUNCTIONS)


def read(lines):
    """Settings: "Females females 18 animals plan". Amounts: lines that begin with
    "id = formula", numbers, exact, rounded; a line that begins otherwise goes on with the
    formula or the numbers before it."""
    settings, amounts, field, part = {}, [], None, None
    for line in lines:
        line = line.replace("\f", "").strip()
        if line in ("Settings of this batch", "Sources", "WORKING"):
            part = line
        m = re.match(r"^(?:.* )?([a-z][a-z0-9_]*(?:\.[a-z0-9_]+)?) (-?[0-9][^ ]*(?: .*?)??) (?:plan|site|species|protocol)(?: |$)", line)
        if m and part == "Settings of this batch":
            settings[m.group(1)] = quantity(m.group(2))
        m = re.match(r"^([a-z][a-z0-9_]*(?:\.[a-z0-9_]+)?) =(?: (.*))?$", line)
        if m and part == "WORKING" and field in (None, "rounded"):
            amounts.append({"id": m.group(1), "formula": m.group(2) or ""})
            field = "formula"
            continue
        m = re.match(r"^(numbers|inside|exact|rounded) (.*)$", line)
        if m and amounts:
            field = m.group(1)
            if field == "inside":  # one for each function called
                field += str(sum(key.startswith("inside") for key in amounts[-1]))
            amounts[-1][field] = m.group(2)
        elif field and (field in ("formula", "numbers", "exact") or field.startswith("inside")) or (field == "rounded" and re.match(r"^[0-9+×]", line)):
            amounts[-1][field] += " " + line
        else:
            field = None  # the label of the next amount
    for a in amounts:
        a["exact"], a["rounding"] = a["exact"].split(" | ")
        a["rounded"], _, a["parts"] = a["rounded"].partition(" | ")
    return settings, amounts


def inside(a, exact):
    """Follows the arithmetic printed inside each call. It must give what trade.py gives, which is
    known here where the call is all of the formula."""
    for key in [k for k in a if k.startswith("inside")]:
        name, words, numbers = a[key].split(" = ", 2)
        worked = put_in(numbers)
        if re.fullmatch(r"%s\([^()]*(?:\([^()]*(?:\([^()]*\))?[^()]*\)[^()]*)*\)" % name, a["formula"]) and abs(worked - exact) > 1e-5 * abs(exact):
            return "the arithmetic inside %s gives %g, the formula %g" % (name, worked, exact)
    return None


def agrees(a, values):
    exact = evaluate(a["formula"], values)
    printed, rounded = quantity(a["exact"]), quantity(a["rounded"])
    if abs(exact - printed) > 1e-5 * abs(exact):
        return "the formula gives %g, exact is printed as %g" % (exact, printed)
    fault = inside(a, exact)
    if fault:
        return fault
    if a["rounding"].startswith("up") and rounded < exact * (1 - 1e-9):
        return "rounded up, yet %g is below %g" % (rounded, exact)
    if abs(rounded - exact) > 0.1 * abs(exact) and " whole" not in a["rounding"]:
        return "rounded by more than a tenth"
    whole = factor(re.sub(r"^-?[0-9 \u202f.]+(?:e-?[0-9]+)?", "", a["rounded"]))
    if "to whole" in a["rounding"] and abs(rounded - exact) >= whole:
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
