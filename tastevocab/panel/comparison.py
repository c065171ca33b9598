"""A session's servings compared: by moment, brew or coffee, with everything that follows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from tastevocab.errors import InputError, StatisticsError
from tastevocab.panel.contrast import Change, Contrast, contrasts
from tastevocab.panel.crowd import Separation, Standing, apart_json, stand_apart
from tastevocab.panel.flavour_map import FlavourMap, Serving
from tastevocab.panel.folding import Unnamed
from tastevocab.panel.gather import Gathered
from tastevocab.panel.permutation import Shuffled
from tastevocab.panel.servings import brews_found, moments_found
from tastevocab.panel.spans import Spans
from tastevocab.panel.summary import CROWD, Bench, map_of
from tastevocab.panel.table import told_names


@dataclass(frozen=True, slots=True)
class Comparison:
    """Servings compared along one axis.

    `pairs` are neighbours in order, then first against last where there are three or more, all under one test.
    `standing` is each serving against all others, where there are three or more, or coffees: it has a test of its own.
    `labels` are ids, as programs get them; `called` what people read for those that are no words (coffees, brews).
    """

    axis: str
    title: str
    labels: tuple[str, ...]
    maps: Mapping[str, FlavourMap]
    pairs: tuple[Contrast, ...]
    standing: Standing | None
    called: Mapping[str, str] = field(default_factory=dict)

    def name(self, label: str) -> str:
        """What people read for one of the labels."""
        return self.called.get(label, label)


def compare(gathered: Gathered, tools: Bench, axis: str, base: Serving, *, pool: bool = False) -> Comparison:
    """The maps along `axis` ("moment", "brew" or "coffee"), each as `base` but for that; its coffee "" is the only one.

    Raises `InputError` where fewer than two have findings, or where a map would pool brews or moments unasked.
    """
    base = base if base.coffee else replace(base, coffee=_only_coffee(gathered, axis))
    names = _along(gathered, axis, base)
    if len(names) < 2:
        raise InputError(
            f"only {len(names)} {axis} with findings: nothing to compare",
            place=gathered.session.place,
            mend="see what there is with `tastevocab panel`",
        )
    maps = {name: map_of(gathered, _at(base, axis, name), tools, pool=pool) for name in names}
    many = axis == "coffee" or len(names) > 2
    called = told_names(gathered.session) if axis == "coffee" else {name: name.replace("_", " ") for name in names}
    return Comparison(
        axis=axis,
        title=_title(gathered, base, axis),
        labels=names,
        maps=maps,
        pairs=_pairs(called, maps, tools.spans, _shows(gathered, axis, names)),
        standing=_standing(maps, tools.spans) if many else None,
        called=called,
    )


def _standing(maps: Mapping[str, FlavourMap], spans: Spans) -> Standing | None:
    try:
        return stand_apart(maps, spans)
    except StatisticsError:  # no taster had two of them
        return None


def _only_coffee(gathered: Gathered, axis: str) -> str:
    coffees = tuple(gathered.session.coffees)
    if axis != "coffee" and len(coffees) > 1:
        raise InputError(
            f"which coffee? There are {', '.join(coffees)}",
            place=gathered.session.place,
            mend="choose one with --coffee",
        )
    return coffees[0]


def _along(gathered: Gathered, axis: str, base: Serving) -> tuple[str, ...]:
    if axis == "moment":
        return moments_found(gathered, base.coffee, base.brew)
    if axis == "brew":
        return brews_found(gathered, base.coffee)
    described = {f.spot.coffee for f in gathered.findings}
    return tuple(c for c in gathered.session.coffees if c in described)


def _at(base: Serving, axis: str, name: str) -> Serving:
    if axis == "moment":
        return replace(base, moment=name)
    return replace(base, brew=name) if axis == "brew" else replace(base, coffee=name)


def _title(gathered: Gathered, base: Serving, axis: str) -> str:
    if axis == "coffee":
        what = gathered.session.id
        rest = (base.brew, base.moment)
    else:
        what = told_names(gathered.session)[base.coffee]
        rest = (base.brew if axis != "brew" else None, base.moment if axis != "moment" else None)
    rest = ((rest[0] or "").replace("_", " "), rest[1])
    return f"{', '.join(part for part in (what, *rest) if part)}, by {axis}"


def _pairs(called: Mapping[str, str], maps: Mapping[str, FlavourMap], spans: Spans, shows: str) -> tuple[Contrast, ...]:
    """Each pair under its ids, what is said of it under its names."""
    ids = tuple(maps)
    wanted = list(pairwise(range(len(ids))))
    if len(ids) > 2:
        wanted.append((0, len(ids) - 1))
    made = contrasts(tuple(maps.values()), wanted, spans, [called[id] for id in ids], shows=shows)
    return tuple(replace(one, first=ids[a], second=ids[b]) for one, (a, b) in zip(made, wanted, strict=True))


def _shows(gathered: Gathered, axis: str, names: Sequence[str]) -> str:
    """What gives these servings away to a taster's lips and eyes, however they are coded."""
    if axis == "moment":
        return "the temperature"
    if axis == "brew":
        cards = gathered.session.brews
        methods = {cards[name].method if name in cards else name for name in names}
        return "the method" if len(methods) > 1 else ""
    return ""


