"""Works out again every number of a season report's tables from the CSV files beside it.

    python3 report.py FOLDER

FOLDER holds the files that `spatsheet season` writes. Shares nothing with spatsheet but
those: report.html gives the printed digits, the CSV files everything else, formulas and
all; a printed number may be off by half a unit of its last figure. Prints what disagrees,
what is not compared and why; exits 1 when anything disagrees or nothing was compared.
"""
import datetime
import math
import os
import re
import statistics
import sys
from html.parser import HTMLParser

import season
from distributions import holm, kaplan_meier, log_rank, rank_sum, student, wilson

NUMBER = r"(-?\d[\d\u202f]*(?:\.\d+)?(?:e[+-]?\d+|[ \u00a0]×[ \u00a0]10[⁰¹²³⁴⁵⁶⁷⁸⁹]+)?)"
RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")


class Page(HTMLParser):
    """Sections with tables, paragraphs and the texts of figures."""

    def __init__(self, text):
        super().__init__()
        self.subtitle, self.facts, self.sections = "", {}, [("", [], [], [])]  # title, tables, paragraphs, texts of figures
        self.words, self.term = None, ""
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        if tag == "table":
            self.sections[-1][1].append({"caption": "", "head": [], "rows": []})
        elif tag == "tr":
            self.row = []
        if tag in ("h2", "p", "dt", "dd", "caption", "th", "td", "text"):
            self.words, self.subtitled = "", ("class", "subtitle") in attributes

    def handle_data(self, data):
        if self.words is not None:
            self.words += data

    def handle_endtag(self, tag):
        said = self.words
        _, tables, paragraphs, figures = self.sections[-1]
        if tag == "tr" and self.row:
            tables[-1]["rows"].append(self.row)
        if said is None or tag not in ("h2", "p", "dt", "dd", "caption", "th", "td", "text"):
            return
        self.words = None
        if tag == "h2":
            self.sections.append((said, [], [], []))
        elif tag == "p" and self.subtitled:
            self.subtitle = said
        elif tag == "dt":
            self.term = said
        elif tag == "dd":
            self.facts[self.term] = said
        elif tag == "caption":
            tables[-1]["caption"] = said
        elif tag == "th":
            tables[-1]["head"].append(said)
        elif tag == "td":
            self.row.append(said)
        else:
            (paragraphs if tag == "p" else figures).append(said)

    def tables(self):
        return [(title, t) for title, tables, _, _ in self.sections for t in tables]


def parsed(printed):
    digits = printed.replace("\u202f", "")
    if "×" in digits:
        front, power = digits.replace("\u00a0", " ").split(" × 10")
        return float(front) * 10 ** int(power.translate(RAISED))
    return float(digits)


class Whole:
    """A number printed in full."""

    def __init__(self, value):
        self.value = value

    def same(self, got):
        return got == self.value


class Figures(Whole):
    """A number printed to so many figures."""

    def __init__(self, value, figures=3):
        super().__init__(value)
        self.figures = figures

    def unit(self):
        return 10.0 ** (math.floor(math.log10(abs(self.value))) - self.figures + 1) if self.value else 0

    def same(self, got):
        return abs(got - self.value) <= self.unit() / 2 * (1 + 1e-9) + 1e-9 * abs(self.value)


class Decimals(Figures):
    def unit(self):
        return 10.0 ** -self.figures


class Any:
    """A text that is not compared, and why."""

    def __init__(self, why):
        self.why = why


def amount(x):
    """Counts in full below 10 000, the rest to three figures."""
    near = round(x)
    return Whole(near) if abs(x - near) < 1e-9 * max(1, near) and near < 10000 else Figures(x)


def maybe(x):
    return "-" if x is None else amount(x)


def share(x):
    return Figures(100 * x), " %"


def between(low, high):
    return Figures(100 * low), " to ", Figures(100 * high), " %"


def chance(p):
    return ("p < 0.0001",) if p < 0.0001 else ("p = ", Figures(p, 2))


