"""Chi-square, Student's t, Wilson, Kaplan-Meier, log-rank and rank-sum from their definitions, for report.py."""
import itertools
import math
import statistics

CONFIDENCE = 0.95
Z = statistics.NormalDist().inv_cdf(0.5 + CONFIDENCE / 2)


def chi_square_tail(x, degrees):
    """Upper tail: series of the lower incomplete gamma function, or its continued fraction (Lentz)."""
    a, x = degrees / 2, x / 2
    if x <= 0:
        return 1.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    if x < a + 1:
        term = total = 1 / a
        n = a
        while abs(term) > abs(total) * 1e-16:
            n += 1
            term *= x / n
            total += term
        return 1 - front * total
    b = x + 1 - a
    c, d = 1e300, 1 / b
    h = d
    for i in range(1, 10000):
        step = -i * (i - a)
        b += 2
        d = 1 / (step * d + b)
        c = b + step / c
        h *= d * c
        if abs(d * c - 1) < 1e-15:
            break
    return front * h


def incomplete_beta(x, a, b):
    """Regularised; continued fraction of the even and odd terms."""
    if x <= 0 or x >= 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):
        return 1 - incomplete_beta(1 - x, b, a)
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)) / a
    value = 1.0
    for m in range(300, 0, -1):  # from the inside out: terms of 300 are far below 1e-16
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        value = 1 + even / (1 + odd / value)
    first = -(a + b) * x / (a + 1)
    return front / (1 + first / value)


def t_quantile(degrees):
    """Of the two-sided confidence, by halving."""
    low, high = 0.0, 1e3
    for _ in range(200):
        t = (low + high) / 2
        if incomplete_beta(degrees / (degrees + t * t), degrees / 2, 0.5) > 1 - CONFIDENCE:
            low = t
        else:
            high = t
    return low


def student(lengths):
    """Mean, low and high limit."""
    mean = statistics.fmean(lengths)
    half = t_quantile(len(lengths) - 1) * statistics.stdev(lengths) / math.sqrt(len(lengths))
    return mean, mean - half, mean + half


def wilson(k, n):
    centre, half = (k + Z * Z / 2) / (n + Z * Z), Z * math.sqrt(k * (n - k) / n + Z * Z / 4) / (n + Z * Z)
    return max(0.0, centre - half), min(1.0, centre + half)


def kaplan_meier(seen):
    """seen: (time, died, number). Survival at the end, its log-log limits or None, last time, first time half are dead or None."""
    alive, greenwood, half = 1.0, 0.0, None
    for time in sorted({t for t, _, _ in seen}):
        risk = sum(n for t, _, n in seen if t >= time)
        dead = sum(n for t, died, n in seen if t == time and died)
        if not dead:
            continue
        alive *= 1 - dead / risk
        if dead < risk:
            greenwood += dead / (risk * (risk - dead))
        if half is None and alive <= 0.5 + 1e-12:
            half = time
    limits = None
    if 0 < alive < 1:
        centre, width = math.log(-math.log(alive)), Z * math.sqrt(greenwood) / -math.log(alive)
        limits = math.exp(-math.exp(centre + width)), math.exp(-math.exp(centre - width))
    return alive, limits, max(t for t, _, _ in seen), half


def solve(matrix, right):
    """Gauss with pivots."""
    rows = [list(row) + [x] for row, x in zip(matrix, right)]
    size = len(rows)
    for i in range(size):
        pivot = max(range(i, size), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(size):
            if r != i:
                scale = rows[r][i] / rows[i][i]
                rows[r] = [x - scale * y for x, y in zip(rows[r], rows[i])]
    return [rows[i][size] / rows[i][i] for i in range(size)]


def log_rank(groups):
    """groups: lists of (time, died, number). Chi-square, degrees, p, deaths, expected deaths."""
    size = len(groups)
    seen, expected = [0] * size, [0.0] * size
    variance = [[0.0] * size for _ in groups]
    for time in sorted({t for g in groups for t, died, _ in g if died}):
        risk = [sum(n for t, _, n in g if t >= time) for g in groups]
        dead = [sum(n for t, died, n in g if t == time and died) for g in groups]
        n, d = sum(risk), sum(dead)
        for i in range(size):
            seen[i] += dead[i]
            expected[i] += d * risk[i] / n
            for j in range(size):
                if n > 1:
                    variance[i][j] += d * (n - d) / (n - 1) * risk[i] / n * ((i == j) - risk[j] / n)
    used = [i for i in range(size) if expected[i] > 0]
    some = used[:-1]
    off = [seen[i] - expected[i] for i in some]
    chi = sum(x * y for x, y in zip(off, solve([[variance[i][j] for j in some] for i in some], off)))
    return chi, len(some), chi_square_tail(chi, len(some)), seen, expected


def rank_sum(first, second):
    """Least p of these sizes, exact two-sided p over all ways to deal the ranks, median of pair differences."""
    both = first + second
    ranks = [sum(y < x for y in both) + (sum(y == x for y in both) + 1) / 2 for x in both]
    middle = sum(ranks) * len(first) / len(both)
    off = abs(sum(ranks[:len(first)]) - middle)
    least = min(1.0, 2 / math.comb(len(both), len(first)))
    if least > 0.05:
        return least, None, None
    sums = [sum(chosen) for chosen in itertools.combinations(ranks, len(first))]
    p = sum(abs(s - middle) >= off - 1e-9 for s in sums) / len(sums)
    return least, p, statistics.median(x - y for x in first for y in second)


def holm(values):
    order = sorted(range(len(values)), key=lambda i: values[i])
    out, worst = [0.0] * len(values), 0.0
    for rank, i in enumerate(order):
        worst = max(worst, min(1, values[i] * (len(values) - rank)))
        out[i] = worst
    return out
