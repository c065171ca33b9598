"""Intervals, 95 % all of them: of k of n, and over tasters of weights, shares and whatever else is figured."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.exact import exact_interval
from tastevocab.panel.folding import Floats, Folded, Integers
from tastevocab.panel.spans import Spans
from tastevocab.panel.sums import Weighting, own_weights

Z95 = 1.959963984540054
"""The normal quantile of a two-sided 95 % interval."""

SMALL = 60
"""Tasters up to whom intervals are exact or leave each out in turn; beyond, normal curves and resampling hold."""

BATCH = 64
"""Resamples worked at a time: enough for one matrix product, little enough to hold."""


def wilson(k: float, n: int, z: float = Z95) -> tuple[float, float]:
    """Wilson's score interval for k of n, as fractions 0..1 (Wilson 1927; method 3 of Newcombe 1998).

    Raises `StatisticsError` for n = 0 or k outside 0..n.

    >>> low, high = wilson(4, 5)
    >>> f"{low:.3f} {high:.3f}"
    '0.376 0.964'
    """
    if n <= 0 or not 0 <= k <= n:
        raise StatisticsError(f"{k} of {n} has no interval", mend="n is at least 1 and k between 0 and n")
    share, square = k / n, z * z
    middle = (share + square / (2 * n)) / (1 + square / n)
    half = z * np.sqrt(share * (1 - share) / n + square / (4 * n * n)) / (1 + square / n)
    low = 0.0 if k == 0 else float(middle - half)
    high = 1.0 if k == n else float(middle + half)
    return max(0.0, low), min(1.0, high)


def mean_spread(total: int, squares: int, count: int) -> float:
    """Half of the 95 % interval of the mean of `count` (two or more) whole numbers, from their sum and that of their
    squares: by its standard error and the normal quantile (from some 20 values on)."""
    variance = (squares - total * total / count) / (count - 1)
    return Z95 * math.sqrt(max(0.0, variance) / count)


def share_interval(k: int, n: int, *, least: int = 0) -> tuple[float, float]:
    """95 % interval of the share of such tasters, for k of n: exact up to `SMALL`, Wilson's beyond.

    With `least` it allows for the word having been chosen because `least` or more found it (on a small panel; in a
    crowd that choice hardly moves it). Raises `StatisticsError` as they do.
    """
    return exact_interval(k, n, least=least) if n <= SMALL else wilson(k, n)


@lru_cache(maxsize=512)
def student(df: int) -> float:
    """The quantile of Student's t that leaves 2.5 % on either side (closed form, Abramowitz & Stegun 26.7.3, 26.7.4).

    >>> f"{student(4):.3f}"
    '2.776'
    """

    def inside(t: float) -> float:
        angle = math.atan(t / math.sqrt(df))
        cosine, term, total = math.cos(angle), 1.0, 0.0
        for step in range(1 + df % 2, df, 2):
            total += term
            term *= cosine**2 * step / (step + 1)
        if df % 2 == 0:
            return math.sin(angle) * total
        return 2 / math.pi * (angle + math.sin(angle) * cosine * total)

    low, high = 0.0, 13.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(middle) < 0.95 else (low, middle)
    return (low + high) / 2


def jackknife(value: Floats, without: Floats) -> tuple[Floats, Floats]:
    """95 % limits of a figure from its values with each taster left out in turn (rows of `without`).

    Tukey's (1958, Ann. Math. Stat. 29:614): the spread of those, with Student's t of one less than there are tasters.
    """
    tasters = len(without)
    spread = np.sqrt((tasters - 1) / tasters * ((without - without.mean(axis=0)) ** 2).sum(axis=0))
    half = student(tasters - 1) * spread
    return value - half, value + half


@dataclass(frozen=True, slots=True)
class Intervals:
    """95 % intervals by descriptor: `weight` of its wedge (in the map's unit) and `share` (0..1); `method` says how
    they were made. They are of words looked at because they were found.
    """

    weight: Mapping[str, tuple[float, float]]
    share: Mapping[str, tuple[float, float]]
    method: str


def intervals(
    folded: Folded, spans: Spans, weighting: Weighting = "mark", *, samples: int = 1000, seed: int = 1
) -> Intervals:
    """Intervals of every wedge and its share.

    Up to `SMALL` tasters: each is left out in turn (`jackknife`), and no limit is nearer than k of n people alone
    leaves open (`exact_interval`); from three tasters on that holds its level (tests/bench/claims_tables.py). Beyond:
    `samples` resamples of the tasters with replacement, percentiles (Efron 1979), by `seed`.

    Raises `StatisticsError` with fewer than two tasters or no findings.
    """
    if len(folded.tasters) < 2 or not folded.taster.size:
        raise StatisticsError(
            "intervals need two tasters and a finding", mend="show the counts alone, without an interval"
        )
    if len(folded.tasters) <= SMALL:
        return _small(folded, spans, weighting)
    ids, rolled = _rollup(folded, spans)
    wedges = np.concatenate([own @ rolled for own in _resampled_own(folded, weighting, samples, seed)])
    shares = _shares(wedges, _tops(ids, spans))
    method = f"{samples:,} resamples of the tasters, percentiles, 95 %"
    return Intervals(_percentiles(ids, wedges), _percentiles(ids, shares), method)


def _small(folded: Folded, spans: Spans, weighting: Weighting) -> Intervals:
    ids, rolled = _rollup(folded, spans)
    tasters, tops = len(folded.tasters), _tops(ids, spans)
    wedges = own_weights(folded, weighting) @ rolled
    without = np.array([own_weights(folded.without(t), weighting) @ rolled for t in folded.tasters])
    said = np.zeros((tasters, len(folded.descriptors)))
    said[folded.taster, folded.descriptor] = 1
    # Whose words the wedge holds: a family's may hold a broad word at home there that counts nobody for the family.
    people = np.count_nonzero(said @ rolled, axis=0)
    exact = np.array([exact_interval(int(k), tasters) for k in people]) * (tasters / people)[:, None] * wedges[:, None]
    low, high = jackknife(wedges, without)
    low, high = np.clip(np.minimum(low, exact[:, 0]), 0, None), np.maximum(high, exact[:, 1])
    shares = _shares(wedges[None], tops)[0]
    rest = np.maximum(wedges[tops].sum() - wedges, 0.0)
    s_low, s_high = jackknife(shares, _shares(without, tops))
    # Where all the map is one word's, nothing is known of what else may be said.
    bound_low = np.divide(exact[:, 0], exact[:, 0] + rest, out=np.zeros_like(rest), where=rest > 0)
    bound_high = np.divide(exact[:, 1], exact[:, 1] + rest, out=np.ones_like(rest), where=rest > 0)
    s_low, s_high = np.clip(np.minimum(s_low, bound_low), 0, 1), np.clip(np.maximum(s_high, bound_high), 0, 1)
    return Intervals(
        {id: (float(low[i]), float(high[i])) for i, id in enumerate(ids)},
        {id: (float(s_low[i]), float(s_high[i])) for i, id in enumerate(ids)},
        "each taster left out in turn, Student's t, no nearer than k of n alone, 95 %",
    )


def _tops(ids: Sequence[str], spans: Spans) -> Integers:
    return np.array([i for i, id in enumerate(ids) if not spans.parent(id)], dtype=np.int64)


def _shares(wedges: Floats, tops: Integers) -> Floats:
    totals = wedges[:, tops].sum(axis=1, keepdims=True)
    made: Floats = np.divide(wedges, totals, out=np.zeros_like(wedges), where=totals > 0)
    return made


def resample_counts(tasters: int, samples: int, seed: int) -> Iterator[Floats]:
    """How often each taster is drawn, in blocks of resamples x tasters."""
    random = np.random.default_rng(seed)
    for start in range(0, samples, BATCH):
        size = min(BATCH, samples - start)
        draws = random.integers(0, tasters, size=(size, tasters))
        draws += tasters * np.arange(size)[:, None]
        yield np.bincount(draws.ravel(), minlength=size * tasters).reshape(size, tasters).astype(np.float64)


def _resampled_own(folded: Folded, weighting: Weighting, samples: int, seed: int) -> Iterator[Floats]:
    """Own weights in each resample: blocks of resamples x descriptors."""
    panel = len(folded.tasters)
    column = folded.share if weighting == "voice" else folded.certainty
    for counts in resample_counts(panel, samples, seed):
        frequency = np.zeros((len(counts), len(folded.descriptors)))
        intensity = np.zeros_like(frequency)
        for people, rows in folded.chunks():
            frequency += counts[:, people] @ folded.dense(people, rows, column).T
            if weighting == "mark":
                intensity += counts[:, people] @ folded.dense(people, rows, folded.certainty * folded.strength).T
        frequency *= 100 / panel
        yield np.sqrt(frequency * intensity / panel) if weighting == "mark" else frequency


def _rollup(folded: Folded, spans: Spans) -> tuple[list[str], Floats]:
    """The ids that get a wedge, and the matrix descriptors x ids that adds own weights up to them."""
    paths = []
    for id in folded.descriptors:
        path = [id]
        while spans.parent(path[-1]):
            path.append(spans.parent(path[-1]))
        paths.append(path)
    ids = sorted({id for path in paths for id in path}, key=spans.order.__getitem__)
    place = {id: i for i, id in enumerate(ids)}
    rolled = np.zeros((len(paths), len(ids)))
    for row, path in enumerate(paths):
        rolled[row, [place[id] for id in path]] = 1
    return ids, rolled


def _percentiles(ids: Sequence[str], values: Floats) -> dict[str, tuple[float, float]]:
    low, high = np.percentile(values, (2.5, 97.5), axis=0)
    return {id: (float(low[i]), float(high[i])) for i, id in enumerate(ids)}