class Comparison:
    def __init__(self):
        self.figures, self.texts, self.wrong, self.left, self.tables = 0, 0, [], {}, set()

    def cell(self, where, got, want):
        """want is a text, a number, or a row of both."""
        pieces = want if isinstance(want, tuple) else (want,)
        shape = "".join(re.escape(p) if isinstance(p, str) else ".*" if isinstance(p, Any) else NUMBER for p in pieces)
        numbers = [p for p in pieces if isinstance(p, Whole)]
        self.figures += len(numbers)
        self.texts += not numbers
        m = re.fullmatch(shape, got, re.S)
        if not m:
            self.wrong.append(f"{where}: printed {got!r}, expected {' '.join(p if isinstance(p, str) else str(getattr(p, 'value', '...')) for p in pieces)!r}")
            return
        for printed, p in zip(m.groups(), numbers):
            if not p.same(parsed(printed)):
                self.wrong.append(f"{where}: printed {printed}, worked out {p.value!r}")

    def table(self, page, section, caption, rows):
        """Compares a table row by row, cell by cell."""
        found = [t for title, t in page.tables() if title == section and t["caption"] == caption]
        name = section + (": " + caption if caption else "")
        self.tables.update((section, t["caption"]) for t in found)
        if len(found) != bool(rows):
            self.wrong.append(f"{name}: {len(found)} tables, {len(rows)} rows expected")
            return
        if not rows:
            return
        table = found[0]
        if len(table["rows"]) != len(rows) or any(len(r) != len(table["head"]) for r in table["rows"]):
            self.wrong.append(f"{name}: {len(table['rows'])} rows are printed, {len(rows)} expected")
        for got, want in zip(table["rows"], rows):
            for head, printed, w in zip(table["head"], got, want):
                for piece in w if isinstance(w, tuple) else (w,):
                    if isinstance(piece, Any):
                        self.left.setdefault(f"{name}, {head}", piece.why)
                self.cell(f"{name}, {got[0]}, {head}", printed, w)


def moment(text):
    return datetime.datetime.fromisoformat(text)


class Batch(season.Batch):
    """The readings of a batch by key, and what batches.csv says of it."""

    def __init__(self):
        super().__init__()
        self.row, self.plans, self.given, self.readings, self.of_table = {}, {}, {}, [], {}

    def plan(self, row):
        super().plan(row)
        self.plans[row["id"]] = float(row["value"])

    def read(self, row):
        super().read(row)
        key = season.plain(row["key"])
        parts = key.split(".")
        self.readings.append(row)
        if len(parts) == 3 and parts[1].isdigit():
            table = self.of_table.setdefault(parts[0], {})
            table.setdefault(parts[2], []).append(None)
            if row["state"] == "given":
                table[parts[2]][-1] = float(row["value"]) if row["value"] else season.plain(row["text"])
        if row["state"] == "given":
            self.given[key] = row

    code = property(lambda self: self.row["batch"])
    ref = property(lambda self: self.row["protocol"])
    kind = property(lambda self: self.row["protocol"].split("@")[0])
    species = property(lambda self: season.plain(self.row["species"]))
    start = property(lambda self: moment(self.row["start"]))
    day = property(lambda self: self.row["start"][:10])

    def number(self, key):
        row = self.given.get(key)
        return float(row["value"]) if row and row["value"] else None

    def text(self, key):
        row = self.given.get(key, {"text": "", "raw": ""})
        return season.plain(row["text"]) or season.plain(row["raw"]).strip()

    def sum(self, table, column):
        values = [x for x in self.of_table.get(table, {}).get(column, []) if x is not None]
        return math.fsum(values) if values else None

    def table_with(self, *columns, without=()):
        for name, table in self.of_table.items():
            if all(c in table for c in columns) and not any(c in table for c in without):
                return name
        return None

    def labels(self, table):
        """What stands before the rows: the printed name of a box is 'table, row: column'."""
        names = {}
        for r in self.readings:
            parts = season.plain(r["key"]).split(".")
            if parts[0] == table and len(parts) == 3:
                names.setdefault(int(parts[1]), season.plain(r["entry"]).rsplit(": ", 1)[0])
        start = os.path.commonprefix(list(names.values()))
        cut = start.rfind(", ") + 2
        return [names[i][cut:] for i in sorted(names)]


def work(c, page, batches):
    groups = {}
    for b in batches:
        groups.setdefault((b.species, b.ref), []).append(b)
    c.table(page, "What was done", "Batches by species and protocol", [
        [species, (Any("titles of protocols are in no CSV file"), f" ({ref})"), Whole(len(list_)), list_[0].day, list_[-1].day]
        for (species, ref), list_ in sorted(groups.items(), key=lambda g: g[0][0])])


