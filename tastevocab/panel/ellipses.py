"""How far coffees would move on their plane had other tasters tasted them: confidence ellipses by bootstrap."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.correspondence import Correspondence
from tastevocab.panel.folding import Booleans, Floats

FEWEST = 5
"""Tasters of a coffee from whom on an ellipse says something."""

LEVEL = 0.95
BATCH = 64


@dataclass(frozen=True, slots=True)
class Ellipse:
    """The 95 % ellipse of one coffee: its middle (`x`, `y`), half axes `long` and `short` in the plane's unit, the long
    one `turned` by so many radians from the first axis. `tasters` had the coffee."""

    coffee: str
    x: float
    y: float
    long: float
    short: float
    turned: float
    tasters: int

    def outline(self, corners: int = 72) -> tuple[Floats, Floats]:
        """The closed line around it: x and y."""
        angle = np.linspace(0, 2 * np.pi, corners + 1)
        along, across = self.long * np.cos(angle), self.short * np.sin(angle)
        cosine, sine = math.cos(self.turned), math.sin(self.turned)
        return self.x + along * cosine - across * sine, self.y + along * sine + across * cosine


def ellipses(
    found: Booleans, had: Booleans, made: Correspondence, *, samples: int = 1000, seed: int = 1
) -> tuple[Ellipse, ...]:
    """A 95 % ellipse for each coffee (column) of a correspondence analysis.

    `found` is tasters x coffees x words (as many as `made` has columns and rows), `had` tasters x coffees. Tasters are
    drawn again with replacement (`samples` times, by `seed`), each with all that they said; every such table gets its
    own plane, turned to ours (Procrustes; Cadoret & Husson 2013, Food Qual. Prefer. 28:106-115). How far the coffees
    as really found lie from where that table puts them is taken for how far the true ones lie from ours (the basic
    bootstrap: Davison & Hinkley 1997, ch. 5). So ellipses lie nearer to the middle than their points: the axes are
    those along which this table, chance and all, spreads most. Laying resampled coffees on our own axes overlooks
    that, and held 70 to 87 % of true places where 95 % were meant. As wide as Hotelling's T2 of as many tasters asks.

    Raises `StatisticsError` where there is no second axis, or where a coffee was had by fewer than `FEWEST` tasters.
    """
    if made.inertia.size < 2:
        raise StatisticsError("a plane needs three coffees and three words", mend="show the counts as a table")
    few = int((had.sum(axis=0) < FEWEST).sum())
    if few:
        raise StatisticsError(
            f"{few} of {had.shape[1]} coffees had fewer than {FEWEST} tasters, of whom an ellipse would say nothing",
            mend=f"draw the plane without, or ask {FEWEST} tasters or more",
        )
    gaps = np.concatenate(list(_gaps((found & had[:, :, None]).astype(np.float64), made, samples, seed)))
    drawn = []
    for column, coffee in enumerate(made.columns):
        some = gaps[:, column][np.isfinite(gaps[:, column]).all(axis=1)]
        drawn.append(_ellipse(coffee, made.column_points[column, :2], some, int(had[:, column].sum())))
    return tuple(drawn)


def _gaps(found: Floats, made: Correspondence, samples: int, seed: int) -> Iterator[Floats]:
    """How far each coffee as it was really found lies from where a resampled table puts it, on that table's own plane
    turned to ours (samples x coffees x 2); NaN where nobody drawn found a word in it."""
    random = np.random.default_rng(seed)
    tasters, coffees, words = found.shape
    flat = found.reshape(tasters, -1)
    axes = made.row_points[:, :2] / np.sqrt(made.inertia[:2])
    real = _profiles(found.sum(axis=0))
    for start in range(0, samples, BATCH):
        times = random.multinomial(tasters, np.full(tasters, 1 / tasters), size=min(BATCH, samples - start))
        counts = (times @ flat).reshape(len(times), coffees, words)
        own = _axes(counts)
        left, _, right = np.linalg.svd(np.einsum("bwa,w,wc->bac", own, made.row_mass, axes))
        gaps: Floats = np.einsum("bcw,bwa->bca", real - _profiles(counts), own @ (left @ right))
        yield gaps


def _profiles(counts: Floats) -> Floats:
    total = counts.sum(axis=-1, keepdims=True)
    made: Floats = np.divide(counts, total, out=np.full(counts.shape, np.nan), where=total > 0)
    return made


def _axes(counts: Floats) -> Floats:
    """Standard coordinates of the words on the first two axes of each table (tables x words x 2)."""
    table = counts.swapaxes(1, 2) / counts.sum(axis=(1, 2), keepdims=True)
    rows, columns = table.sum(axis=2), table.sum(axis=1)
    expected = rows[:, :, None] * columns[:, None, :]
    residuals = np.divide(table - expected, np.sqrt(expected), out=np.zeros_like(table), where=expected > 0)
    left = np.linalg.svd(residuals, full_matrices=False)[0][:, :, :2]
    mass = np.sqrt(rows)[:, :, None]
    made: Floats = np.divide(left, mass, out=np.zeros_like(left), where=mass > 0)
    return made


def _ellipse(coffee: str, point: Floats, gaps: Floats, tasters: int) -> Ellipse:
    # A bootstrap's variance is that of n tasters over n; an estimate is over n - 1.
    spread = np.cov(gaps.T) * tasters / (tasters - 1)
    centre = point + gaps.mean(axis=0)
    variances, directions = np.linalg.eigh(spread)
    reach = math.sqrt(_hotelling(tasters))
    short, long = reach * np.sqrt(np.maximum(variances, 0.0))
    turned = math.atan2(directions[1, 1], directions[0, 1]) % math.pi  # either way along it is the same line
    return Ellipse(coffee, float(centre[0]), float(centre[1]), float(long), float(short), turned, tasters)


def _hotelling(tasters: int) -> float:
    """The 95 % point of Hotelling's T2 in two dimensions: 2 (n - 1) / (n - 2) times that of F(2, n - 2)."""
    rest = tasters - 2
    f = rest / 2 * (math.pow(1 - LEVEL, -2 / rest) - 1)
    return 2 * (tasters - 1) / rest * f
