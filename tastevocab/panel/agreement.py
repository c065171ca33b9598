"""How far the tasters agree, over several servings: figures with intervals, each with a sentence of what it means.

Alpha asks whether two tasters of one serving are more alike than two picked from anywhere, so it needs servings that
differ: with one serving agreement cannot be told from habit, and that is said.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.contrast import PROOF
from tastevocab.panel.distances import masi
from tastevocab.panel.folding import Floats
from tastevocab.panel.gather import Gathered
from tastevocab.panel.reliability import (
    Distance,
    Pairs,
    alpha_interval,
    concordance_p,
    kendalls_w,
    nominal,
    ordinal,
    w_interval,
)
from tastevocab.panel.spans import Spans
from tastevocab.reading.records import AttributeFinding, Finding
from tastevocab.vocabulary.model import Vocabulary

LEVELS = ("note", "family", "category")
MOST = 300
"""Tasters compared pair by pair at most; of a bigger crowd a seeded sample."""

NOT_RIGHT = "; it does not say the words are right"

Serving = tuple[str, str | None, str | None]


@dataclass(frozen=True, slots=True)
class Agreement:
    """One figure of agreement.

    `about` is what was compared ("notes", a descriptor's or an attribute's id), `measure` "alpha" or "W", `value` the
    figure (None where it cannot be had: `sentence` says why), `low` and `high` its 95 % interval over tasters, each
    left out in turn (None with fewer than three, or where all agree). For W, `chance` is what it is on average with no
    agreement, one over the tasters, and `p` how often shuffled marks agree as much. `tasters` and `servings` are how
    many could be compared.
    """

    about: str
    print: str
    measure: str
    value: float | None
    low: float | None
    high: float | None
    tasters: int
    servings: int
    sentence: str
    chance: float | None = None
    p: float | None = None


def agreement(gathered: Gathered, spans: Spans, *, seed: int = 1) -> tuple[Agreement, ...]:
    """All figures of a session: alpha of the tasters' sets at note, family and category level (MASI distance), alpha
    of each family two or more people named (found or not), W and ordinal alpha of each attribute.

    Servings are all combinations of coffee, brew and moment that were described. A taster who was not there for one is
    a gap, one who was there and found no flavour an empty set.
    """
    found = [
        f
        for f in gathered.findings
        if f.present and not f.fault and f.standing == "own" and f.descriptor in spans.order
    ]
    tasters = _tasters(gathered, seed)
    there = _there(gathered)
    figures = [_of_sets(level, found, there, tasters, spans) for level in LEVELS]
    figures += _of_families(found, there, tasters, spans)
    figures += _of_attributes(gathered.attributes, tasters, spans.vocabulary, seed)
    return tuple(figures)


def _tasters(gathered: Gathered, seed: int) -> tuple[str, ...]:
    everyone = sorted(gathered.session.tasters)
    if len(everyone) <= MOST:
        return tuple(everyone)
    picked = np.random.default_rng(seed).choice(len(everyone), MOST, replace=False)
    return tuple(everyone[i] for i in sorted(picked))


def _serving(finding: Finding | AttributeFinding) -> Serving:
    return (finding.spot.coffee or "", finding.spot.brew, finding.spot.moment)


def _there(gathered: Gathered) -> set[tuple[str, Serving]]:
    """Who was there for which serving, whatever they found: by attendance, where it was kept."""
    everything: Iterable[Finding | AttributeFinding] = (*gathered.findings, *gathered.attributes)
    own = {(f.spot.speaker or "", _serving(f)) for f in everything if f.standing == "own"}
    described = {serving for _, serving in own}
    seats = {(who, tuple(seat)) for seat, people in gathered.present.items() for who in people}
    return own | {(who, seat) for who, seat in seats if seat in described}


def at_level(id: str, level: str, spans: Spans) -> str:
    """The descriptor seen at a level: a note's family or category; what is broader than the level stays itself."""
    path = [id]
    while spans.parent(path[-1]):
        path.append(spans.parent(path[-1]))
    return next((step for step in path if spans.descriptor(step).level == level), id)