SUMMED = ("animals", "eggs", "larvae", "spat", "cells", "plates")


def handed_over(c, page, folder, batches):
    by_code, groups = {b.code: b for b in batches}, {}
    for r in season.rows(folder, "hands_over"):
        b = by_code[r["batch"]]
        value = season.count(r["from"], r["unit"], b)
        if value is not None:
            groups.setdefault((b.species, b.kind, r["id"]), (season.plain(r["label"]), r["unit"], []))[2].append(value)
    rows = []
    for (species, kind, _), (label, unit, values) in sorted(groups.items(), key=lambda g: g[0][0]):
        summed = unit in SUMMED
        total = math.fsum(values) if summed else statistics.fmean(values)
        rows.append([species, label + ("" if summed else ", mean of batches"), kind, Whole(len(values)), amount(total), unit])
    c.table(page, "What was done", "Handed over by the batches", rows)


TAKEN = "Animals taken and released, by site"


def collections(c, page, batches):
    rows, sums = [], [None] * 6
    for b in batches:
        taken = b.sum("bag_counts", "taken")
        if taken is None:
            continue
        kept, name = b.sum("bag_counts", "kept"), b.table_with("sound")
        sound = b.sum(name, "sound") if name else None
        numbers = [taken, b.sum("bag_counts", "returned"), kept, None if None in (kept, sound) else kept - sound,
                   b.number("dead_on_arrival"), b.number("animals_collected")]
        sums = [s if x is None else x + (s or 0) for s, x in zip(sums, numbers)]
        rows.append([b.code, b.day, b.text("shore_site"), b.text("permit"), b.species] + [maybe(x) for x in numbers])
    if len(rows) > 1:
        rows.append(["all", "", "", "", ""] + [maybe(x) for x in sums])
    c.table(page, TAKEN, "Collections", rows)


def added(*numbers):
    some = [x for x in numbers if x is not None]
    return math.fsum(some) if some else None


def releases(c, page, batches):
    rows = []
    for b in batches:
        if b.number("released") is None:
            continue
        seen, visit = None, "-"
        for row, alive in enumerate(b.of_table.get("seen", {}).get("live", [])):
            if alive is not None:
                seen, visit = alive, b.of_table["seen"]["date"][row] or "-"
        mark = b.text("mark") + (", " + b.text("mark_code") if b.text("mark_code") else "")
        rows.append([b.code, b.day, b.text("shore"), b.text("permit"), b.text("parents"), mark,
                     maybe(added(b.number("died_marking"), b.number("died_transport"))), maybe(b.number("released")), maybe(seen),
                     maybe(added(b.sum("seen", "broken"), b.sum("seen", "whole"))), visit])
    c.table(page, TAKEN, "Releases", rows)


def stages(c, page, folder, batches):
    """Compares the table; gives the survivals by stage: label, species, (protocol version, survival)."""
    by_code, groups, left = {b.code: b for b in batches}, {}, {}
    for r in season.rows(folder, "stages"):
        b = by_code[r["batch"]]
        key = (b.kind, b.species, r["stage"])
        group = groups.setdefault(key, {"label": season.plain(r["label"]), "units": (r["unit_in"], r["unit_out"]), "in": [], "out": [], "shares": []})
        into, out = season.count(r["in_from"], r["unit_in"], b), season.count(r["out_from"], r["unit_out"], b)
        note = ""
        if into is None or out is None:
            note = "a count is missing"
        elif into <= 0:
            note = "nothing went in"
        elif out > into * (1 + 1e-9):
            note = "more came out than went in: see the findings"
        if note:
            left.setdefault(key, []).append(f"{b.code} {group['label']} ({note})")
            continue
        group["in"].append(into)
        group["out"].append(out)
        group["shares"].append((b.ref, out / into))
    shown, rows = {k: g for k, g in groups.items() if g["shares"]}, []
    for (kind, species, _), g in shown.items():
        twin = any(o["label"] == g["label"] and k[0] != kind for k, o in shown.items())
        into, out, shares = math.fsum(g["in"]), math.fsum(g["out"]), [x for _, x in g["shares"]]
        rows.append([f"{species}: {g['label']}" + (f" ({kind})" if twin else ""), Whole(len(shares)), (amount(into), " " + g["units"][0]), (amount(out), " " + g["units"][1]),
                     share(out / into), share(statistics.median(shares)), between(min(shares), max(shares)), Any("a word; the kind of an entry is in no CSV file")])
    c.table(page, "Survival by stage", "Survival by stage over the season", rows)
    why = [w for k in groups for w in left.get(k, [])]
    if why:
        says = "Left out of the summary: " + "; ".join(why[:6]) + (f"; and {len(why) - 6} more, in stages.csv" if len(why) > 6 else "")
        paragraph(c, page, "Survival by stage", "Left out of the summary", says)
    return [(g["label"], k[1], g["shares"]) for k, g in groups.items()]


