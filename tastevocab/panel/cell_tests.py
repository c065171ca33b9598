"""The table of coffees and words cell by cell: where a word is found more, or less, than chance would have it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.crowd import words_found
from tastevocab.panel.exact import false_discovery, sum_of_chances
from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Booleans, Floats, distinct
from tastevocab.panel.spans import Spans

FALSE = 0.05
"""Of the cells told, so big a part at most is expected to be false (Benjamini & Hochberg 1995)."""

EXACT = 400
"""Up to so many tasters whose words can move, a cell's chance is exact; beyond, a normal curve."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One word in one coffee: found by `people` of `of`, `expected` were the coffees alike; `p` two-sided, `q` that p
    corrected for all cells of the table."""

    coffee: str
    descriptor: str
    print: str
    people: int
    of: int
    expected: float
    p: float
    q: float

    @property
    def told(self) -> bool:
        """Whether it may be told, with 5 % of such cells at most expected to be false."""
        return self.q <= FALSE

    @property
    def way(self) -> str:
        """Whether it is found "more" or "less" than were the coffees alike."""
        return "more" if self.people > self.expected else "less"


@dataclass(frozen=True, slots=True)
class CellTable:
    """Every cell that chance could have made otherwise, surest first. `tasters` had two coffees or more, `once` one."""

    cells: tuple[Cell, ...]
    tasters: int
    once: int

    @property
    def told(self) -> tuple[Cell, ...]:
        """The cells that may be told."""
        return tuple(c for c in self.cells if c.told)


def cell_table(maps: Mapping[str, FlavourMap], spans: Spans) -> CellTable:
    """Every word that two tasters or more found somewhere, in every coffee; a family that was found exactly where one
    note of it was is that note.

    Raises `StatisticsError` for fewer than two coffees, and for a table so small that no cell of it could be told
    whatever was found.
    """
    if len(maps) < 2:
        raise StatisticsError("one coffee is no table", mend="name two coffees or more in the session")
    ids, _, had, found = words_found(tuple(maps.values()), spans)
    kept = distinct(found)
    ids, found = [ids[i] for i in kept], found[:, :, kept]
    expected, p, least = cell_chances(found, had)
    places = [(int(c), int(w)) for w, c in np.argwhere(least.T < 1)]
    if not places or min(float(least[place]) for place in places) > FALSE:
        raise StatisticsError(
            f"{len(had)} tasters on {len(maps)} coffees are too few: no cell's p could fall to {100 * FALSE:.0f} %",
            mend="ask more tasters, or serve them more coffees (`tastevocab session new --to-show` says how many)",
        )
    corrected = false_discovery([float(p[place]) for place in places])
    names = tuple(maps)
    made = [
        Cell(
            coffee=names[coffee],
            descriptor=ids[word],
            print=spans.descriptor(ids[word]).print,
            people=int(found[:, coffee, word].sum()),
            of=int(had[:, coffee].sum()),
            expected=float(expected[coffee, word]),
            p=float(p[coffee, word]),
            q=q,
        )
        for (coffee, word), q in zip(places, corrected, strict=True)
    ]
    many = int((had.sum(axis=1) > 1).sum())
    once = int((had.sum(axis=1) == 1).sum())
    return CellTable(tuple(sorted(made, key=lambda c: (c.q, c.p))), many, once)


def cell_chances(found: Booleans, had: Booleans) -> tuple[Floats, Floats, Floats]:
    """People expected in each cell (coffees x words) were the coffees alike, the two-sided p, and the least p that the
    cell could have had (1: nothing could move).

    `found` is tasters x coffees x words, `had` tasters x coffees. Were the coffees alike, a taster's finds could as
    well lie in any of the coffees they had, and those who had a single coffee could have had each other's. So a cell
    is a sum over tasters of chances k of m, with a hypergeometric count of the latter: the exact conditional test of
    many 2 x 2 tables, a table a taster (Birch 1964, J. R. Stat. Soc. B 26:313-324). With two coffees each that is the
    exact sign test of McNemar, with one coffee each the exact test of Fisher. Two-sided: all counts that are no
    likelier than the one seen. With more than `EXACT` tasters whose words can move, the normal curve of Mantel and
    Haenszel (1959, J. Natl. Cancer Inst. 22:719-748) with their half person off.
    """
    found = found & had[:, :, None]
    m = had.sum(axis=1)
    single = m == 1
    expected, p, least = (np.zeros(found.shape[1:]), *np.ones((2, *found.shape[1:])))
    for coffee in range(found.shape[1]):
        here = had[:, coffee] & ~single
        shares = found[here].sum(axis=1) / np.maximum(m[here], 1)[:, None]
        alone = had[:, coffee] & single
        for word in range(found.shape[2]):
            split = (int(single.sum()), int(found[single, :, word].sum()), int(alone.sum()))
            seen = int(found[:, coffee, word].sum())
            expected[coffee, word], p[coffee, word], least[coffee, word] = _chance(shares[:, word], split, seen)
    return expected, p, least


def _chance(shares: Floats, split: tuple[int, int, int], seen: int) -> tuple[float, float, float]:
    """What one cell is expected to hold, its p and the least p it could have."""
    everybody, finders, alone = split
    mean = float(shares.sum()) + (finders * alone / everybody if everybody else 0.0)
    sure = int((shares == 1).sum())
    moving = shares[(shares > 0) & (shares < 1)]
    if len(moving) + (everybody if 0 < finders < everybody else 0) > EXACT:
        spread = float((moving * (1 - moving)).sum()) + _spread(*split)
        return mean, _normal_p(seen - mean, spread), 0.0
    likely = np.convolve(sum_of_chances(moving.tolist()), _drawn(*split))
    return mean, float(likely[likely <= likely[seen - sure] * (1 + 1e-9)].sum()), float(likely[likely > 0].min())


def _drawn(everybody: int, finders: int, alone: int) -> Floats:
    """How likely 0, 1, 2, ... of the `alone` are among the `finders` of `everybody` (hypergeometric)."""
    ways = math.comb(everybody, alone)
    return np.array(
        [
            math.comb(finders, k) * math.comb(everybody - finders, alone - k) / ways
            for k in range(min(finders, alone) + 1)
        ]
    )


def _spread(everybody: int, finders: int, alone: int) -> float:
    """The variance of that count."""
    if everybody < 2:
        return 0.0
    return alone * finders * (everybody - finders) * (everybody - alone) / (everybody**2 * (everybody - 1))


def _normal_p(apart: float, spread: float) -> float:
    return math.erfc(max(0.0, abs(apart) - 0.5) / math.sqrt(2 * spread)) if spread > 0 else 1.0


def cell_lines(made: CellTable, called: Mapping[str, str]) -> Iterator[str]:
    """The cells that may be told, in plain lines; `called` are the coffees' names by their ids."""
    coffees = len({c.coffee for c in made.cells})
    people = f"{made.tasters:,} tasters of several coffees" + (f", {made.once:,} of one" if made.once else "")
    yield (
        f"Cell by cell: {len(made.cells):,} cells of {coffees} coffees, {people}. Told with a false-discovery rate of "
        f"{100 * FALSE:.0f} %: of a hundred cells told so, at most five are expected to be false."
    )
    if not made.told:
        surest = made.cells[0]
        coffee = called.get(surest.coffee, surest.coffee)
        yield (
            f"  No cell stands out. Nearest: {surest.print} in {coffee}, {surest.people} of {surest.of} "
            f"(p {surest.p:.2g}, corrected {surest.q:.2g})."
        )
        return
    width = max(len(c.print) for c in made.told)
    for coffee in dict.fromkeys(c.coffee for c in made.told):
        yield f"  {called.get(coffee, coffee)}"
        for c in (c for c in made.told if c.coffee == coffee):
            yield (
                f"    {c.print:<{width}}  {c.people} of {c.of}, {c.way} than the {c.expected:.1f} expected "
                f"(p {c.p:.2g}, corrected {c.q:.2g})"
            )


CELL_COLUMNS = ("coffee", "descriptor", "print", "people", "of", "expected", "p", "q", "told")


def cell_rows(made: CellTable) -> list[tuple[object, ...]]:
    """A row a cell under `CELL_COLUMNS`; `told` is "more", "less" or nothing."""
    return [
        (c.coffee, c.descriptor, c.print, c.people, c.of, f"{c.expected:.3f}", f"{c.p:.6g}", f"{c.q:.6g}",
         c.way if c.told else "")
        for c in made.cells
    ]  # fmt: skip


def cells_json(made: CellTable) -> dict[str, Any]:
    """For programs; figures keep six decimals."""
    return {
        "method": "exact conditional test within tasters, Benjamini-Hochberg",
        "false_discovery_rate": FALSE,
        "tasters": made.tasters,
        "tasters_of_one": made.once,
        "cells": [
            {
                "coffee": c.coffee,
                "descriptor": c.descriptor,
                "print": c.print,
                "people": c.people,
                "of": c.of,
                "expected": round(c.expected, 6),
                "p": round(c.p, 6),
                "q": round(c.q, 6),
                "told": c.way if c.told else None,
            }
            for c in made.cells
        ],
    }
