"""The tally of one serving as its map, line and figures: the panel's own arithmetic on a crowd's sums."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from tastevocab.panel.attributes import AttributeStrip, counted_strip
from tastevocab.panel.chance import Choice
from tastevocab.panel.flavour_map import Counted, Denied, FlavourMap, Margin, Serving, drawn_map, size_sentences
from tastevocab.panel.folding import Folded, Unnamed
from tastevocab.panel.intervals import SMALL, Intervals, intervals
from tastevocab.panel.line import notes_line
from tastevocab.panel.report import map_json
from tastevocab.panel.rungs import can_be_rung
from tastevocab.panel.session import Coffee, Session
from tastevocab.panel.spans import Spans
from tastevocab.panel.summary import Bench, Report, ladder_of
from tastevocab.panel.sums import Own, Sums, Weighting
from tastevocab.reading.records import MOMENTS
from tastevocab.reading.review.company import quorum

if TYPE_CHECKING:
    import pandas as pd

Numbers = tuple[float, float, float, float]
Counts = Mapping[str, Mapping[tuple[str, str], Numbers]]
"""What was counted of a serving: kind of count, then (id, key), to its four numbers."""


class Classes(NamedTuple):
    """The ids at quorum of a serving, and for each descriptor that counts for one the descriptor that stands for all
    that count for the same; None where every taster is kept (`SMALL` or fewer)."""

    quorum: tuple[str, ...]
    alike: Mapping[str, str] | None


class How(NamedTuple):
    """How maps are made: the panel's own choices."""

    weighting: Weighting = "mark"
    words: int = 3
    chance: Choice = "say"
    small: int = SMALL


def counts_of(rows: pd.DataFrame) -> Iterator[tuple[str, Counts]]:
    """Summed tally rows serving by serving."""
    for serving, some in rows.groupby("serving", sort=True):
        made: dict[str, dict[tuple[str, str], Numbers]] = defaultdict(dict)
        for _, what, id, key, *numbers in some.itertuples(index=False):
            made[what][str(id), str(key)] = tuple(numbers)
        yield str(serving), made


def tasters_in(counts: Counts) -> int:
    """How many had the serving."""
    return int(counts.get("tasters", {}).get(("", ""), (0.0, 0, 0, 0))[0])


def classes_of(counts: Counts, spans: Spans, small: int = SMALL) -> Classes:
    """What has to be counted of people, once it is known what is at quorum."""
    tasters = tasters_in(counts)
    need = quorum(tasters)
    ids = tuple(id for (id, _), n in counts.get("at", {}).items() if n[0] >= need and can_be_rung(id, spans))
    if tasters <= small:
        return Classes(ids, None)
    first: dict[frozenset[str], str] = {}
    alike = {}
    for descriptor in sorted({id for id, _ in counts.get("own", {})}, key=spans.order.__getitem__):
        signs = frozenset(id for id in ids if descriptor in spans.supports[id])
        if signs:
            alike[descriptor] = first.setdefault(signs, descriptor)
    return Classes(ids, alike)


def map_of(name: str, counts: Counts, tools: Bench, how: How, homeless: int) -> FlavourMap:
    """The flavour map of a serving's counts; no evidence stands in it, for that stays with the findings."""
    spans, tasters = tools.spans, tasters_in(counts)
    sums = _sums(counts, tasters, spans)
    folded = _folded(counts, tasters, sums)
    denied = tuple(
        Denied(id, spans.descriptor(id).print, Unnamed(int(n[0])), ())
        for (id, _), n in sorted(counts.get("denied", {}).items(), key=lambda item: spans.order[item[0][0]])
    )
    forms: dict[str, dict[str, int]] = defaultdict(dict)
    for (thing, form), n in counts.get("form", {}).items():
        forms[thing][form] = int(n[0])
    standings = {key: int(n[0]) for (_, key), n in counts.get("beside", {}).items()}
    brews = [brew for _, brew in counts.get("brew", {})]
    aside = {standing: standings.get(standing, 0) for standing in ("echo", "led", "informed")}
    margin = Margin(
        pooled=(f"brews ({', '.join(brews)})",) if len(brews) > 1 else (),
        notices=size_sentences(tasters, bool(sums.own), bool(denied)),
        moments=_moments(counts),
        unattributed=homeless,
    )
    return drawn_map(Counted(sums, folded, denied, forms, aside), margin, Serving(name), spans, how.weighting)


def _moments(counts: Counts) -> tuple[str, ...]:
    """The moments it is over: one alone only where every finding names it."""
    heard = {key for _, key in counts.get("moment", {})}
    found = tuple(m for m in MOMENTS if m in heard)
    return () if len(found) == 1 and "" in heard else found


