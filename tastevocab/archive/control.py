"""Control charts: is what is seen over time still what it was? Shares (p chart), sums (CUSUM), averages (EWMA)."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from tastevocab.archive.special import binomial_cdf
from tastevocab.errors import StatisticsError

SMALL = 20
"""Below so many a share is judged by the exact binomial instead of the normal limits."""

TAIL = 0.00135
"""The chance beyond one three-sigma limit of a normal variable, which the exact limits keep."""

MOVING_RANGE = 1.128
"""d2 of two: the mean range of two normal values in standard deviations (Montgomery, Appendix VI)."""


@dataclass(frozen=True, slots=True)
class Point:
    """One point of a chart: its `value`, the limits it is judged by, and whether it lies `out` of them."""

    value: float
    low: float
    high: float
    out: bool
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart of points around its `centre`."""

    centre: float
    points: tuple[Point, ...]

    @property
    def out(self) -> tuple[int, ...]:
        """Which points lie out, from 0."""
        return tuple(i for i, point in enumerate(self.points) if point.out)


def p_chart(counts: Sequence[tuple[int, int]], centre: float | None = None) -> Chart:
    """Shares k of n over time with limits at centre +- 3 sqrt(centre (1 - centre) / n), n as it is at each point.

    NIST/SEMATECH e-Handbook of Statistical Methods 6.3.3.2. `centre` is the share to be held against (all points
    together if None). Where n is below `SMALL` the limits are the counts beyond which the exact binomial leaves `TAIL`.

    Raises `StatisticsError` without points, or where one has n below 1 or k outside 0..n.
    """
    if not counts or any(n < 1 or not 0 <= k <= n for k, n in counts):
        raise StatisticsError("a chart of shares needs k of n, n at least 1", mend="leave out what was not tasted")
    middle = sum(k for k, _ in counts) / sum(n for _, n in counts) if centre is None else centre
    return Chart(middle, tuple(_share(k, n, middle) for k, n in counts))


def _share(k: int, n: int, centre: float) -> Point:
    if n < SMALL:
        low, high = exact_limits(n, centre)
        return Point(k / n, low / n, high / n, not low <= k <= high, exact=True)
    half = 3 * math.sqrt(centre * (1 - centre) / n)
    low_share, high_share = max(0.0, centre - half), min(1.0, centre + half)
    return Point(k / n, low_share, high_share, not low_share <= k / n <= high_share)


def exact_limits(n: int, p: float) -> tuple[int, int]:
    """The least and the most of `n` that are no surprise at rate `p`: beyond each lies a chance of at most `TAIL`."""
    low = next(k for k in range(n + 1) if binomial_cdf(k, n, p) > TAIL)
    high = next(k for k in range(n, -1, -1) if 1 - binomial_cdf(k - 1, n, p) > TAIL)
    return low, high


@dataclass(frozen=True, slots=True)
class Cusum:
    """The tabular CUSUM: `high` and `low` sums at each point (both at least 0), the `limit`, where either first passes
    it (`signal`, from 0), and the point after which the shift began (`began`: the last at which that sum was 0)."""

    high: tuple[float, ...]
    low: tuple[float, ...]
    limit: float
    signal: int | None
    began: int | None


def cusum(values: Sequence[float], target: float, sigma: float, *, k: float = 0.5, h: float = 5.0) -> Cusum:
    """Sums of how far values lie beyond target +- k sigma, upwards and downwards, never below 0; signals above h sigma.

    Page (1954); the tabular form and k = 1/2, h = 5 as in Montgomery, Introduction to Statistical Quality Control. It
    finds a lasting shift of one sigma within some ten points. Raises `StatisticsError` where sigma is not above 0.
    """
    if sigma <= 0:
        raise StatisticsError("values that never differ have no chart", mend="show the value alone")
    highs, lows = [], []
    up = down = 0.0
    for value in values:
        up = max(0.0, value - (target + k * sigma) + up)
        down = max(0.0, (target - k * sigma) - value + down)
        highs.append(up)
        lows.append(down)
    limit = h * sigma
    signal = next((i for i, pair in enumerate(zip(highs, lows, strict=True)) if max(pair) > limit), None)
    began = None
    if signal is not None:
        side = highs if highs[signal] > limit else lows
        began = next((i + 1 for i in range(signal, -1, -1) if side[i] == 0), 0)
    return Cusum(tuple(highs), tuple(lows), limit, signal, began)


def ewma(values: Sequence[float], target: float, sigma: float, *, weight: float = 0.3, width: float = 3.0) -> Chart:
    """Exponentially weighted averages, begun at the target, with limits at width sigma sqrt(weight / (2 - weight)).

    NIST/SEMATECH e-Handbook 6.3.2.4 (Roberts 1959); the limits are those of a long run. `weight` (0..1) is that of the
    newest value. Raises `StatisticsError` where sigma is not above 0 or the weight is outside 0..1.
    """
    if sigma <= 0 or not 0 < weight <= 1:
        raise StatisticsError("values that never differ have no chart", mend="show the value alone")
    half = width * sigma * math.sqrt(weight / (2 - weight))
    points, average = [], target
    for value in values:
        average = weight * value + (1 - weight) * average
        points.append(Point(average, target - half, target + half, abs(average - target) > half))
    return Chart(target, tuple(points))


def moving_range_sigma(values: Sequence[float]) -> float:
    """The spread of single values about a level that may drift: the mean step from one to the next over 1.128.

    Montgomery, chapter on charts for individuals. Raises `StatisticsError` with fewer than two values.
    """
    if len(values) < 2:
        raise StatisticsError("one value has no spread", mend="wait for the next session")
    steps = [abs(b - a) for a, b in itertools.pairwise(values)]
    return math.fsum(steps) / len(steps) / MOVING_RANGE
