"""Krippendorff's alpha and Kendall's W as formulas, for any values and for resampled tasters."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from tastevocab.errors import StatisticsError
from tastevocab.panel.folding import Floats, Integers

Distance = Callable[[Any, Any], float]


class Pairs:
    """The values of several tasters on several servings, ready for alpha under any weights of the tasters.

    `values[i]` was given by taster `taster[i]` in serving `unit[i]`. Servings with one value drop out, for they hold no
    pair. `distance` gives the disagreement of two values (a squared difference, MASI, ...), 0 for equal ones.

    Alpha = 1 - observed over expected disagreement (Krippendorff 2011, Computing Krippendorff's Alpha-Reliability).
    Below 0: worse than chance; 0: chance; 1: all alike. Copies of one taster in a resample are no pair of tasters.
    """

    def __init__(self, values: Sequence[Any], taster: Sequence[int], unit: Sequence[int], distance: Distance) -> None:
        sizes = Counter(unit)
        kept = [i for i in range(len(values)) if sizes[unit[i]] >= 2]
        if len(kept) < 2:
            raise StatisticsError("no serving has two tasters: agreement needs two", mend="show the findings alone")
        different = list(dict.fromkeys(values[i] for i in kept))
        place = {value: i for i, value in enumerate(different)}
        self.taster: Integers = np.array([taster[i] for i in kept], dtype=np.int64)
        self.unit: Integers = np.array([unit[i] for i in kept], dtype=np.int64)
        self.value: Integers = np.array([place[values[i]] for i in kept], dtype=np.int64)
        self.apart = _table(different, distance)
        if not self.apart.any():
            raise StatisticsError(
                "all values are the same: without variation agreement cannot be told from habit",
                mend="say that all gave the same",
            )

    def alpha(self, weights: npt.NDArray[np.float64] | None = None) -> Floats:
        """Alpha for each row of `weights` (resamples x tasters: how often each counts; one row of ones if None).

        nan where a resample holds no pair or no variation.
        """
        if weights is None:
            weights = np.ones((1, int(self.taster.max()) + 1))
        observed, held = np.zeros(len(weights)), np.zeros(len(weights))
        everything, squares = np.zeros((len(weights), len(self.apart))), np.zeros(len(weights))
        for unit in np.unique(self.unit):
            here = self.unit == unit
            w = weights[:, self.taster[here]]
            counts = w @ np.eye(len(self.apart))[self.value[here]]
            apart, size, square = self._apart(counts), counts.sum(axis=1), (w**2).sum(axis=1)
            pairs = size**2 - square
            paired = pairs > 0
            observed[paired] += size[paired] * apart[paired] / pairs[paired]
            held += np.where(paired, size, 0.0)
            everything += counts * paired[:, None]
            squares += np.where(paired, square, 0.0)
        pairs = held**2 - squares
        with np.errstate(invalid="ignore", divide="ignore"):
            result: Floats = 1 - (observed / held) / (self._apart(everything) / pairs)
        return result

    def _apart(self, counts: Floats) -> Floats:
        """The disagreement of all ordered pairs, for counts of each different value (resamples x values)."""
        total: Floats = np.einsum("bv,bv->b", counts @ self.apart, counts)
        return total


def _table(different: Sequence[Any], distance: Distance) -> Floats:
    table = np.zeros((len(different), len(different)))
    for i, a in enumerate(different):
        for j in range(i):
            table[i, j] = table[j, i] = distance(a, different[j])
    return table


def nominal(a: Any, b: Any) -> float:
    """0 if equal, else 1."""
    return float(a != b)


def interval(a: float, b: float) -> float:
    """The squared difference."""
    return (a - b) ** 2


def ratio(a: float, b: float) -> float:
    """The squared difference relative to the sum."""
    return ((a - b) / (a + b)) ** 2 if a + b else 0.0


def ordinal(values: Sequence[float]) -> Distance:
    """The squared number of values lying between two ranks; needs all pairable values to count them."""
    counts = sorted(Counter(values).items())
    ranks: dict[float, float] = {}
    below = 0
    for value, count in counts:
        ranks[value] = below + count / 2
        below += count
    return lambda a, b: (ranks[a] - ranks[b]) ** 2


def kendalls_w(marks: npt.NDArray[np.float64]) -> float:
    """Kendall's coefficient of concordance 0..1, corrected for ties: tasters (rows) x servings (columns), no gaps.

    W = 12 S / (m^2 (n^3 - n) - m T) (Kendall & Babington Smith 1939; Siegel & Castellan 1988, 9.7).
    Raises `StatisticsError` with fewer than two tasters or servings, or where every taster gave every serving the same.
    """
    judges, items = marks.shape
    if judges < 2 or items < 2:
        raise StatisticsError("concordance needs two tasters and two servings", mend="show the marks alone")
    ranks = np.array([_mid_ranks(row) for row in marks])
    ties = sum(float(count**3 - count) for row in marks for count in np.unique(row, return_counts=True)[1])
    sums = ranks.sum(axis=0)
    spread = float(((sums - judges * (items + 1) / 2) ** 2).sum())
    most = judges**2 * (items**3 - items) - judges * ties
    if most <= 1e-9:
        raise StatisticsError("every taster gave every serving the same mark", mend="say that all gave the same")
    return float(12 * spread / most)


def _mid_ranks(row: Floats) -> Floats:
    order = np.sort(row)
    low = np.searchsorted(order, row, side="left")
    high = np.searchsorted(order, row, side="right")
    return (low + 1 + high) / 2


def finite_range(values: Floats) -> tuple[float, float] | None:
    """The middle 95 % of resampled figures, leaving out undefined ones; None where fewer than half are defined."""
    finite = values[np.isfinite(values)]
    if len(finite) * 2 < len(values) or not len(finite):
        return None
    low, high = np.percentile(finite, (2.5, 97.5))
    return (float(low), float(high)) if math.isfinite(low) else None