def comparison_json(comparison: Comparison, tasters: Mapping[str, int] | None = None) -> dict[str, Any]:
    """The comparison as plain values, six decimals; names of tasters only on a panel, never of a crowd. `tasters` had
    each serving, where there are no maps to tell it."""
    standing = comparison.standing
    return {
        "by": comparison.axis,
        "servings": list(comparison.labels),
        "tasters": tasters or {name: len(made.tasters) for name, made in comparison.maps.items()},
        "test": _test_json(comparison.pairs[0].test),
        "pairs": [_pair_json(pair) for pair in comparison.pairs],
        "standing_test": _test_json(standing.test) if standing else None,
        "separations": [_separation_json(s, comparison.called) for s in standing.separations] if standing else [],
        "apart": {name: [apart_json(a) for a in apart if a.proved] for name, apart in standing.apart.items()}
        if standing and comparison.axis == "coffee"
        else {},
    }


def _test_json(test: Shuffled) -> dict[str, Any]:
    return {"p": round(test.overall, 6), "asked": test.asked, "exact": test.exact, "method": test.method()}


def _pair_json(pair: Contrast) -> dict[str, Any]:
    named = len(pair.tasters) < CROWD and not isinstance(pair.tasters, Unnamed)
    return {
        "first": pair.first,
        "second": pair.second,
        "tasters": len(pair.tasters),
        "jensen_shannon": None if pair.distance is None else round(pair.distance, 6),
        "tree_steps": None if pair.steps is None else round(pair.steps, 6),
        "sentence": pair.sentence,
        "proof": pair.proof,
        "changes": [_change_json(c, named) for c in pair.changes],
    }


def _change_json(change: Change, named: bool) -> dict[str, Any]:
    row: dict[str, Any] = {
        "descriptor": change.descriptor,
        "print": change.print,
        "before": change.before,
        "after": change.after,
        "of": change.of,
        "gained": len(change.gained),
        "lost": len(change.lost),
        "p_adjusted": round(change.p, 6),
        "told": change.told,
        "proved": change.proved,
        "verdict": change.verdict,
    }
    if named:
        row |= {"gained_by": list(change.gained), "lost_by": list(change.lost)}
    return row


def _separation_json(s: Separation, called: Mapping[str, str]) -> dict[str, Any]:
    return {
        "descriptor": s.descriptor,
        "print": s.print,
        "people": dict(s.people),
        "of": dict(s.of),
        "p_adjusted": round(s.p, 6),
        "tasters": s.tasters,
        "most": s.most,
        "least": s.least,
        "verdict": s.verdict(called),
    }
