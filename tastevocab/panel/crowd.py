"""Each coffee against all the others: which words separate them, and what sets each apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tastevocab.errors import StatisticsError
from tastevocab.panel.contrast import PROOF, who_found
from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.folding import Booleans
from tastevocab.panel.intervals import mean_interval
from tastevocab.panel.permutation import Shuffled, against_rest, shuffle
from tastevocab.panel.spans import Spans

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
    verdict: str


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


def words_found(maps: Sequence[FlavourMap], spans: Spans) -> tuple[list[str], Booleans, Booleans]:
    """Every family, note, thing and broad word that two tasters found somewhere; who had which map (tasters x maps);
    who found which of them in it (tasters x maps x words)."""
    said = {n.descriptor for m in maps for n in m.nodes if n.level in LEVELS}
    said |= spans.things_of([id for m in maps for id in m.folded.descriptors])
    ids = sorted(said, key=spans.order.__getitem__)
    _, had, found = who_found(maps, ids, spans)
    # How many find a word anywhere is the same under every shuffling, so choosing by it favours nothing.
    kept = [i for i in range(len(ids)) if found[:, :, i].any(axis=1).sum() >= 2]
    return [ids[i] for i in kept], had, found[:, :, kept]


def stand_apart(maps: Mapping[str, FlavourMap], spans: Spans) -> Standing:
    """Every family, note, thing and broad word that two tasters found somewhere, every serving against the rest.

    One test for all of it (`permutation`). Raises `StatisticsError` where nobody has two servings.
    """
    made = tuple(maps.values())
    ids, had, found = words_found(made, spans)
    if len(made) < 2 or not (had.sum(axis=1) >= 2).any():
        raise StatisticsError("nothing to set it apart from", mend="give two coffees with tasters in common")
    test = shuffle(found, had, against_rest)
    names = tuple(maps)
    apart = {name: _apart(place, names, ids, found, had, test, spans) for place, name in enumerate(names)}
    wide = [i for i, id in enumerate(ids) if spans.descriptor(id).level != "note"]
    separations = [_separation(i, ids[i], names, found, had, apart, test, spans) for i in wide]
    return Standing(test, tuple(sorted(separations, key=lambda s: (s.p, spans.order[s.descriptor]))), apart)


def sets_apart(maps: Mapping[str, FlavourMap], spans: Spans, coffee: str) -> tuple[Apart, ...]:
    """What sets one coffee apart from the others, surest first (see `stand_apart`)."""
    return stand_apart(maps, spans).apart[coffee]


def _apart(
    place: int,
    names: Sequence[str],
    ids: Sequence[str],
    found: Booleans,
    had: Booleans,
    test: Shuffled,
    spans: Spans,
) -> tuple[Apart, ...]:
    here = had[:, place]
    both = here & (had.sum(axis=1) >= 2)
    others = (found.sum(axis=1) - found[:, place])[both] / (had.sum(axis=1) - 1)[both, None]
    differences = found[both, place] - others
    of, of_rest = int(here.sum()), int(had.sum()) - int(here.sum())
    made = []
    for column, id in enumerate(ids):
        people = int(found[:, place, column].sum())
        interval = mean_interval(differences[:, column]) if both.sum() >= LEAST_INTERVAL else None
        low, high = interval or (None, None)
        made.append(
            Apart(
                coffee=names[place],
                descriptor=id,
                print=spans.descriptor(id).print,
                people=people,
                of=of,
                people_rest=int(found[:, :, column].sum()) - people,
                of_rest=of_rest,
                difference=float(differences[:, column].mean()) if both.any() else 0.0,
                low=low,
                high=high,
                p=float(test.p[place, column]),
            )
        )
    return tuple(sorted(made, key=lambda a: (a.difference <= 0, a.p, -a.difference, spans.order[a.descriptor])))


def _separation(
    column: int,
    id: str,
    names: Sequence[str],
    found: Booleans,
    had: Booleans,
    apart: Mapping[str, tuple[Apart, ...]],
    test: Shuffled,
    spans: Spans,
) -> Separation:
    excess = {name: next(a.difference for a in apart[name] if a.descriptor == id) for name in names}
    most, least = max(names, key=excess.__getitem__), min(names, key=excess.__getitem__)
    p = float(test.p[:, column].min())
    return Separation(
        descriptor=id,
        print=spans.descriptor(id).print,
        people={name: int(found[:, i, column].sum()) for i, name in enumerate(names)},
        of={name: int(had[:, i].sum()) for i, name in enumerate(names)},
        p=p,
        tasters=int((had.sum(axis=1) >= 2).sum()),
        most=most,
        least=least,
        verdict=f"separates them: most in {most}, least in {least}" if p <= PROOF else "no difference shown",
    )
