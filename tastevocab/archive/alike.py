"""The archive's nearest coffees to one: by how far its map would have to be moved along the tree, with reasons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from tastevocab.archive.people import row_dicts
from tastevocab.archive.store import Archive
from tastevocab.archive.tastings import today
from tastevocab.panel.agreement import at_level
from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Floats
from tastevocab.panel.settling import some
from tastevocab.panel.spans import Spans
from tastevocab.panel.sums import own_weights

SHARE = 0.05
"""The least part of a map (0..1) that is worth telling as shared or as a difference."""


@dataclass(frozen=True, slots=True)
class Alike:
    """One near coffee. `steps` is the earth mover's distance along the tree (0 the same map, 2 as far as sibling notes,
    4 another family, 6 another category); `shared` the words that both maps hold (label, share here, share there), most
    shared first, `parted` the families that differ most (label, share here, share there)."""

    session: str
    date: str
    coffee: str
    name: str
    tasters: int
    steps: float
    shared: tuple[tuple[str, float, float], ...]
    parted: tuple[tuple[str, float, float], ...]


def map_shares(made: FlavourMap) -> dict[str, float]:
    """A map as the share of each descriptor said (adds up to 1; empty where nothing was)."""
    weights = own_weights(made.folded, "mark").tolist()
    return _shares(dict(zip(made.folded.descriptors, weights, strict=True)))


def nearest(
    archive: Archive,
    shares: Mapping[str, float],
    spans: Spans,
    *,
    apart_from: tuple[str, str] = ("", ""),
    most: int = 5,
) -> tuple[Alike, ...]:
    """The `most` coffees whose maps are nearest to `shares` (of all brews and moments together); `apart_from` is a
    session and the id of a coffee in it that is not held against itself."""
    with archive.reading() as db:
        coffees = row_dicts(
            db,
            "SELECT c.id, s.name AS session, e.date, c.key AS coffee, c.name, "
            "(SELECT COUNT(*) FROM seat WHERE seat.coffee = c.id) AS tasters FROM coffee AS c "
            "JOIN edition AS e ON e.id = c.edition AND e.current = 1 JOIN session AS s ON s.id = e.session "
            "WHERE c.duplicate_of = '' AND NOT (s.name = ? AND c.key = ?) ORDER BY e.date DESC, s.name, c.id",
            apart_from,
        )
        rows = db.execute("SELECT coffee, descriptor, frequency * intensity FROM arc").fetchall()
    maps = _kept(rows, spans)
    coffees = [c for c in coffees if maps.get(c["id"])]
    if not coffees or not shares:
        return ()
    steps = _steps(shares, [maps[c["id"]] for c in coffees], spans)
    order = np.argsort(steps, kind="stable")[:most]
    return tuple(_alike(coffees[i], float(steps[i]), shares, maps[coffees[i]["id"]], spans) for i in order)


def _kept(rows: Sequence[tuple[int, str, float]], spans: Spans) -> dict[int, dict[str, float]]:
    weights: dict[int, dict[str, float]] = {}
    now = cache(lambda id: today(id, spans.vocabulary))
    for coffee, descriptor, square in rows:
        if id := now(descriptor):
            own = weights.setdefault(coffee, {})
            own[id] = own.get(id, 0.0) + square**0.5
    return {coffee: _shares(own) for coffee, own in weights.items()}


def _shares(weights: Mapping[str, float]) -> dict[str, float]:
    total = sum(weights.values())
    return {id: weight / total for id, weight in weights.items() if weight > 0} if total else {}


def _steps(shares: Mapping[str, float], maps: Sequence[Mapping[str, float]], spans: Spans) -> Floats:
    """The tree's earth mover's distance (Evans & Matsen 2012) of one map to each of many, all at once: the sum over
    edges of how much the masses below differ."""
    all = (shares, *maps)
    paths = {id: _path(id, spans) for id in dict.fromkeys(id for made in all for id in made)}
    edges = {id: i for i, id in enumerate(dict.fromkeys(step for path in paths.values() for step in path))}
    places = {id: [edges[step] for step in path] for id, path in paths.items()}
    where = [row * len(edges) + edge for row, made in enumerate(all) for id in made for edge in places[id]]
    mass = [share for made in all for id, share in made.items() for _ in places[id]]
    below = np.bincount(where, mass, minlength=len(all) * len(edges)).reshape(len(all), len(edges))
    steps: Floats = np.abs(below[1:] - below[0]).sum(axis=1)
    return steps


def _path(id: str, spans: Spans) -> list[str]:
    path = [id]
    while spans.parent(path[-1]):
        path.append(spans.parent(path[-1]))
    return path


def _alike(
    coffee: Mapping[str, object], steps: float, here: Mapping[str, float], there: Mapping[str, float], spans: Spans
) -> Alike:
    both = [(id, here[id], there[id]) for id in here if id in there]
    both.sort(key=lambda one: (-min(one[1:]), spans.order[one[0]]))
    families = [_families(shares, spans) for shares in (here, there)]
    ids = sorted({*families[0], *families[1]}, key=spans.order.__getitem__)
    apart = [(id, families[0].get(id, 0.0), families[1].get(id, 0.0)) for id in ids]
    apart.sort(key=lambda one: -abs(one[1] - one[2]))

    def told(rows: Sequence[tuple[str, float, float]]) -> tuple[tuple[str, float, float], ...]:
        return tuple((spans.descriptor(id).print, round(a, 6), round(b, 6)) for id, a, b in rows)

    return Alike(
        session=str(coffee["session"]),
        date=str(coffee["date"]),
        coffee=str(coffee["coffee"]),
        name=str(coffee["name"]),
        tasters=int(str(coffee["tasters"])),
        steps=round(steps, 6),
        shared=told(both[:4]),
        parted=told([one for one in apart if abs(one[1] - one[2]) >= SHARE][:3]),
    )


def _families(shares: Mapping[str, float], spans: Spans) -> dict[str, float]:
    found: dict[str, float] = {}
    for id, share in shares.items():
        family = at_level(id, "family", spans)
        found[family] = found.get(family, 0.0) + share
    return found


def alike_lines(name: str, made: Sequence[Alike]) -> list[str]:
    """The nearest coffees as lines to read."""
    if not made:
        return [f"{name}: no other coffee with a map is in the archive"]
    lines = [f"{name}: nearest of the archive (steps of the tree that a share would have to move; 0 is the same map)"]
    for one in made:
        lines.append(f"  {one.steps:.1f}  {one.name}, {one.session} {one.date}, {some(one.tasters, 'taster')}".rstrip())
        if one.shared:
            lines.append(f"       share {', '.join(word for word, _, _ in one.shared)}")
        if one.parted:
            more = ", ".join(f"{word} {100 * a:.0f} % against {100 * b:.0f} %" for word, a, b in one.parted)
            lines.append(f"       apart in {more}")
    return lines
