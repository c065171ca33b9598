"""Intervals: Wilson's for k of n, and the bootstrap over tasters for weights and shares."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.flavour_map import Weighting
from tastevocab.panel.folding import Floats, Folded
from tastevocab.panel.spans import Spans

Z95 = 1.959963984540054
"""The normal quantile of a two-sided 95 % interval."""

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


def mean_interval(values: Floats) -> tuple[float, float] | None:
    """95 % interval of a mean by its standard error and the normal quantile (from some 20 values on); None for one
    value or none."""
    if len(values) < 2:
        return None
    half = Z95 * float(values.std(ddof=1)) / float(np.sqrt(len(values)))
    return float(values.mean()) - half, float(values.mean()) + half


@dataclass(frozen=True, slots=True)
class Intervals:
    """95 % bootstrap intervals by descriptor: `weight` of its wedge (in the map's unit) and `share` (0..1).

    Percentiles over `samples` resamples of the tasters, by `seed`.
    """

    weight: Mapping[str, tuple[float, float]]
    share: Mapping[str, tuple[float, float]]
    samples: int
    seed: int


def bootstrap(
    folded: Folded, spans: Spans, weighting: Weighting = "mark", *, samples: int = 1000, seed: int = 1
) -> Intervals:
    """Resample the tasters with replacement and rebuild every wedge each time (Efron 1979, percentile interval).

    Raises `StatisticsError` with fewer than two tasters or no findings.
    """
    if len(folded.tasters) < 2 or not folded.taster.size:
        raise StatisticsError(
            "intervals need two tasters and a finding", mend="show the counts alone, without an interval"
        )
    ids, rolled = _rollup(folded, spans)
    wedges = np.concatenate([own @ rolled for own in _resampled_own(folded, weighting, samples, seed)])
    top = [i for i, id in enumerate(ids) if not spans.parent(id)]
    totals = wedges[:, top].sum(axis=1, keepdims=True)
    shares = np.divide(wedges, totals, out=np.zeros_like(wedges), where=totals > 0)
    return Intervals(_percentiles(ids, wedges), _percentiles(ids, shares), samples, seed)


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
