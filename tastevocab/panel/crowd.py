"""Many coffees at once: whether a family separates them, and what sets each apart from the others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.contrast import PROOF, families
from tastevocab.panel.exact import cochran_q, difference_interval, holm
from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Floats, found_by
from tastevocab.panel.spans import Spans


@dataclass(frozen=True, slots=True)
class Separation:
    """Whether one family is found more in some coffees than in others by the same tasters (Cochran's Q).

    `people` and `of` by coffee; `p_holm` corrected over all families asked; `most` the coffee furthest above the rest,
    `least` the one furthest below. `q` is None where nobody differs between coffees.
    """

    descriptor: str
    print: str
    people: Mapping[str, int]
    of: Mapping[str, int]
    q: float | None
    df: int
    p: float
    p_holm: float
    tasters: int
    most: str
    least: str
    verdict: str


@dataclass(frozen=True, slots=True)
class Apart:
    """What sets one coffee apart: k of n found it here, k_rest of n_rest in the others; the difference of the shares
    with its 95 % interval (-1..1)."""

    coffee: str
    descriptor: str
    print: str
    people: int
    of: int
    people_rest: int
    of_rest: int
    difference: float
    low: float
    high: float


def apart_json(apart: Apart) -> dict[str, Any]:
    """For programs, without the coffee it stands under; figures keep six decimals."""
    return {
        "descriptor": apart.descriptor,
        "print": apart.print,
        "people": apart.people,
        "of": apart.of,
        "people_rest": apart.people_rest,
        "of_rest": apart.of_rest,
        "difference": round(apart.difference, 6),
        "interval": [round(apart.low, 6), round(apart.high, 6)],
    }


def separations(maps: Mapping[str, FlavourMap], spans: Spans) -> tuple[Separation, ...]:
    """Cochran's Q for every family found by two people or more, smallest p first; tasters may have missed coffees."""
    ids = [id for id in families(*maps.values(), spans=spans) if _people_of(id, maps) >= 2]
    everyone = sorted({t for made in maps.values() for t in made.tasters})
    tables = _tables(maps, everyone, ids, spans)
    tests = [_test(tables[:, :, column]) for column in range(len(ids))]
    corrected = holm([p for _, _, p, _ in tests])
    made = [_separation(id, maps, spans, test, p) for id, test, p in zip(ids, tests, corrected, strict=True)]
    return tuple(sorted(made, key=lambda s: (s.p_holm, s.p, -(s.q or 0), spans.order[s.descriptor])))


def sets_apart(maps: Mapping[str, FlavourMap], spans: Spans, coffee: str, *, level: str = "") -> tuple[Apart, ...]:
    """For one coffee every family, note and broad word, the surest excess over the other coffees first.

    `level` keeps only "family", "note" or "reach". Shares are of those who tasted; in the others each taster of a
    coffee counts once a coffee.
    """
    here, rest = maps[coffee], [made for other, made in maps.items() if other != coffee]
    of, of_rest = len(here.tasters), sum(len(made.tasters) for made in rest)
    if not of or not of_rest:
        raise StatisticsError("nothing to set it apart from", mend="give two coffees with tasters")
    ids = {n.descriptor for made in maps.values() for n in made.nodes if n.level in ((level,) if level else _LEVELS)}
    found = []
    for id in ids:
        people = _people(id, here)
        people_rest = sum(_people(id, made) for made in rest)
        low, high = difference_interval(people, of, people_rest, of_rest)
        difference = people / of - people_rest / of_rest
        print = spans.descriptor(id).print
        found.append(Apart(coffee, id, print, people, of, people_rest, of_rest, difference, low, high))
    return tuple(sorted(found, key=lambda a: (-a.low, -a.difference, spans.order[a.descriptor])))


_LEVELS = ("family", "note", "reach")


def _people(id: str, made: FlavourMap) -> int:
    node = made.by_id.get(id)
    return node.people if node else 0


def _people_of(id: str, maps: Mapping[str, FlavourMap]) -> int:
    return sum(_people(id, made) for made in maps.values())


def _tables(maps: Mapping[str, FlavourMap], everyone: Sequence[str], ids: Sequence[str], spans: Spans) -> Floats:
    """Tasters x coffees x families: 1 found, 0 not, nan where the taster did not have the coffee."""
    place = {t: i for i, t in enumerate(everyone)}
    tables = np.full((len(everyone), len(maps), len(ids)), np.nan)
    for column, made in enumerate(maps.values()):
        tables[[place[t] for t in made.tasters], column] = found_by(made.folded, spans, ids)
    return tables


def _test(table: Floats) -> tuple[float | None, int, float, int]:
    try:
        made = cochran_q(table)
    except StatisticsError:
        return None, 0, 1.0, 0
    return made.q, made.df, made.p, made.tasters


def _separation(
    id: str, maps: Mapping[str, FlavourMap], spans: Spans, test: tuple[float | None, int, float, int], p_holm: float
) -> Separation:
    q, df, p, tasters = test
    people = {coffee: _people(id, made) for coffee, made in maps.items()}
    of = {coffee: len(made.tasters) for coffee, made in maps.items()}
    excess = {coffee: _excess(coffee, people, of) for coffee in maps}
    most = max(excess, key=lambda c: excess[c])
    least = min(excess, key=lambda c: excess[c])
    if q is None:
        verdict = "nobody tells the coffees apart by it"
    elif p_holm <= PROOF:
        verdict = f"separates them: most in {most}, least in {least}"
    else:
        verdict = "no difference shown"
    return Separation(id, spans.descriptor(id).print, people, of, q, df, p, p_holm, tasters, most, least, verdict)


def _excess(coffee: str, people: Mapping[str, int], of: Mapping[str, int]) -> float:
    rest, rest_of = sum(people.values()) - people[coffee], sum(of.values()) - of[coffee]
    return people[coffee] / max(of[coffee], 1) - rest / max(rest_of, 1)
