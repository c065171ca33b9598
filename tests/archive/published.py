"""Published values that the archive's figures are held against: each, ours, the difference.

`python tests/archive/published.py` prints the table. No book or standard was at hand: data and values are from memory
unless a line says otherwise. That the data give the published figures to the last digit printed speaks for both.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from tastevocab.archive.control import MOVING_RANGE, cusum, ewma, moving_range_sigma, p_chart
from tastevocab.archive.lift import difference_interval
from tastevocab.archive.variance import intraclass, one_way
from tastevocab.panel.exact import false_discovery

NIST_P = "NIST/SEMATECH e-Handbook 6.3.3.2, p chart"
# Chips that failed, 50 of each of 30 wafers.
WAFERS = [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6]

MONTGOMERY = "Montgomery, Statistical Quality Control, tabular CUSUM"
# Twenty values of N(10, 1), ten of N(11, 1), and their upper sums (k = 1/2, h = 5).
TWENTY = [9.45, 7.99, 9.29, 11.66, 12.16, 10.18, 8.04, 11.46, 9.2, 10.34, 9.03, 11.47, 10.51, 9.4, 10.08, 9.37, 10.62,
          10.31, 8.52, 10.84]  # fmt: skip
SHIFTED = [10.9, 9.33, 12.29, 11.5, 10.6, 11.08, 10.38, 11.62, 11.31, 10.52]
SUMS = [0, 0, 0, 1.16, 2.82, 2.5, 0.04, 1.0, 0, 0, 0, 0.97, 0.98, 0, 0, 0, 0.12, 0, 0, 0.34, 0.74, 0, 1.79, 2.79, 2.89,
        3.47, 3.35, 4.47, 5.28, 5.3]  # fmt: skip

RUNGER = "Montgomery and Runger, Applied Statistics, CUSUM"
# The concentration of a chemical process; target 99, sigma 2.
CONCENTRATION = [102.0, 94.8, 98.3, 98.4, 102.0, 98.5, 99.0, 97.7, 100.0, 98.1, 101.3, 98.7, 101.1, 98.4, 97.0, 96.7,
                 100.3, 101.4, 97.2, 101.0]  # fmt: skip

NIST_EWMA = "NIST/SEMATECH e-Handbook 6.3.2.4, EWMA"
# Target 50, s 2.0539, weight 0.3.
PROCESS = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4,
           53.6, 52.1]  # fmt: skip
AVERAGES = [50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
            49.92, 50.73, 51.23, 51.94, 51.99]  # fmt: skip

SHROUT = "Shrout and Fleiss 1979, tables 2 and 4"
# Six targets by four judges.
JUDGES = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]
COEFFICIENTS = (0.17, 0.29, 0.71, 0.44, 0.62, 0.91)

ISO = "ISO 8586, annex, four assessors"
# Mean square of the samples, and F; six samples by three repeats. The scores themselves were not at hand.
ISO_8586 = [(7.42, 13.36), (7.83, 2.66), (2.80, 2.40), (6.13, 13.80)]
# Whole-number scores of ours that have the only mean squares which such scores can have and that give these figures
# (`whole_scores`): what is checked is the analysis, not the annex's scores.
LIKE_THEIRS = [
    [[3, 4, 5], [8, 8, 9], [7, 7, 8], [8, 8, 8], [7, 7, 8], [7, 7, 9]],
    [[7, 7, 9], [2, 4, 6], [4, 4, 7], [2, 4, 6], [4, 4, 7], [6, 7, 9]],
    [[5, 5, 6], [5, 6, 7], [4, 5, 6], [5, 7, 9], [4, 4, 5], [6, 6, 7]],
    [[4, 4, 6], [5, 5, 6], [4, 4, 5], [5, 5, 6], [3, 3, 3], [7, 7, 8]],
]

P_VALUES = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528,
            0.759, 1]  # fmt: skip
"""Benjamini and Hochberg (1995), section 3.2."""


class Published(NamedTuple):
    """A figure as it was published with so many decimals, and ours."""

    source: str
    figure: str
    published: float
    ours: float
    places: int


def values() -> Iterator[Published]:
    """All of them."""
    chart = p_chart([(k, 50) for k in WAFERS])
    for figure, theirs, ours in (
        ("centre", 0.2313, chart.centre),
        ("upper limit", 0.4102, chart.points[0].high),
        ("lower limit", 0.0524, chart.points[0].low),
        ("first outside: wafer", 15, chart.out[0] + 1),
        ("second: wafer", 23, chart.out[1] + 1),
    ):
        yield Published(NIST_P, figure, theirs, ours, 4)
    sums = cusum(TWENTY + SHIFTED, 10, 1)
    for number, (theirs, ours) in enumerate(zip(SUMS, sums.high, strict=True), 1):
        yield Published(MONTGOMERY, f"upper sum {number}", theirs, ours, 2)
    yield Published(MONTGOMERY, "sample that signals", 29, (sums.signal or 0) + 1, 0)
    yield Published(MONTGOMERY, "shift after sample", 22, sums.began or 0, 0)
    yield from _concentration()
    averages = ewma(PROCESS, 50, 2.0539)
    for number, (theirs, point) in enumerate(zip(AVERAGES, averages.points, strict=True), 1):
        yield Published(NIST_EWMA, f"average {number}", theirs, point.value, 2)
    yield Published(NIST_EWMA, "upper limit", 52.5884, averages.points[0].high, 4)
    yield Published(NIST_EWMA, "lower limit", 47.4115, averages.points[0].low, 4)
    made = intraclass(JUDGES)
    names = ("ICC(1,1)", "ICC(2,1)", "ICC(3,1)", "ICC(1,4)", "ICC(2,4)", "ICC(3,4)")
    ours_all = (made.single_1, made.single_2, made.single_3, made.mean_1, made.mean_2, made.mean_3)
    for name, theirs, ours in zip(names, COEFFICIENTS, ours_all, strict=True):
        yield Published(SHROUT, name, theirs, ours, 2)
    for number, ((between, f), scores) in enumerate(zip(ISO_8586, LIKE_THEIRS, strict=True), 1):
        table = one_way({str(i): given for i, given in enumerate(scores)})
        yield Published(ISO, f"mean square of assessor {number}", between, table.between, 2)
        yield Published(ISO, f"F of assessor {number}", f, table.f or 0, 2)
    stand = sum(q <= 0.05 for q in false_discovery(P_VALUES))
    yield Published("Benjamini and Hochberg 1995, section 3.2", "stand of fifteen", 4, stand, 0)
    low, high = difference_interval(56, 70, 48, 80)
    yield Published("Newcombe 1998, table II, method 10", "56 of 70 less 48 of 80 from", 0.0524, low, 4)
    yield Published("Newcombe 1998, table II, method 10", "to", 0.3339, high, 4)


def _concentration() -> Iterator[Published]:
    chart = cusum(CONCENTRATION, 99, 2)
    yield Published(RUNGER, "mean", 99.1, sum(CONCENTRATION) / 20, 1)
    yield Published(RUNGER, "mean moving range", 2.59, moving_range_sigma(CONCENTRATION) * MOVING_RANGE, 2)
    for number, (high, low) in enumerate(((2.0, 0.0), (0.0, 3.2), (0.0, 2.9)), 1):
        yield Published(RUNGER, f"upper sum {number}", high, chart.high[number - 1], 1)
        yield Published(RUNGER, f"lower sum {number}", low, chart.low[number - 1], 1)
    yield Published(RUNGER, "limit", 10, chart.limit, 0)


def whole_scores(between: float, f: float) -> list[tuple[float, float]]:
    """The mean squares, between and within, that whole-number scores of six samples by three repeats can have and that
    round to what was published: the squares are eighteenths and two thirds of whole numbers."""
    found = []
    for over in range(1, 2000):
        for inside in range(1, 200):
            squares = over / 18 / 5, inside * 2 / 3 / 12
            if (round(squares[0], 2), round(squares[0] / squares[1], 2)) == (between, f):
                found.append(squares)
    return found


def rows(all: Iterable[Published]) -> Iterator[str]:
    """The table in Markdown, a row a source; of long runs the first and the last figure."""
    yield "| source | published (ours) | biggest difference |\n| --- | --- | --- |"
    for source, some in itertools.groupby(all, key=lambda p: p.source):
        listed, cells = list(some), []
        for kind, same in itertools.groupby(listed, key=lambda p: p.figure.rstrip("0123456789")):
            run = list(same)
            first, last = run[0], run[-1]
            if len(run) > 8:
                ends = f"{first.published:g} ... {last.published:g} ({first.ours:.6g} ... {last.ours:.6g})"
                cells.append(f"{kind}1 to {len(run)}: {ends}")
            else:
                cells += [f"{p.figure}: {p.published:g} ({p.ours:.6g})" for p in run]
        yield f"| {source} | {', '.join(cells)} | {max(abs(p.ours - p.published) for p in listed):.1g} |"


if __name__ == "__main__":
    print("\n".join(rows(values())))
