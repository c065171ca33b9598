"""One wheel's circle in mm: where its rings end, how far out so many people are, and the bands of its printed words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tastevocab.wheel.arcs import Arc, Picture
from tastevocab.wheel.tree import Printed

HOLE, CATEGORY_END, FAMILY_END = 0.15, 0.29, 0.44
"""Where the rings end, as parts of the rim's radius: the taxonomy is narrow and quiet, the petals are the picture."""

_STARTS = {"category": HOLE, "family": CATEGORY_END, "petal": FAMILY_END}
_ENDS = {"category": CATEGORY_END, "family": FAMILY_END, "petal": 1.0}

Stretch = tuple[float, float]
"""Start and end in radians; the end may lie beyond a full turn."""


@dataclass(frozen=True, slots=True)
class Band:
    """A printed word's bold band: its outer `radius` and `thick`ness in mm, and the stretches it covers, widest first.

    `number` marks stretches that lie apart as one word (0: the word lies in one place).
    """

    place: int
    word: Printed
    radius: float
    thick: float
    stretches: tuple[Stretch, ...]
    number: int

    @property
    def inner(self) -> float:
        return self.radius - self.thick

    def over(self, start: float, end: float) -> bool:
        """Whether it covers any of the angles from `start` to `end`."""
        return any(
            min(end + turn, high) - max(start + turn, low) > 1e-6
            for low, high in self.stretches
            for turn in (0.0, math.tau)
        )


@dataclass(frozen=True, slots=True)
class Dial:
    """A wheel's circle: centre, rim and the picture it shows."""

    x: float
    y: float
    radius: float
    picture: Picture

    def extent(self, arc: Arc) -> tuple[float, float]:
        """Inner and outer radius of an arc in mm; an open petal with nothing below it starts further in."""
        inner, outer = _STARTS[arc.ring], _ENDS[arc.ring]
        tip = inner + (outer - inner) * arc.length
        return _STARTS[arc.base if arc.ring == "petal" else arc.ring] * self.radius, tip * self.radius

    def at(self, people: float) -> float:
        """How far out, in mm, a petal of so many people ends."""
        full = self.picture.full or 1
        return self.radius * (FAMILY_END + (1 - FAMILY_END) * min(1.0, people / full))

    @property
    def floor(self) -> float:
        """Where petals start, in mm."""
        return self.radius * FAMILY_END

    def bands(self) -> tuple[Band, ...]:
        """A band for every printed word, in the order of the notes line; of two on each other the wider is out."""
        thick = self.radius * 0.026
        laid: list[Band] = []
        found = [(i, word, _stretches(self.picture, i)) for i, word in enumerate(self.picture.printed)]
        numbers = numbers_of(self.picture)
        for i, word, stretches in sorted(found, key=lambda f: sum(high - low for low, high in f[2])):
            band = Band(i, word, self.at(word.people) + thick / 2, thick, stretches, numbers.get(i, 0))
            laid.append(_clear_of(laid, band))
        return tuple(sorted((band for band in laid if band.stretches), key=lambda band: band.place))


def numbers_of(shown: Picture) -> dict[int, int]:
    """Numbers from 1 on for the printed words (by place) whose petals lie in several places."""
    apart = [i for i in range(len(shown.printed)) if len(_stretches(shown, i)) > 1]
    return {place: number for number, place in enumerate(apart, 1)}


def _clear_of(laid: list[Band], band: Band) -> Band:
    """The band, moved out until it lies on none of those laid."""
    for _ in laid:
        for other in laid:
            touching = any(other.over(*stretch) for stretch in band.stretches)
            if touching and abs(other.radius - band.radius) < band.thick * 1.9:
                band = Band(
                    band.place, band.word, other.radius + band.thick * 1.9, band.thick, band.stretches, band.number
                )
    return band


def _stretches(picture: Picture, place: int) -> tuple[Stretch, ...]:
    """Where a printed word's petals lie, those side by side as one, widest first."""
    petals = [arc for arc in picture.arcs if arc.ring == "petal"]
    runs: list[list[Arc]] = []
    beside = False
    for arc in petals:
        counts = place in arc.printed
        if counts and beside:
            runs[-1].append(arc)
        elif counts:
            runs.append([arc])
        beside = counts
    stretches = [(run[0].start, run[-1].end) for run in runs]
    if len(stretches) > 1 and stretches[0][0] < 1e-9 and stretches[-1][1] > math.tau - 1e-9:
        stretches = [*stretches[1:-1], (stretches[-1][0], stretches[0][1] + math.tau)]
    return tuple(sorted(stretches, key=lambda s: (s[0] - s[1], s[0])))
