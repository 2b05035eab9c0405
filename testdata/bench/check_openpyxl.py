"""The same reading and checking as `spatsheet check`, as a script with openpyxl does it.

    python3 check_openpyxl.py SEASON [--procs 2] [--json FILE]

Reads SEASON/filled/*.xlsx with read_only=True. What the protocol says stands in
SEASON/boxes.json, which `bench make` wrote: this script is given boxes, units, printed
amounts and rules ready made, and does not work out the sheet from protocol, plan and site,
which spatsheet does. It does not look for merged cells and hidden rows either. Prints
readings and findings by level, so that they can be held against spatsheet's.
"""
import argparse
import ast
import collections
import datetime
import glob
import json
import math
import os
import re
import resource
import sys
import time

import openpyxl

SLACK = 1e-9


def close(a, b):
    return abs(a - b) <= SLACK * max(abs(a), abs(b))


def up(x):
    whole = math.floor(x + 0.5)
    return whole if abs(x - whole) <= SLACK * max(1, abs(x)) else math.ceil(x)


FUNCTIONS = {
    "up": up, "down": lambda x: -up(-x), "nearest": lambda x: math.floor(x + 0.5), "abs": abs, "ln": math.log, "exp": math.exp,
    "least": min, "greatest": max, "recount": lambda x, thing: x, "sum": sum, "mean": lambda c: sum(c) / len(c), "largest": max,
    "smallest": min, "first": lambda c: c[0], "last": lambda c: c[-1], "filled": len, "same": lambda a, b: a == b,
    "tally": lambda c, word: c.count(word), "LtE": lambda a, b: a <= b or close(a, b), "GtE": lambda a, b: a >= b or close(a, b),
    "Lt": lambda a, b: a < b and not close(a, b), "Gt": lambda a, b: a > b and not close(a, b), "Eq": close,
    "NotEq": lambda a, b: not close(a, b),
}


class Tolerant(ast.NodeTransformer):
    """a <= b becomes LtE(a, b); a name becomes a look-up in V."""

    def visit_Compare(self, node):
        self.generic_visit(node)
        return ast.Call(ast.Name(type(node.ops[0]).__name__, ast.Load()), [node.left, node.comparators[0]], [])

    def visit_Attribute(self, node):
        return self.look_up(node.value.id + "." + node.attr)

    def visit_Name(self, node):
        return node if node.id in FUNCTIONS else self.look_up(node.id)

    @staticmethod
    def look_up(name):
        return ast.Subscript(ast.Name("V", ast.Load()), ast.Constant(name), ast.Load())


def compiled(text):
    text = re.sub(r"\bas\(", "recount(", re.sub(r"\bis\(", "same(", text)).replace("^", "**")
    tree = Tolerant().visit(ast.parse(text, mode="eval"))
    return compile(ast.fix_missing_locations(tree), text, "eval")


def worth(code, values):
    return eval(code, FUNCTIONS, {"V": values})


class Sheet:
    """One kind of batch, with its formulas compiled once."""

    def __init__(self, told):
        self.values, self.printed, self.parts = told["values"], told["printed"], told["parts"]
        self.steps, self.boxes, self.checks = told["steps"], told["boxes"], told["checks"]
        self.by_key = {b["key"]: b for b in self.boxes}
        self.of_step = collections.defaultdict(list)
        for b in self.boxes:
            self.of_step[b["step"]].append(b)
            if b.get("works_out"):
                b["code"] = compiled(b["works_out"]["text"])
        for c in self.checks:
            c["code"] = compiled(c["rule"]["text"])


GIVEN, BLANK, NOT_DONE, UNREADABLE = "given", "blank", "not done", "unreadable"


ERRORS = frozenset(openpyxl.cell.cell.ERROR_CODES)


class Reading:
    __slots__ = ("state", "number", "text", "raw")

    def __init__(self):
        self.state, self.number, self.text, self.raw = GIVEN, 0.0, "", ""


class Season:
    def __init__(self, folder):
        with open(os.path.join(folder, "boxes.json"), encoding="utf-8") as f:
            told = json.load(f)
        self.units, self.second, self.batches = told["units"], told["second"], told["batches"]
        self.sheets = {kind: Sheet(s) for kind, s in told["sheets"].items()}