def paragraph(c, page, section, start, want):
    found = [p for title, _, paragraphs, _ in page.sections if title == section for p in paragraphs if p.startswith(start)]
    c.cell(f"{section}, {start} ...", found[0] if found else "", want)


def fates(b):
    """All animals and classes: (day, died, number); None of all when a day is missing."""
    name = b.table_with("dead", "removed", "alive", without=("class",))
    everyone, last = [], 0
    if name:
        t = b.of_table[name]
        days = [i for i, x in enumerate(t["dead"], 1) if x is not None]
        last = days[-1] if days else 0
        columns = [t[column][:last] for column in ("dead", "removed")]
        if last and all(None not in column for column in columns) and t["alive"][last - 1] is not None and all(x is None for x in t["alive"][last:] + t["removed"][last:]):
            for day, (dead, removed) in enumerate(zip(*columns), 1):
                everyone += [(day, True, dead), (day, False, removed)]
            everyone.append((last, False, t["alive"][last - 1]))
    return seen(everyone), classes(b, last)


def seen(list_):
    return [x for x in list_ if x[2] >= 1]


def classes(b, last):
    """By class: from a row for each loss, else from the counts on some days."""
    out, t = {}, b.of_table.get("classes", {})
    if "came_in" not in t:
        return out
    started = {label: n for label, n in zip(b.labels("classes"), t["came_in"]) if n is not None}
    name = b.table_with("class", "day", "dead", "removed")
    if name:
        rows = list(zip(*(b.of_table[name][k] for k in ("class", "day", "dead", "removed"))))
        end = max([last] + [r[1] for r in rows if r[1] is not None])
        for label, n in started.items():
            own = [(day, dead or 0, removed or 0) for label_, day, dead, removed in rows if label_ == label and day is not None]
            out[label] = seen([(d, True, x) for d, x, _ in own] + [(d, False, x) for d, _, x in own] + [(end, False, n - sum(x + y for _, x, y in own))])
        return out
    looks = sorted((int(k[4:]), k) for k in t if re.fullmatch(r"day_\d+", k) and int(k[4:]) < last)
    looks += [(last, "at_end")] if "at_end" in t else []
    for i, (label, n) in enumerate(zip(b.labels("classes"), t["came_in"])):
        counts = [n] + [t[k][i] for _, k in looks]
        if not looks or not last or None in counts or counts != sorted(counts, reverse=True):
            continue
        out[label] = seen([(day, True, x - y) for (day, _), x, y in zip(looks, counts, counts[1:])] + [(looks[-1][0], False, counts[-1])])
    return out


def losses(c, page, batches):
    groups = {}
    for b in batches:
        everyone, by_class = fates(b)
        if everyone or by_class:
            g = groups.setdefault((b.kind, b.species), {})
            for label, list_ in by_class.items():
                if list_:
                    g.setdefault(label, []).append(list_)
            if everyone:
                g.setdefault(None, []).append(everyone)
    for (kind, species), g in groups.items():
        section = f"Survival of broodstock over time: {species}" if kind == "broodstock-acclimation" else f"Survival over time: {species}, {kind}"
        one_group(c, page, section, g)