def _sums(counts: Counts, tasters: int, spans: Spans) -> Sums:
    own: dict[str, list[float]] = {}
    listed = sorted(counts.get("own", {}).items(), key=lambda item: (spans.order[item[0][0]], int(item[0][1])))
    for (id, words), (people, certainty, force, _) in listed:
        sums = own.setdefault(id, [0.0, 0.0, 0.0, 0.0])
        for place, value in enumerate((people, certainty, force, certainty / int(words))):
            sums[place] += value
    found = {id: (int(n[0]), n[1], n[2] / 1000, n[3]) for (id, _), n in counts.get("at", {}).items()}
    said = {int(key): int(n[0]) for (_, key), n in counts.get("said", {}).items()}
    silent = tasters - sum(said.values())
    return Sums(
        tasters,
        {id: Own(int(n), c, f / 1000, v) for id, (n, c, f, v) in own.items()},
        found,
        {**({0: silent} if silent else {}), **dict(sorted(said.items()))},
    )


def _folded(counts: Counts, tasters: int, sums: Sums) -> Folded:
    """A small panel's folded words, taster by taster; of a crowd, those who found alike as one, so far as words at
    quorum go."""
    place = {id: i for i, id in enumerate(sums.own)}
    if "row" in counts:
        return _whole(counts["row"], place)
    classes = counts.get("class", {})
    times = [int(n[0]) for n in classes.values()]
    pairs = [(i, place[id]) for i, (found, _) in enumerate(classes) for id in found.split("|")]
    who, what = (np.array(column, dtype=np.int64) for column in (zip(*pairs, strict=True) if pairs else ((), ())))
    ones = np.ones(len(who))
    return Folded(Unnamed(tasters), tuple(place), who, what, ones, ones, ones, {}, np.array(times, dtype=np.int64))


def _whole(rows: Mapping[tuple[str, str], Numbers], place: Mapping[str, int]) -> Folded:
    names = sorted({taster for _, taster in rows})
    known = {name: i for i, name in enumerate(names)}
    listed = sorted((known[taster], place[id], n[0], n[1] / 1000) for (id, taster), n in rows.items() if id)
    table = np.array(listed, dtype=np.float64).reshape(len(listed), 4)
    who, what = table[:, 0].astype(np.int64), table[:, 1].astype(np.int64)
    share = table[:, 2] / np.bincount(who, minlength=1)[who]
    return Folded(tuple(names), tuple(place), who, what, table[:, 2], table[:, 3], share, {})


def told(
    name: str, counts: Counts, tools: Bench, how: How, homeless: int, apart: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    """A serving as `panel --format json` tells it, so far as a crowd has it: no names, no evidence, no claims. So many
    findings were `homeless`; `apart` is what sets it apart, as it is told."""
    made = map_of(name, counts, tools, how, homeless)
    ladder, chance = ladder_of(made, tools, how.chance)
    report = Report(
        session=Session(name, "", Path()),
        coffee=Coffee(name, name),
        map=made,
        ladder=ladder,
        line=notes_line(made, ladder, tools.spans, tools.measures, words=how.words),
        claims=(),
        claims_coverage=0.0,
        attributes=_strips(counts, tools, len(made.tasters)),
        faults=(),
        questions=(),
        intervals=_intervals(made, tools.spans),
        evidence={},
        chance=chance,
        chance_choice=how.chance,
    )
    whole = map_json(report)
    when = counts.get("when", {})
    for rung in whole["rungs"]:
        rung["moments"] = {m: int(when[rung["descriptor"], m][0]) for m in MOMENTS if (rung["descriptor"], m) in when}
    for strip in whole["attributes"]:
        strip["counts"] = {
            f"{float(step):g}": int(n[0]) for (id, step), n in counts["attribute"].items() if id == strip["attribute"]
        }
    faults = _faults(counts, tools, len(made.tasters))
    return {**whole, "faults": faults, "hold": any(f["hold"] for f in faults), "apart": list(apart)}


def _intervals(made: FlavourMap, spans: Spans) -> Intervals | None:
    """Of a small panel alone: a crowd's would take its people."""
    if made.folded.times is not None or len(made.tasters) < 2 or not made.folded.taster.size:
        return None
    return intervals(made.folded, spans, made.weighting) if len(made.tasters) <= SMALL else None


def _strips(counts: Counts, tools: Bench, of: int) -> tuple[AttributeStrip, ...]:
    people: dict[str, dict[float, int]] = defaultdict(dict)
    for (id, step), n in counts.get("attribute", {}).items():
        people[id][float(step)] = int(n[0])
    return tuple(counted_strip(a, people[a.id], of) for a in tools.vocabulary.attributes.values() if a.id in people)


def _faults(counts: Counts, tools: Bench, of: int) -> list[dict[str, Any]]:
    """Faults by how many met them, those that hold the lot first."""
    known, made = tools.vocabulary.descriptors, []
    for (id, _), n in counts.get("fault", {}).items():
        if d := known.get(id):
            family = known.get(d.home or "")
            hold = d.hold or bool(family and family.hold)
            row = {"descriptor": id, "print": d.print, "family": family.print if family else "", "hold": hold}
            made.append({**row, "people": int(n[0]), "of": of})
    return sorted(made, key=lambda f: (not f["hold"], -f["people"], f["descriptor"]))


def own_weights_of(counts: Counts, spans: Spans, weighting: Weighting) -> dict[str, float]:
    """What each descriptor found weighs, in percent of the most possible."""
    tasters = tasters_in(counts)
    own = _sums(counts, tasters, spans).own
    return {id: one.weight(weighting, max(tasters, 1)) for id, one in own.items()}