def _of_sets(
    level: str,
    found: Sequence[Finding],
    there: set[tuple[str, Serving]],
    tasters: Sequence[str],
    spans: Spans,
) -> Agreement:
    sets: dict[tuple[str, Serving], set[str]] = {key: set() for key in there}
    for f in found:
        sets[(f.spot.speaker or "", _serving(f))].add(at_level(f.descriptor, level, spans))
    cells = {key: frozenset(ids) for key, ids in sets.items()}
    about = _LEVEL_NAMES[level]
    if not found:
        return _nothing(_Asked(about, about, "alpha"), "Nobody found anything: there is nothing to agree on.")
    return _alpha(about, f"words as {about}", cells, tasters, masi)


def _of_families(
    found: Sequence[Finding],
    there: set[tuple[str, Serving]],
    tasters: Sequence[str],
    spans: Spans,
) -> list[Agreement]:
    who: dict[str, set[str]] = {}
    where: dict[str, set[tuple[str, Serving]]] = {}
    for f in found:
        family = at_level(f.descriptor, "family", spans)
        if spans.descriptor(family).level == "family":
            who.setdefault(family, set()).add(f.spot.speaker or "")
            where.setdefault(family, set()).add((f.spot.speaker or "", _serving(f)))
    made = []
    for family in sorted((f for f in who if len(who[f]) >= 2), key=spans.order.__getitem__):
        cells = {key: key in where[family] for key in there}
        made.append(_alpha(family, spans.descriptor(family).print, cells, tasters, nominal))
    return made


def _of_attributes(
    found: Sequence[AttributeFinding], tasters: Sequence[str], vocabulary: Vocabulary, seed: int
) -> list[Agreement]:
    marks: dict[str, dict[tuple[str, Serving], list[float]]] = {}
    for f in found:
        if f.standing == "own" and f.attribute in vocabulary.attributes:
            marks.setdefault(f.attribute, {}).setdefault((f.spot.speaker or "", _serving(f)), []).append(f.step)
    made = []
    for attribute in vocabulary.attributes.values():
        if attribute.id not in marks:
            continue
        cells = {key: float(np.median(steps)) for key, steps in marks[attribute.id].items()}
        made.append(_w(attribute.id, attribute.print, cells, tasters, seed))
        distance = ordinal(_pairable(cells, tasters))
        made.append(_alpha(attribute.id, attribute.print, cells, tasters, distance))
    return made


def _pairable(cells: Mapping[tuple[str, Serving], float], tasters: Sequence[str]) -> list[float]:
    known = {key: value for key, value in cells.items() if key[0] in set(tasters)}
    counts: dict[Serving, int] = {}
    for _, serving in known:
        counts[serving] = counts.get(serving, 0) + 1
    return [value for (_, serving), value in known.items() if counts[serving] >= 2]


def _alpha(
    about: str,
    print: str,
    cells: Mapping[tuple[str, Serving], object],
    tasters: Sequence[str],
    distance: Distance,
) -> Agreement:
    asked = _Asked(about, print, "alpha")
    people = {t: i for i, t in enumerate(tasters)}
    keys = sorted((key for key in cells if key[0] in people), key=lambda k: (k[0], tuple(part or "" for part in k[1])))
    units = {serving: i for i, serving in enumerate(dict.fromkeys(key[1] for key in keys))}
    counts = Counter(key[1] for key in keys)
    shared = sum(1 for unit in units if counts[unit] >= 2)
    if len({key[0] for key in keys}) < 2:
        return _nothing(asked, "One taster: agreement needs two.")
    if shared < 2:
        why = "Fewer than two servings were tasted by two people: agreement cannot be told from habit with only one."
        return _nothing(asked, why)
    try:
        pairs = Pairs([cells[k] for k in keys], [people[k[0]] for k in keys], [units[k[1]] for k in keys], distance)
    except StatisticsError as reason:
        return _nothing(asked, f"{reason.what[0].upper()}{reason.what[1:]}.")
    value = float(pairs.alpha(np.ones((1, len(tasters))))[0])
    limits = alpha_interval(pairs, len(tasters))
    return _figure(asked, value, limits, len({k[0] for k in keys}), shared)


def _w(
    about: str, print: str, cells: Mapping[tuple[str, Serving], float], tasters: Sequence[str], seed: int
) -> Agreement:
    asked = _Asked(about, print, "W")
    table = _complete(cells, tasters)
    try:
        value, p = kendalls_w(table), concordance_p(table, seed=seed)
    except StatisticsError as reason:
        return _nothing(asked, f"{reason.what[0].upper()}{reason.what[1:]}.")
    return _figure(asked, value, w_interval(table), len(table), table.shape[1], p)