def one_group(c, page, section, group):
    order = [k for k in group if k is not None]
    rows, together = [], {}
    for label in order + [None] * (None in group):
        together[label] = [x for list_ in group[label] for x in list_]
        number = sum(n for _, _, n in together[label])
        alive, limits, last, half = kaplan_meier(together[label])
        name = label or "all animals"
        rows.append([name, Whole(len(group[label])), Whole(number), Whole(sum(n for _, died, n in together[label] if died)), share(alive),
                     between(*limits) if limits else "-", ("day ", Whole(last)), "not reached" if half is None else ("day ", Whole(half))])
        for text in (t for title, _, _, texts in page.sections if title == section for t in texts if t.startswith(name + " (")):
            c.cell(f"{section}, figure", text, (name + " (", Whole(number), ")"))
    c.table(page, section, "", rows)
    if len(order) < 2:
        return
    chi, degrees, p, died, expected = log_rank([together[k] for k in order])
    want = ("Log-rank test over the classes: chi-square ", Figures(chi, 4), ", ", Whole(degrees), f" degree{'s' * (degrees > 1)} of freedom, ") + chance(p) + (" (",)
    for i, label in enumerate(order):
        want += ("; " * (i > 0) + label + " ", Whole(died[i]), " deaths, ", Figures(expected[i], 4), " expected")
    paragraph(c, page, section, "Log-rank test", want + ("). ", Any("words")))


def gonad_index(b, batches):
    by_code = {x.code: x for x in batches}
    for parent in b.row["parents"].split():
        if parent in by_code and by_code[parent].number("index_mean") is not None:
            return Figures(by_code[parent].number("index_mean")), f" % ({parent}, planned from it)"
    for check in reversed(batches):
        days = (b.start - check.start).total_seconds() / 86400
        if check.species == b.species and 0 <= days <= 28 and check.number("index_mean") is not None:
            return Figures(check.number("index_mean")), f" % ({check.code}, ", Decimals(days, 0), " d before)"
    return ("no check in 28 days before",)


def spawnings(c, page, batches):
    """Compares the table; gives the shares by what induced them."""
    rows, induced = [], []
    for b in batches:
        spawned, females = b.number("females_spawned"), b.plans.get("females")
        if spawned is None or not females or not 0 <= spawned <= females:
            continue
        by = b.text("induced_by")
        if by:
            induced.append((b.species, by, spawned / females))
        rows.append([b.code, b.day, b.species, by or "-", Whole(females), Whole(spawned), share(spawned / females), between(*wilson(spawned, females)), gonad_index(b, batches)])
    c.table(page, "Spawning", "", rows)
    return induced


SAMPLES = (("first_length", "stocked_on"), ("length_sample", "measured_on"), ("lengths_in", "stocked_at"), ("lengths_out", "ended_at"), ("lengths", "release_day"), ("lengths", "on_shore"))


def sample(b, name, date):
    """When, mean, and how it is printed; None when there is none."""
    if date not in b.given:
        return None
    at = moment(b.text(date))
    mean, words = b.number(name), (" mm (mean as written)",)
    if mean is None:
        lengths = [float(r["value"]) for k, r in b.given.items() if k.startswith(name + ".") and r["unit"] == "mm" and r["value"]]
        if not lengths:
            return None
        mean, words = lengths[0], (" mm",)
        if len(lengths) > 1:
            mean, low, high = student(lengths)
            words = (" mm (", Figures(low), " to ", Figures(high), "; n = ", Whole(len(lengths)), ")")
    return at, mean, (at.date().isoformat() + ": ", Figures(mean)) + words


def growth(c, page, batches):
    rows = []
    for b in batches:
        found = sorted((s for s in (sample(b, *names) for names in SAMPLES) if s), key=lambda s: s[0])
        if not found:
            continue
        cohort = next((b.text(k) for k in ("cohort", "family", "parents") if b.text(k)), "-")
        first, last = found[0], found[-1]
        days = (last[0] - first[0]).total_seconds() / 86400
        rows.append([b.code, cohort, first[2], last[2] if len(found) > 1 else "-", Figures(1000 * (last[1] - first[1]) / days) if days >= 1 else "-"])
    c.table(page, "Growth", "", rows)