LEADING = re.compile(r"^([+\-−]?[0-9][0-9.,'’ \u00a0\u2009\u202f]*(?:[eE][+\-]?[0-9]{1,3})?|[+\-−]?[.,][0-9]+)\s*(.*)$")
THOUSANDS = re.compile(r"^[1-9][0-9]{0,2}[,.][0-9]{3}$")
GROUPED = re.compile(r"^[0-9]{1,3}(?: [0-9]{3})+$")


POWER = r"10(?:\^([+\-−]?[0-9]{1,3})|([⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]{1,3}))"
TIMES_POWER = re.compile("[ \t\u00a0\u202f\u2009]*[×xX*·⋅][ \t\u00a0\u202f\u2009]*" + POWER)
BARE_POWER = re.compile(r"([+\-−]?)" + POWER)
RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺−", "0123456789-+-")


def power_of_ten(text, digits):
    """'4.8 × 10⁷ L' to ('4.8', 'e7', ' L'); None where there is no power of ten, or a doubtful one."""
    number, m = text[:digits], TIMES_POWER.match(text[digits:])
    if m:
        rest, power = text[digits + m.end():], m.groups()
    else:
        m = BARE_POWER.match(text)
        if not m or number.lstrip("+-−") != "10":
            return None
        number, rest, power = m.group(1) + "1", text[m.end():], m.groups()[1:]
    after = rest.strip().translate(RAISED)
    if re.search("[eE]", number) or re.match(r"[.,^'’×*·⋅+\-]|(?!1/)[0-9]", after):
        return None
    return number, "e" + ((power[0] or "") + (power[1] or "")).translate(RAISED), rest


def typed_number(text):
    """'3,5 mL' to (3.5, 'mL', noted, power); ValueError when it is no number."""
    text = text.strip()
    m = LEADING.match(text)
    if not m:
        raise ValueError("not a number")
    number, power, rest = power_of_ten(text, m.end(1)) or (m.group(1), "", m.group(2))
    digits = re.sub("[\u00a0\u2009\u202f'’]", " ", number.strip()).replace("−", "-")
    noted = False
    mantissa, exponent = digits, ""
    if e := re.search("[eE]", digits):
        mantissa, exponent = digits[:e.start()], digits[e.start():]
    sign = ""
    if mantissa[:1] in "+-":
        sign, mantissa = mantissa[0], mantissa[1:]
    commas, points = mantissa.count(","), mantissa.count(".")
    mark = ""
    if commas and points:
        mark = mantissa[max(mantissa.rfind(","), mantissa.rfind("."))]
        if mantissa.count(mark) > 1:
            raise ValueError("two decimal marks")
    elif commas + points == 1:
        if THOUSANDS.match(mantissa):
            raise ValueError("two ways")
        mark = "," if commas else "."
    whole, fraction = mantissa, ""
    if mark:
        whole, fraction = mantissa.split(mark, 1)
        noted = mark == ","
        if " " in fraction:
            raise ValueError("a blank behind the mark")
    whole = whole.replace(",", " ").replace(".", " ")
    if " " in whole:
        if not GROUPED.match(whole):
            raise ValueError("blanks")
        whole, noted = whole.replace(" ", ""), True
    return float(sign + (whole or "0") + ("." + fraction if fraction else "") + exponent + power), rest.strip(), noted, power or exponent


def half_last_digit(raw):
    try:
        if typed_number(raw)[3]:
            return 0
    except ValueError:
        pass
    raw = raw.replace(",", ".", 1)
    digits = re.match(r"[0-9]*", raw.split(".", 1)[1]).end() if "." in raw else 0
    return 0.5 * 10 ** -digits


def excel_epoch(x):
    return datetime.datetime(1899, 12, 30) + datetime.timedelta(seconds=round(x * 86400))


