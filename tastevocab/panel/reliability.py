"""Krippendorff's alpha and Kendall's W as formulas, with their intervals and what chance gives."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from itertools import permutations
from typing import Any

import numpy as np
import numpy.typing as npt

from tastevocab.errors import StatisticsError
from tastevocab.panel.folding import Floats, Integers
from tastevocab.panel.intervals import jackknife

EXACT = 50_000
DRAWN = 9_999
"""Orders of marks worked all, or drawn, for the chance of a concordance."""

Distance = Callable[[Any, Any], float]


class Pairs:
    """The values of several tasters on several servings, ready for alpha under any weights of the tasters.

    `values[i]` was given by taster `taster[i]` in serving `unit[i]`. Servings with one value drop out, for they hold no
    pair. `distance` gives the disagreement of two values (a squared difference, MASI, ...), 0 for equal ones.

    Alpha = 1 - observed over expected disagreement (Krippendorff 2011, Computing Krippendorff's Alpha-Reliability).
    Below 0: worse than chance; 0: chance; 1: all alike. A taster who counts twice is no pair of tasters.
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
        """Alpha for each row of `weights` (rows x tasters: how often each counts; one row of ones if None).

        nan where a row holds no pair or no variation.
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
        """The disagreement of all ordered pairs, for counts of each different value (rows x values)."""
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


def concordance_p(marks: Floats, *, seed: int = 1) -> float:
    """The chance of as much concordance if every taster's marks had fallen to the servings in any order.

    All orders up to `EXACT` of them (the first taster's may stay: only the others' against it matter), else `DRAWN`
    seeded ones, p = (1 + as big) / (1 + drawn). Kendall and Babington Smith (1939) tabled it; raises as `kendalls_w`.
    """
    kendalls_w(marks)
    ranks = np.array([_mid_ranks(row) for row in marks])
    spread = _spread(ranks.sum(axis=0)[None])[0]
    ways = math.prod(_orders(row) for row in ranks[1:])
    if ways <= EXACT:
        sums = ranks[:1]
        for row in ranks[1:]:
            orders = np.unique(np.array(list(permutations(row))), axis=0)
            sums = (sums[:, None] + orders[None]).reshape(-1, ranks.shape[1])
        return float((_spread(sums) >= spread - 1e-9).mean())
    random = np.random.default_rng(seed)
    sums = np.zeros((DRAWN, ranks.shape[1]))
    for row in ranks:
        sums += random.permuted(np.broadcast_to(row, sums.shape), axis=1)
    return float((1 + np.count_nonzero(_spread(sums) >= spread - 1e-9)) / (1 + DRAWN))


def _orders(row: Floats) -> int:
    """How many different orders a taster's ranks have."""
    return math.factorial(len(row)) // math.prod(math.factorial(int(n)) for n in np.unique(row, return_counts=True)[1])


def _spread(sums: Floats) -> Floats:
    made: Floats = ((sums - sums.mean(axis=1, keepdims=True)) ** 2).sum(axis=1)
    return made


def w_interval(marks: Floats) -> tuple[float, float] | None:
    """95 % interval of Kendall's W: each taster left out in turn, on the scale of ln(W / (1 - W)) so that it stays in
    0..1. What is resampled are pairs of different tasters (W = (1 + (m - 1) r) / m of their mean rank correlation r),
    so no taster ever agrees with a copy of themselves. None with fewer than three tasters, or where all agree.
    """
    ranks = np.array([_mid_ranks(row) for row in marks])
    judges = len(ranks)
    if judges < 3:
        return None
    apart = ranks - ranks.mean(axis=1, keepdims=True)
    together = apart @ apart.T

    def logit(keep: Integers) -> float:
        square = together[np.ix_(keep, keep)]
        own = float(np.trace(square))
        if own <= 0:
            return float("nan")
        r = (float(square.sum()) - own) / ((len(keep) - 1) * own)
        w = min(max((1 + (judges - 1) * r) / judges, 1e-3), 1 - 1e-3)
        return math.log(w / (1 - w))

    everyone = np.arange(judges)
    value = np.array([logit(everyone)])
    without = np.array([[logit(np.delete(everyone, i))] for i in range(judges)])
    if not np.isfinite(without).all() or np.ptp(without) < 1e-9:
        return None
    low, high = (1 / (1 + math.exp(-float(limit[0]))) for limit in jackknife(value, without))
    return low, high


def alpha_interval(pairs: Pairs, tasters: int) -> tuple[float, float] | None:
    """95 % interval of alpha: each taster left out in turn; None with fewer than three, or where that moves nothing."""
    value, without = pairs.alpha(np.ones((1, tasters))), pairs.alpha(1 - np.eye(tasters))
    said = np.unique(pairs.taster)
    without = without[said]
    if len(said) < 3 or not np.isfinite(without).all() or np.ptp(without) < 1e-9:
        return None
    low, high = jackknife(value, without[:, None])
    return float(low[0]), min(1.0, float(high[0]))


def _mid_ranks(row: Floats) -> Floats:
    order = np.sort(row)
    low = np.searchsorted(order, row, side="left")
    high = np.searchsorted(order, row, side="right")
    return (low + 1 + high) / 2