def comparisons(c, page, by_stage, induced):
    sets = [(f"{label}, {species}, by protocol version", shares) for label, species, shares in by_stage]
    for species in dict.fromkeys(s for s, _, _ in induced):
        sets.append((f"Females that spawned, {species}, by induced by", [(by, x) for s, by, x in induced if s == species]))
    pairs = []
    for what, values in sets:
        names = sorted({n for n, _ in values})
        for i, first in enumerate(names):
            for second in names[i + 1:]:
                lists = [[x for n, x in values if n == name] for name in (first, second)]
                pairs.append((what, first, second, lists, rank_sum(*lists)))
    adjusted = iter(holm([r[1] for *_, r in pairs if r[1] is not None]))
    rows = []
    for what, first, second, (a, b), (least, p, shift) in pairs:
        if p is None:
            result = ("not tested: with ", Whole(len(a)), " against ", Whole(len(b)), " batches no result could reach p = 0.05; the smallest possible p is ", Figures(least, 2))
        else:
            result = ("first less second, median of all pairs: ", Figures(100 * shift), " points; ") + chance(p) + (", adjusted ",) + chance(next(adjusted))
        rows.append([what, first, second, (Whole(len(a)), ", ", Whole(len(b))), (Figures(100 * statistics.median(a)), ", ", Figures(100 * statistics.median(b)), " %"), result])
    c.table(page, "Comparisons", "", rows)


WATER = ((("temperature", "water_temperature", "start_temperature", "fill_temperature"), "°C", 1), (("salinity", "water_salinity", "start_salinity", "fill_salinity"), "PSU", 1), (("ph", "water_ph"), "pH", 2))


def water(c, page, batches):
    rows = []
    for b in batches:
        row, n = [b.code, b.ref], 0
        for names, unit, decimals in WATER:
            x = [float(r["value"]) for k, r in b.given.items() if k.split(".")[-1] in names and r["unit"] == unit and r["value"]]
            n += len(x)
            spread = (Decimals(min(x), decimals), " / ", Decimals(statistics.fmean(x), decimals), " / ", Decimals(max(x), decimals)) if x else "-"
            row += [spread, Whole(len(x))]
        if n:
            rows.append(row)
    c.table(page, "Water", "Lowest / mean / highest reading of each batch, and how many readings", rows)


def plural(n, one, many):
    return Whole(n), " " + (one if n == 1 else many)


def cut(text, most):
    return text if len(text) <= most else text[:most] + "..."


def standing(list_):
    """Joins what says the same of one batch: rows of the table of deviations."""
    joined, rows = {}, []
    for code, level, says, entry, written in list_:
        joined.setdefault((code, says), (level, [], []))
        joined[code, says][1].append(entry)
        joined[code, says][2].append(written)
    for (code, says), (level, entries, all_written) in joined.items():
        where = cut(entries[0], 90)
        if len(entries) > 1:
            where = (Whole(len(entries)), " boxes: " + "; ".join(cut(e, 60) for e in entries[:2]) + " ..." * (len(entries) > 2))
        rows.append([code, level, where, cut(all_written[0], 30) if len(set(all_written)) == 1 else "", cut(says, 160)])
    return rows


def moments(b):
    """What stands at sheet and cell, of the boxes with a date or time that was understood."""
    iso = [(season.plain(r["sheet"]), r["cell"], re.fullmatch(r"(\d{4}-\d\d-\d\d)(T(\d\d:\d\d)(:\d\d)?)?", season.plain(r["text"]))) for r in b.readings if r["state"] == "given"]
    return {(sheet, cell): m[1] + (" " + m[3] + (m[4] or "").removesuffix(":00") if m[2] else "") for sheet, cell, m in iso if m}


def deviations(c, page, folder, batches):
    found = {}
    for r in season.rows(folder, "findings"):
        found.setdefault(r["batch"], []).append({k: season.plain(v) for k, v in r.items()})
    lists, undone, clean = {"error": [], "warning": [], "not done": []}, 0, 0
    for b in batches:
        own, told = found.get(b.code, []), {(f["sheet"], f["cell"]) for f in found.get(b.code, [])}
        read = moments(b) if own else {}
        for f in own:
            if f["level"] in lists:
                lists[f["level"]].append((b.code, f["level"], f["says"], f["entry"], read.get((f["sheet"], f["cell"]), f["raw"])))
        skipped = [r for r in b.readings if r["state"] == "not done"]
        undone += len(skipped)
        lists["not done"] += [(b.code, "not done", "marked as not done", season.plain(r["entry"]), season.plain(r["raw"])) for r in skipped if (season.plain(r["sheet"]), r["cell"]) not in told]
        clean += not skipped and not any(f["level"] in lists for f in own)
    across = [r for r in season.rows(folder, "season_findings") if r["level"] != "note"]
    why = Any("season_findings.csv tells of batches, not of boxes")
    rows = [[r["batch"], "between batches, " + r["level"], why, why, cut(season.plain(r["says"]), 160)] for r in across]
    for list_ in lists.values():
        rows += standing(list_)
    c.table(page, "Deviations", "", rows[:30])
    if len(rows) > 30:
        paragraph(c, page, "Deviations", str(len(rows) - 30), (Whole(len(rows) - 30), " more are in findings.csv and readings.csv."))
    levels = plural(len(lists["error"]), "error", "errors") + (", ",) + plural(len(lists["warning"]), "warning", "warnings") + (", ",) + plural(undone, "box not done", "boxes not done")
    if rows:
        paragraph(c, page, "Deviations", "Standing", ("Standing in the latest revisions: ",) + levels + ("; between batches ",) + plural(len(across), "finding", "findings") + (". ", Whole(clean), " of ")
                  + plural(len(batches), "batch", "batches") + (" has none of its own." if clean == 1 else " have none of their own.",))
    changed = sum(int(b.row["revision"]) - 1 for b in batches)
    c.cell("Facts, Deviations", page.facts.get("Deviations", ""), levels + ("; ", Whole(len(across)), " between batches; ") + plural(clean, "batch without any of its own", "batches without any of their own") + ("; ",) + plural(changed, "correction", "corrections"))


