"""Each coffee against all the others: which words separate them, and what sets each apart."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.contrast import PROOF, who_found
from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Booleans, Integers
from tastevocab.panel.intervals import mean_spread
from tastevocab.panel.permutation import Shuffled, shuffle
from tastevocab.panel.spans import Spans
from tastevocab.panel.tried import Tried, against_rest, tried_of

LEAST_INTERVAL = 20
"""Tasters from whom an interval of a difference holds what it says; with fewer there is none."""

LEVELS = ("family", "note", "reach", "thing")


@dataclass(frozen=True, slots=True)
class Separation:
    """Whether one family (or broad word) is found more in some servings than in others by the same tasters.

    `people` and `of` by serving; `p` adjusted for all that was asked; `tasters` who had two servings or more; `most`
    the serving furthest above the rest, `least` the one furthest below.
    """

    descriptor: str
    print: str
    people: Mapping[str, int]
    of: Mapping[str, int]
    p: float
    tasters: int
    most: str
    least: str

    def verdict(self, called: Mapping[str, str]) -> str:
        """What may be said of it; `called` are the names of servings whose ids are none."""
        if self.p > PROOF:
            return "no difference shown"
        most, least = (called.get(name, name) for name in (self.most, self.least))
        return f"separates them: most in {most}, least in {least}"


@dataclass(frozen=True, slots=True)
class Apart:
    """What sets one coffee apart: k of n found it here, k_rest of n_rest in the others.

    `difference` is the mean over the tasters who had it and another: found here, less the part of their other coffees
    they found it in (-1..1); `low` and `high` its 95 % interval (None with fewer than 20 tasters). `p` is adjusted for
    all that was asked.
    """

    coffee: str
    descriptor: str
    print: str
    people: int
    of: int
    people_rest: int
    of_rest: int
    difference: float
    low: float | None
    high: float | None
    p: float

    @property
    def proved(self) -> bool:
        """Whether more found it here and the test stands."""
        return self.difference > 0 and self.p <= PROOF


@dataclass(frozen=True, slots=True)
class Standing:
    """Servings each against all others under one test: by word, and by serving (surest first)."""

    test: Shuffled
    separations: tuple[Separation, ...]
    apart: Mapping[str, tuple[Apart, ...]]


def apart_json(apart: Apart) -> dict[str, Any]:
    """For programs, without the coffee it stands under; figures keep six decimals."""
    known = apart.low is not None and apart.high is not None
    return {
        "descriptor": apart.descriptor,
        "print": apart.print,
        "people": apart.people,
        "of": apart.of,
        "people_rest": apart.people_rest,
        "of_rest": apart.of_rest,
        "difference": round(apart.difference, 6),
        "interval": [round(apart.low or 0.0, 6), round(apart.high or 0.0, 6)] if known else None,
        "p_adjusted": round(apart.p, 6),
    }


@dataclass(frozen=True, slots=True)
class Rest:
    """Of some tasters what adds up, in whole numbers: who had each serving (`had`), and it and another (`both`); who
    found each word in it (servings x words); and over those who had both, what they found there less the part of their
    other servings they found it in, and its square, in units of 1 / `FINE` (`excess`, `squares`)."""

    had: Integers
    both: Integers
    people: Integers
    excess: Integers
    squares: Integers
    tasters: int

    def __add__(self, other: Rest) -> Rest:
        return Rest(
            self.had + other.had,
            self.both + other.both,
            self.people + other.people,
            self.excess + other.excess,
            self.squares + other.squares,
            self.tasters + other.tasters,
        )


FINE = 720_720
"""Divided by every number up to 16: parts of so many servings are whole numbers, and add up in any order."""


def rest_of(tried: Tried, servings: int, words: int) -> Rest:
    """What adds up of these tasters, over so many servings and words."""
    size = tried.sizes[tried.taster]
    people = np.bincount(tried.serving[tried.row] * words + tried.word, minlength=servings * words)
    taster, word, k = tried.counts(words)
    several = tried.sizes[taster] > 1
    taster, word, k = taster[several], word[several], k[several]
    rows, pair = tried.rows_of(taster)
    here = np.isin(rows * words + word[pair], tried.row * words + tried.word)
    m = tried.sizes[taster][pair]
    excess = np.rint(FINE * (m * here - k[pair]) / (m - 1)).astype(np.int64)
    cell = tried.serving[rows] * words + word[pair]
    sums, squares = np.zeros(servings * words, dtype=np.int64), np.zeros(servings * words, dtype=np.int64)
    np.add.at(sums, cell, excess)
    np.add.at(squares, cell, excess**2)
    shape = (servings, words)
    return Rest(
        np.bincount(tried.serving, minlength=servings),
        np.bincount(tried.serving[size > 1], minlength=servings),
        people.reshape(shape),
        sums.reshape(shape),
        squares.reshape(shape),
        int((tried.sizes > 1).sum()),
    )


def words_found(maps: Sequence[FlavourMap], spans: Spans) -> tuple[list[str], tuple[str, ...], Booleans, Booleans]:
    """Every family, note, thing and broad word that two tasters found somewhere; all tasters; who had which map
    (tasters x maps); who found which of the words in it (tasters x maps x words)."""
    ids = words_asked([n.descriptor for m in maps for n in m.nodes], spans)
    everyone, had, found = who_found(maps, ids, spans)
    # How many find a word anywhere is the same under every shuffling, so choosing by it favours nothing.
    kept = [i for i in range(len(ids)) if found[:, :, i].any(axis=1).sum() >= 2]
    return [ids[i] for i in kept], everyone, had, found[:, :, kept]


def stand_apart(maps: Mapping[str, FlavourMap], spans: Spans) -> Standing:
    """Every family, note, thing and broad word that two tasters found somewhere, every serving against the rest.

    One test for all of it (`permutation`). Raises `StatisticsError` where nobody has two servings.
    """
    made = tuple(maps.values())
    ids, everyone, had, found = words_found(made, spans)
    rest = rest_of(tried_of(found, had, everyone), len(made), len(ids))
    require_two(rest)
    return standing(tuple(maps), ids, rest, shuffle(found, had, against_rest(len(made)), names=everyone), spans)


def words_asked(found: Iterable[str], spans: Spans) -> list[str]:
    """The families, notes, things and broad words among descriptors found, and the things found in several forms."""
    listed = set(found)
    said = {id for id in listed if spans.descriptor(id).level in LEVELS} | spans.things_of(listed)
    return sorted(said, key=spans.order.__getitem__)


def require_two(rest: Rest) -> None:
    """Raises `StatisticsError` where there is no other serving, or nobody had two."""
    if len(rest.had) < 2 or not rest.tasters:
        raise StatisticsError("nothing to set it apart from", mend="give two coffees with tasters in common")


def standing(names: Sequence[str], ids: Sequence[str], rest: Rest, test: Shuffled, spans: Spans) -> Standing:
    """What is said of servings from what adds up of their tasters, and the test of it."""
    apart = {name: _apart(place, name, ids, rest, test, spans) for place, name in enumerate(names)}
    excess = {name: {a.descriptor: a.difference for a in listed} for name, listed in apart.items()}
    wide = [i for i, id in enumerate(ids) if spans.descriptor(id).level != "note"]
    separations = [_separation(i, ids[i], rest, excess, test, spans) for i in wide]
    return Standing(test, tuple(sorted(separations, key=lambda s: (s.p, spans.order[s.descriptor]))), apart)


def sets_apart(maps: Mapping[str, FlavourMap], spans: Spans, coffee: str) -> tuple[Apart, ...]:
    """What sets one coffee apart from the others, surest first (see `stand_apart`)."""
    return stand_apart(maps, spans).apart[coffee]


def _apart(place: int, name: str, ids: Sequence[str], rest: Rest, test: Shuffled, spans: Spans) -> tuple[Apart, ...]:
    of, both = int(rest.had[place]), int(rest.both[place])
    of_rest, people_all = int(rest.had.sum()) - of, rest.people.sum(axis=0)
    made = []
    for column, id in enumerate(ids):
        people, excess = int(rest.people[place, column]), int(rest.excess[place, column])
        spread = mean_spread(excess, int(rest.squares[place, column]), both) if both >= LEAST_INTERVAL else None
        difference = excess / (FINE * both) if both else 0.0
        made.append(
            Apart(
                coffee=name,
                descriptor=id,
                print=spans.descriptor(id).print,
                people=people,
                of=of,
                people_rest=int(people_all[column]) - people,
                of_rest=of_rest,
                difference=difference,
                low=None if spread is None else difference - spread / FINE,
                high=None if spread is None else difference + spread / FINE,
                p=float(test.p[place, column]),
            )
        )
    return tuple(sorted(made, key=lambda a: (a.difference <= 0, a.p, -a.difference, spans.order[a.descriptor])))


def _separation(
    column: int,
    id: str,
    rest: Rest,
    excess: Mapping[str, Mapping[str, float]],
    test: Shuffled,
    spans: Spans,
) -> Separation:
    most, least = max(excess, key=lambda name: excess[name][id]), min(excess, key=lambda name: excess[name][id])
    p = float(test.p[:, column].min())
    return Separation(
        descriptor=id,
        print=spans.descriptor(id).print,
        people={name: int(rest.people[i, column]) for i, name in enumerate(excess)},
        of={name: int(rest.had[i]) for i, name in enumerate(excess)},
        p=p,
        tasters=rest.tasters,
        most=most,
        least=least,
    )