class Checker:
    """One workbook."""

    def __init__(self, season, name):
        self.season, self.levels = season, collections.Counter()
        book = openpyxl.load_workbook(name, read_only=True)
        try:
            self.read(book)
        finally:
            book.close()
        self.check()

    def find(self, level):
        self.levels[level] += 1

    def read(self, book):
        """Finds every named cell, going through each sheet once."""
        wanted, self.named = collections.defaultdict(dict), {}
        for d in book.defined_names.definedName:
            sheet, _, ref = d.attr_text.partition("!")
            m = re.match(r"^\$([A-Z]+)\$([0-9]+)$", ref)
            if m:
                column = openpyxl.utils.column_index_from_string(m.group(1))
                rows = wanted[sheet.strip("'").replace("''", "'")]
                rows.setdefault(int(m.group(2)), []).append((column - 1, d.name))
        for sheet, rows in wanted.items():
            if sheet in book.sheetnames and sheet != "_manifest":
                for n, row in enumerate(book[sheet].iter_rows(max_row=max(rows), values_only=True), 1):
                    for column, name in rows.get(n, ()):
                        if column < len(row) and row[column] is not None:
                            self.named[name] = row[column]
        self.manifest(book["_manifest"])

    def manifest(self, page):
        self.names, names = [], []
        for row in page.iter_rows(values_only=True):
            if row[0] == "batch":
                self.batch = self.season.batches[row[1]]
            elif row[0] == "digest":
                digest = row[1]
            elif row[0] == "names":
                names.append(ast.literal_eval(row[1]))
            elif row[0] == "name":
                names.append(row[1] + "\n")
        for line in "".join(names).splitlines():
            self.names.append(line.split())
        if digest != self.batch["digest"]:
            raise ValueError("the workbook is of another sheet: %s" % digest)
        self.sheet = self.season.sheets[self.batch["sheet"]]
        self.start = datetime.datetime.fromisoformat(self.batch["start"])

    def check(self):
        cells = {of: self.named.get(name) for kind, name, of, _ in self.names if kind == "entry"}
        self.readings = {}
        for box in self.sheet.boxes:
            self.readings[box["key"]] = self.reading(box, cells.get(box["key"]))
        self.known()
        self.printed()
        self.required()
        self.signatures()
        self.columns()
        self.amounts_used()
        self.rules()

    def reading(self, box, value):
        r = Reading()
        text = value.strip() if isinstance(value, str) else None
        if value is None or text == "":
            r.state = BLANK
        elif text is not None and text.startswith("=") or isinstance(value, bool) or text in ERRORS:
            self.unreadable(r)
        elif text is not None and text.lower() in ("nd", "n.d.", "n/d", "not done"):
            r.state = NOT_DONE
        else:
            r.raw = text if text is not None else repr(value)
            self.value(box, value, text, r)
        return r

    def unreadable(self, r):
        r.state = UNREADABLE
        self.find("error")

    def value(self, box, value, text, r):
        kind = box["kind"]
        if kind in ("number", "count"):
            self.number(box, value, text, r)
        elif kind == "choice":
            for c in box["choices"]:
                if text is not None and c.lower() == text.lower():
                    r.text = c
                    if c in box.get("alarming", ()):
                        self.find("warning")
                    return
            self.unreadable(r)
        elif kind in ("time", "date"):
            self.clock(box, value, text, r)
        elif isinstance(value, (datetime.datetime, datetime.time)):
            self.unreadable(r)
        else:
            r.text = text if text is not None else str(value)

    def number(self, box, value, text, r):
        if text is not None:
            try:
                r.number, unit, noted, _ = typed_number(text)
                if unit and unit != box["unit"]:
                    have, want = self.season.units[unit], self.season.units[box["unit"]]
                    if have["dimension"] != want["dimension"]:
                        raise ValueError("another kind of quantity")
                    r.number, noted = (r.number * have["scale"] + have["offset"] - want["offset"]) / want["scale"], True
            except (ValueError, KeyError):
                return self.unreadable(r)
            if noted:
                self.find("note")
        elif isinstance(value, (int, float)):
            r.number = float(value)
        else:
            return self.unreadable(r)
        if not math.isfinite(r.number):
            return self.unreadable(r)
        if box["kind"] == "count" and (r.number < 0 or r.number != round(r.number)):
            self.find("error")
        elif "range" in box and not box["range"][0] <= r.number <= box["range"][1]:
            self.find("warning")

    def clock(self, box, value, text, r):
        when = value
        if text is not None:
            when = self.typed_clock(text, box)
        elif isinstance(value, datetime.time):
            when = self.nearest(value, box)
        elif isinstance(value, (int, float)):
            when = None
        if when is None:
            return self.unreadable(r)
        when += datetime.timedelta(microseconds=500_000)
        r.number = (when.replace(microsecond=0) - datetime.datetime(1970, 1, 1)).total_seconds()
        if not box.get("any_time"):
            hours = (when.replace(microsecond=0) - self.start).total_seconds() / 3600
            near = box.get("not_before", -90 * 24) - SLACK <= hours <= box.get("not_after", 800 * 24) + SLACK
            if not near or not -90 * 24 <= hours <= 800 * 24:
                self.find("warning")

    def typed_clock(self, text, box):
        for form in ("%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"):
            try:
                return datetime.datetime.strptime(text, form)
            except ValueError:
                pass
        try:
            return self.nearest(datetime.datetime.strptime(text, "%H:%M").time(), box)
        except ValueError:
            return None

    def nearest(self, clock, box):
        planned = self.start + datetime.timedelta(hours=self.sheet.steps[box["step"]]["hours"])
        days = (planned.date() + datetime.timedelta(d) for d in (0, -1, 1))
        return min((datetime.datetime.combine(d, clock) for d in days), key=lambda t: abs(t - planned))

    def known(self):
        """Everything that a formula may ask for, in base units."""
        self.have = dict(self.sheet.values)
        columns = {}
        for box in self.sheet.boxes:
            r = self.readings[box["key"]]
            name = box.get("column") or box["key"]
            if box.get("column"):
                columns.setdefault(name, [])
            if r.state != GIVEN:
                continue
            value = self.base(box, r)
            if box.get("column"):
                columns[name].append(value)
            else:
                self.have[name] = value
        self.have.update(columns)

    def base(self, box, r):
        if box["kind"] in ("number", "count"):
            u = self.season.units[box["unit"]]
            return u["scale"] * r.number + u["offset"]
        if box["kind"] in ("time", "date"):
            return r.number * self.season.second
        return r.text

    def ready(self, formula):
        need_rows = formula["rows"] or ()
        return all(n in self.have and (self.have[n] != [] or n not in need_rows) for n in formula["names"])

    def printed(self):
        """Amounts that were printed must stand there unchanged."""
        seen = collections.Counter()
        for kind, name, of, row in self.names:
            if kind == "entry":
                if name not in self.named and of not in self.sheet.by_key:
                    self.find("error")
                continue
            want = self.sheet.printed[of]
            if kind == "part":
                want = self.sheet.parts[of][seen[of]]
                seen[of] += 1
            value = self.named.get(name)
            if not isinstance(value, (int, float)) or not close(value, want):
                self.find("error")

    def required(self):
        for boxes in self.sheet.of_step.values():
            if self.all_blank(boxes):
                self.find("error")
                continue
            if self.not_done(boxes):
                self.find("warning")
                for b in boxes:
                    if b["key"].startswith("sign.") and self.readings[b["key"]].state == BLANK:
                        self.required_box(b)
                continue
            tables = collections.defaultdict(list)
            for b in boxes:
                if b.get("table"):
                    tables[b["table"]].append(b)
                else:
                    self.required_box(b)
            for table in tables.values():
                self.required_table(table)

    def all_blank(self, boxes):
        return all(self.readings[b["key"]].state == BLANK for b in boxes)

    def not_done(self, boxes):
        """ND in every required box, nothing else but initials; one box alone is told as itself."""
        last = {}
        for b in boxes:
            if b.get("table") and self.readings[b["key"]].state == NOT_DONE:
                last[b["table"]] = b["row"]
        wanted = 0
        for b in boxes:
            state, table = self.readings[b["key"]].state, b.get("table")
            ended = b.get("partial") and table in last and b["row"] > last[table]
            if b["key"].startswith("sign."):
                continue
            if state == NOT_DONE:
                wanted += bool(b.get("required"))
            elif state != BLANK or (b.get("required") and not ended):
                return False
        return wanted > 1

    def required_box(self, box):
        if box.get("required"):
            state = self.readings[box["key"]].state
            if state == BLANK:
                self.find("error")
            elif state == NOT_DONE:
                self.find("warning")

    def required_table(self, boxes):
        if self.all_blank(boxes):
            if any(b.get("required") for b in boxes):
                self.find("error")
            return
        if self.not_done(boxes):
            return self.find("warning")
        last = max(b["row"] for b in boxes if self.readings[b["key"]].state != BLANK)
        for b in boxes:
            if not b.get("partial") or b["row"] <= last:
                self.required_box(b)

    def signatures(self):
        for step in self.sheet.steps:
            if step["signed"] < 2:
                continue
            by, checked = (self.readings["sign.%s.%s" % (step["id"], who)] for who in ("by", "checked"))
            if by.state == checked.state == GIVEN and by.text.lower() == checked.text.lower():
                self.find("error")

    def columns(self):
        """Trends from row to row, and the spread of replicate counts."""
        columns = collections.defaultdict(list)
        for box in self.sheet.boxes:
            r = self.readings[box["key"]]
            if box.get("column") and r.state == GIVEN:
                columns[box["column"]].append((box, r))
        for column in columns.values():
            trend = column[0][0].get("trend")
            for (_, last), (_, now) in zip(column, column[1:]):
                if trend == "never up" and now.number > last.number:
                    self.find("error" if now.number > last.number * 1.1 else "warning")
                elif trend == "never down" and now.number < last.number:
                    self.find("error")
            if column[0][0].get("replicates"):
                self.spread(columns, column)

    def spread(self, columns, column):
        others = [c for name, c in columns.items() if c[0][0]["table"] == column[0][0]["table"] and c[0][0]["kind"] == "number"]
        counts = [int(r.number) for _, r in column]
        if len(counts) < 3 or any(len({r.number for _, r in c}) > 1 for c in others):
            return
        mean = sum(counts) / len(counts)
        if mean <= 0 or max(counts) > 1e7 or min(counts) < 0 or sum(counts) > 1e7:
            return
        sd = math.sqrt(sum((c - mean) ** 2 for c in counts) / (len(counts) - 1))
        if 100 * sd / mean > 2 * 100 / math.sqrt(mean):
            self.find("warning")

    def amounts_used(self):
        """What was used against what was planned, and totals worked out again."""
        for box in self.sheet.boxes:
            r = self.readings[box["key"]]
            if r.state != GIVEN:
                continue
            if "planned" in box and abs(r.number - box["planned"]) > box.get("tolerance", 0) * box["planned"] * (1 + 1e-9):
                self.find("warning")
            if "code" in box and self.ready(box["works_out"]):
                self.worked_out(box, r)

    def worked_out(self, box, r):
        try:
            base = worth(box["code"], self.have)
        except ArithmeticError:
            return self.find("warning")
        u = self.season.units[box["unit"]]
        want = (base - u["offset"]) / u["scale"]
        off = abs(r.number - want)
        if off > 0.01 * abs(want) and off > half_last_digit(r.raw):
            self.find("error" if off > 0.1 * abs(want) else "warning")

    def rules(self):
        for c in self.sheet.checks:
            if c.get("each"):
                self.row_rule(c)
            elif self.ready(c["rule"]):
                self.rule(c, self.have)

    def rule(self, c, values):
        try:
            if not worth(c["code"], values):
                self.find(c["level"])
        except (ArithmeticError, IndexError):
            self.find("warning")

    def row_rule(self, c):
        row = 0
        while True:
            row += 1
            values = dict(self.sheet.values)
            lacks = False
            for name in c["rule"]["names"]:
                if not name.startswith(c["each"] + "."):
                    lacks = lacks or name not in self.have
                    values[name] = self.have.get(name)
                    continue
                key = "%s.%d.%s" % (c["each"], row, name.split(".", 1)[1])
                if key not in self.readings:
                    return
                r = self.readings[key]
                lacks = lacks or r.state != GIVEN
                values[name] = self.base(self.sheet.by_key[key], r)
            if not lacks:
                self.rule(c, values)


