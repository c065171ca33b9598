"""Small exact tests and the tables they need; scipy and statsmodels are only asked in the tests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tastevocab.errors import StatisticsError


def sign_test(gained: int, lost: int) -> float:
    """Exact two-sided p of so many changes one way and so many the other, if either way were as likely.

    This is also McNemar's exact test of the discordant pairs (McNemar 1947). No change at all: 1.

    >>> sign_test(4, 0)
    0.125
    """
    changes = gained + lost
    tail = sum(math.comb(changes, i) for i in range(min(gained, lost) + 1))
    return float(min(1.0, 2 * tail / 2**changes))


def holm(p_values: Sequence[float]) -> list[float]:
    """Holm's step-down correction for asking several questions at once (Holm 1979, Scand. J. Stat. 6:65-70).

    Gives the corrected p values in the order given, each at least as big as before and at most 1.
    """
    order = sorted(range(len(p_values)), key=p_values.__getitem__)
    corrected, highest = [0.0] * len(p_values), 0.0
    for rank, i in enumerate(order):
        highest = max(highest, min(1.0, (len(p_values) - rank) * p_values[i]))
        corrected[i] = highest
    return corrected


def least_correct(tasters: int, *, guess: float = 1 / 3, level: float = 0.05) -> int | None:
    """The least correct answers of `tasters` that show a difference in an odd-one-out (triangle) test (ISO 4120).

    `guess` is the chance of a right guess, `level` the risk allowed. None where even all right would not show it.
    """
    tail = 0.0
    least = None
    for right in range(tasters, -1, -1):
        tail += math.comb(tasters, right) * guess**right * (1 - guess) ** (tasters - right)
        if tail > level + 1e-12:
            break
        least = right
    return least


def chi_square_tail(value: float, df: int) -> float:
    """The chance of a chi-square of `df` degrees of freedom at least as big as `value`.

    Closed form for whole degrees of freedom (Abramowitz & Stegun 26.4.4, 26.4.5).
    """
    if df < 1:
        raise StatisticsError(f"{df} degrees of freedom", mend="at least two columns are needed")
    half = max(value, 0.0) / 2
    if df % 2:
        total, term = math.erfc(math.sqrt(half)), math.exp(-half) * math.sqrt(half) / math.gamma(1.5)
        steps = range(3, df + 1, 2)
    else:
        total, term = 0.0, math.exp(-half)
        steps = range(2, df + 1, 2)
    for step in steps:
        total += term
        term *= half / (step / 2)
    return min(1.0, total)


@dataclass(frozen=True, slots=True)
class CochranQ:
    """Cochran's Q, its degrees of freedom, the p of the chi-square, and how many tasters told anything (`informative`
    differ between columns)."""

    q: float
    df: int
    p: float
    tasters: int
    informative: int


def cochran_q(found: npt.NDArray[np.float64]) -> CochranQ:
    """Whether columns (coffees, brews) differ in how often the same tasters (rows) said yes: 1, else 0, nan not there.

    Cochran (1950, Biometrika 37:256-266). Where tasters missed a column it is the Mantel-Haenszel statistic with a
    stratum a taster, which for complete rows is Cochran's Q itself. Rows all alike tell nothing.

    Raises `StatisticsError` where no taster has two columns, or nobody differs between columns.
    """
    there = ~np.isnan(found)
    rows = there.sum(axis=1) >= 2
    here, said = there[rows], np.where(there[rows], found[rows], 0.0)
    size, yes = here.sum(axis=1), said.sum(axis=1)
    spread = np.divide(yes * (size - yes), size - 1, out=np.zeros(len(size)), where=size > 1)
    informative = int(np.count_nonzero(spread))
    if not informative:
        raise StatisticsError(
            "nobody differs between the columns: there is nothing to test", mend="show the counts alone"
        )
    excess = (said - here * (yes / size)[:, None]).sum(axis=0)
    weights = here * (spread / size)[:, None]
    variance = np.diag(weights.sum(axis=0)) - (weights / size[:, None]).T @ here
    values, vectors = np.linalg.eigh(variance)
    kept = values > 1e-9 * values.max()
    rank = int(np.count_nonzero(kept))
    q = float(((vectors[:, kept].T @ excess) ** 2 / values[kept]).sum())
    return CochranQ(q, rank, chi_square_tail(q, rank), int(rows.sum()), informative)


def difference_interval(k: int, n: int, k_rest: int, n_rest: int) -> tuple[float, float]:
    """95 % interval of the difference of two shares, k/n minus k_rest/n_rest (Newcombe 1998, hybrid score, method 10).

    Raises `StatisticsError` where either n is 0.
    """
    from tastevocab.panel.intervals import wilson

    low, high = wilson(k, n)
    low_rest, high_rest = wilson(k_rest, n_rest)
    share, rest = k / n, k_rest / n_rest
    below = math.hypot(share - low, high_rest - rest)
    above = math.hypot(high - share, rest - low_rest)
    return share - rest - below, share - rest + above