def corrections(c, page, folder):
    revisions = {}
    for r in season.rows(folder, "corrections"):
        revisions.setdefault((r["batch"], r["revision"]), []).append({k: season.plain(v) for k, v in r.items()})
    rows = []
    for (batch, revision), list_ in revisions.items():
        changes = [r for r in list_ if r["entry"]]
        named = "; ".join(f"{cut(r['entry'], 60)}: {cut(r['was'], 20)} → {cut(r['now'], 20)}" for r in changes[:4])
        more = ("; and ", Whole(len(changes) - 4), " more") if len(changes) > 4 else ()
        rows.append([batch, Whole(int(revision)), list_[0]["collected"][:10], cut(list_[0]["reason"] or "-", 200), (named or "-",) + more])
    c.table(page, "Corrections", "", rows[:15])
    if len(rows) > 15:
        paragraph(c, page, "Corrections", str(len(rows) - 15), (Whole(len(rows) - 15), " more are in the season log."))


def main(folder):
    by_code = {r["batch"]: Batch() for r in season.rows(folder, "batches")}
    for r in season.rows(folder, "batches"):
        by_code[r["batch"]].row = r
    for r in season.rows(folder, "planned"):
        by_code[r["batch"]].plan(r)
    for r in season.rows(folder, "readings"):
        by_code[r["batch"]].read(r)
    batches = sorted(by_code.values(), key=lambda b: (b.start, b.code))
    with open(os.path.join(folder, "report.html"), encoding="utf-8") as f:
        page = Page(f.read())
    c = Comparison()
    c.cell("subtitle", page.subtitle, (Any("words"), f", batches started {batches[0].day} to {batches[-1].day}"))
    c.cell("Facts, Species", page.facts.get("Species", ""), ", ".join(sorted({b.species for b in batches})))
    c.cell("Facts, Protocols", page.facts.get("Protocols", ""), ", ".join(sorted({b.ref for b in batches})))
    c.left["Facts, State"] = "no CSV file says when all was collected"
    c.left["Figures"] = "their points are drawn, not written; of numbers only those beside the names of curves are compared"
    c.cell("Facts, Batches", page.facts.get("Batches", ""), Whole(len(batches)))
    work(c, page, batches)
    handed_over(c, page, folder, batches)
    collections(c, page, batches)
    releases(c, page, batches)
    by_stage = stages(c, page, folder, batches)
    losses(c, page, batches)
    induced = spawnings(c, page, batches)
    growth(c, page, batches)
    comparisons(c, page, by_stage, induced)
    water(c, page, batches)
    deviations(c, page, folder, batches)
    corrections(c, page, folder)
    for title, t in page.tables():
        if (title, t["caption"]) not in c.tables:
            c.wrong.append(f"{title}: a table {t['caption']!r} that this script does not know")
    for line in c.wrong:
        print(line)
    for column, why in c.left.items():
        print(f"not worked out again: {column}: {why}")
    print(f"{len(batches)} batches, {len(c.tables)} tables, {c.figures} figures and {c.texts} texts compared, {len(c.wrong)} disagree")
    return 1 if c.wrong or not c.figures else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