SEASON = None


def begin(folder):
    global SEASON
    SEASON = Season(folder)


def one(name):
    c = Checker(SEASON, name)
    return os.path.basename(name), len(c.readings), dict(c.levels)


def main():
    options = argparse.ArgumentParser()
    options.add_argument("folder")
    options.add_argument("--procs", type=int, default=1)
    options.add_argument("--json", help="write readings and findings of each file there")
    options = options.parse_args()
    names = sorted(glob.glob(os.path.join(options.folder, "filled", "*.xlsx")))
    if not names:
        sys.exit("there is no workbook in %s/filled" % options.folder)
    began = time.perf_counter()
    if options.procs > 1:
        import multiprocessing
        with multiprocessing.Pool(options.procs, begin, [options.folder]) as pool:
            results = pool.map(one, names, chunksize=8)
    else:
        begin(options.folder)
        results = [one(name) for name in names]
    took = time.perf_counter() - began
    total = collections.Counter()
    for _, n, levels in results:
        total.update(levels, readings=n)
    peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    print("openpyxl %s, Python %s: %d files, %d readings, %d errors, %d warnings, %d notes, %.3f s, peak of one process %d kB, %d processes" % (
        openpyxl.__version__, sys.version.split()[0], len(names), total["readings"], total["error"], total["warning"], total["note"], took, peak, options.procs))
    if options.json:
        with open(options.json, "w", encoding="utf-8") as f:
            json.dump({name: levels for name, _, levels in results}, f, indent=1)


if __name__ == "__main__":
    main()