def _complete(cells: Mapping[tuple[str, Serving], float], tasters: Sequence[str]) -> Floats:
    """Marks of the servings most tasters marked, by the tasters who marked them all (W bears no gaps)."""
    by_serving: dict[Serving, set[str]] = {}
    for taster, serving in cells:
        if taster in tasters:
            by_serving.setdefault(serving, set()).add(taster)
    ranked = sorted(by_serving, key=lambda s: (-len(by_serving[s]), tuple(part or "" for part in s)))
    best: tuple[int, list[Serving], set[str]] = (0, [], set())
    together: set[str] = set(tasters)
    for count, serving in enumerate(ranked, 1):
        together = together & by_serving[serving]
        if count >= 2 and len(together) >= 2 and count * len(together) > best[0]:
            best = (count * len(together), ranked[:count], set(together))
    _, servings, people = best
    return np.array([[cells[(t, s)] for s in servings] for t in sorted(people)]).reshape(len(people), len(servings))


class _Asked(NamedTuple):
    """What a figure is of: the id it is about, how that is printed, and the measure taken ("alpha" or "W")."""

    about: str
    print: str
    measure: str


def _figure(
    asked: _Asked,
    value: float,
    limits: tuple[float, float] | None,
    tasters: int,
    servings: int,
    p: float | None = None,
) -> Agreement:
    low, high = limits or (None, None)
    known = f"{low:.2f} to {high:.2f}, 95 % interval" if low is not None else ""
    between = known or "no interval: too few tasters, or all alike"
    chance = None if p is None else 1 / tasters
    beside = "" if p is None else f"; chance alone {chance:.2f}, p {p:.2g} by shuffled marks"
    grade = _grade(asked.measure, value, low, p)
    sentence = f"{asked.print}: {asked.measure} {value:.2f} ({between}{beside}), {grade}."
    return Agreement(*asked, value, low, high, tasters, servings, sentence, chance, p)


def _grade(measure: str, value: float, low: float | None, p: float | None) -> str:
    """Words for a figure; 0.80 and 0.667 are Krippendorff's customary marks for alpha."""
    if measure == "W":
        if p is not None and p > PROOF:
            return "no more common order of the servings than chance may give"
        words = "the same order" if value >= 0.7 else "some common order" if value >= 0.4 else "hardly a common order"
        return f"{words} of the servings; it does not say that marks are equal"
    doubtful = low is not None and low <= 0 < value
    if value >= 0.8:
        words = "tasters use these words alike"
    elif value >= 0.667:
        words = "alike enough for a careful statement"
    elif doubtful or value <= 0.05:
        return "no more alike than chance may give" + NOT_RIGHT
    else:
        words = "more alike than chance, too little to rely on one taster for another"
    if doubtful:
        words += "; chance alone is not ruled out"
    return words + NOT_RIGHT


def _nothing(asked: _Asked, why: str) -> Agreement:
    return Agreement(*asked, None, None, None, 0, 0, f"{asked.print}: no {asked.measure}. {why}")


def agreement_lines(figures: Sequence[Agreement], *, most: int = 8) -> list[str]:
    """The figures as sentences: the three levels, then the surest families and attributes, at most `most` of each."""
    levels = [a for a in figures if a.about in _LEVEL_NAMES.values()]
    rest = [a for a in figures if a not in levels and a.value is not None]
    families = sorted((a for a in rest if "/" in a.about), key=lambda a: -(a.value or 0))[:most]
    marks = [a for a in rest if "/" not in a.about][:most]
    said = (a.sentence.replace(NOT_RIGHT, "") for a in (*levels, *families, *marks))
    return ["How far the tasters agree, over all servings (used alike, not: right)", *(f"  {s}" for s in said)]


_LEVEL_NAMES = {"note": "notes", "family": "families", "category": "categories"}


def agreement_json(figures: Iterable[Agreement]) -> list[dict[str, object]]:
    """The figures as plain values, six decimals."""

    def rounded(value: float | None) -> float | None:
        return None if value is None else round(value, 6)

    return [
        {
            "about": a.about,
            "measure": a.measure,
            "value": rounded(a.value),
            "low": rounded(a.low),
            "high": rounded(a.high),
            "tasters": a.tasters,
            "servings": a.servings,
            "sentence": a.sentence,
            "chance": rounded(a.chance),
            "p": rounded(a.p),
        }
        for a in figures
    ]
