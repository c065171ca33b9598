"""The flavour map: for one serving set, every descriptor's people, frequency, intensity, weight and evidence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.folding import Floats, Folded, fold, support_columns
from tastevocab.panel.spans import Spans
from tastevocab.reading.records import Finding
from tastevocab.vocabulary.model import CROSSING
from tastevocab.vocabulary.things import form_said

Weighting = Literal["mark", "voice", "plain"]

WEIGHTINGS: Mapping[Weighting, str] = {
    "mark": "mark: how many found it, and how strongly where anybody said (else moderate); hedges count less",
    "voice": "voice: one voice each, every taster's findings share one vote, hedges counting less",
    "plain": "plain: the sum of certainties, every finding alike",
}


@dataclass(frozen=True, slots=True)
class Serving:
    """Which findings a map is of: a coffee, and one brew, moment or bowl of it where asked (None: all there are)."""

    coffee: str
    brew: str | None = None
    moment: str | None = None
    bowl: str | None = None

    def label(self) -> str:
        """Words for a heading: "vale_alto, filter, warm"."""
        bowl = f"bowl {self.bowl}" if self.bowl else None
        return ", ".join(part for part in (self.coffee, self.brew, self.moment, bowl) if part)


@dataclass(frozen=True, slots=True)
class Node:
    """One descriptor of a map.

    `people` of the panel found it at it or below (a reach word: at it or inside its span), `named` used this very
    descriptor, `denials` said it is not there. `frequency` F and `intensity` I are percentages of the panel's most
    possible, `weight` M = sqrt(F*I), each over those people, every person once. `own` is the weight of what was found
    exactly here, `wedge` that plus the wedges below, `share` the wedge over the whole map (0..1). `hedged_share`
    (0..1) is the part of the certainty given with doubt. `evidence` are the ids of the findings behind `people`.
    """

    descriptor: str
    print: str
    level: str
    parent: str
    people: int
    named: int
    denials: int
    frequency: float
    intensity: float
    weight: float
    own: float
    wedge: float
    share: float
    hedged_share: float
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Denied:
    """A descriptor that somebody said is not there. `tasters` are they, `evidence` their findings' ids."""

    descriptor: str
    print: str
    tasters: tuple[str, ...]
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FlavourMap:
    """One serving set's map.

    `nodes` are what was found, in walking order; `wider` the reach words and things nobody said whose span
    holds findings (they can be rungs, never arcs). `came` says of every note of a thing in which forms who found it.
    `beside` counts findings that count no one: echo, led, informed, unattributed.
    `tasters` were served it, `absent` were to be and have neither row nor word; `moments` are those with findings.
    `pooled` says what was thrown together ("brews: espresso, filter"); `notices` are sentences a reader must see.
    """

    serving: Serving
    tasters: tuple[str, ...]
    weighting: Weighting
    nodes: tuple[Node, ...]
    wider: tuple[Node, ...]
    denied: tuple[Denied, ...]
    beside: Mapping[str, int]
    pooled: tuple[str, ...]
    notices: tuple[str, ...]
    folded: Folded
    came: Mapping[str, Mapping[str, frozenset[str]]] = field(default_factory=dict)
    by_id: Mapping[str, Node] = field(default_factory=dict)
    absent: tuple[str, ...] = ()
    moments: tuple[str, ...] = ()

    @property
    def passes(self) -> str:
        """The moments it is over, in words: "warm", "hot to cool", "" where none is named."""
        return " to ".join(dict.fromkeys((self.moments[0], self.moments[-1]))) if self.moments else ""

    @property
    def total(self) -> float:
        """The sum of all wedges at the top of the tree: what shares are shares of."""
        return float(sum(node.own for node in self.nodes))


def build_map(
    findings: Iterable[Finding],
    serving: Serving,
    tasters: Sequence[str],
    spans: Spans,
    *,
    weighting: Weighting = "mark",
    pooled: Sequence[str] = (),
    notices: Sequence[str] = (),
    unattributed: int = 0,
    absent: Sequence[str] = (),
    moments: Sequence[str] = (),
) -> FlavourMap:
    """The map of `findings` (of this serving set only) for the panel `tasters`.

    Raises `StatisticsError` for an unknown weighting.
    """
    if weighting not in WEIGHTINGS:
        raise StatisticsError(f"unknown weighting {weighting!r}", mend=f"use one of: {', '.join(WEIGHTINGS)}")
    findings = tuple(findings)
    folded = fold(findings, tasters, spans)
    denied = _denied(findings, folded.tasters, spans)
    figures = _Figures(folded, spans, weighting, {d.descriptor: len(d.tasters) for d in denied})
    nodes = tuple(node for id in spans.ids if (node := figures.node(id)))
    found = tuple(node for node in nodes if node.level not in CROSSING or node.named)
    wider = tuple(node for node in nodes if node.level in CROSSING and not node.named)
    return FlavourMap(
        serving=serving,
        tasters=folded.tasters,
        weighting=weighting,
        nodes=found,
        wider=wider,
        denied=denied,
        beside={**_beside(findings), "unattributed": unattributed},
        pooled=tuple(pooled),
        notices=(*notices, *_sentences(folded, findings, denied, spans)),
        folded=folded,
        came=_came(findings, folded.tasters, spans),
        by_id={node.descriptor: node for node in nodes},
        absent=tuple(absent),
        moments=tuple(moments),
    )


def own_weights(folded: Folded, weighting: Weighting) -> Floats:
    """The weight of what was found exactly at each of `folded.descriptors`, in percent of the panel's most possible."""
    size, panel = len(folded.descriptors), max(len(folded.tasters), 1)
    column = {"voice": folded.share}.get(weighting, folded.certainty)
    frequency = 100 * np.bincount(folded.descriptor, column, minlength=size) / panel
    if weighting != "mark":
        return frequency
    strength = folded.certainty * folded.strength
    return np.sqrt(frequency * (np.bincount(folded.descriptor, strength, minlength=size) / panel))


class _Figures:
    """All figures of one map, worked out once, and handed out node by node."""

    def __init__(self, folded: Folded, spans: Spans, weighting: Weighting, denials: Mapping[str, int]) -> None:
        self.folded, self.spans, self.denials = folded, spans, denials
        self.panel = max(len(folded.tasters), 1)
        self.named = dict(
            zip(
                folded.descriptors,
                np.bincount(folded.descriptor, minlength=len(folded.descriptors)).tolist(),
                strict=True,
            )
        )
        self.own = dict(zip(folded.descriptors, own_weights(folded, weighting).tolist(), strict=True))
        self.wedges = wedges(self.own, spans)
        self.total = sum(self.own.values())
        self.columns = {id: support_columns(folded, spans, id) for id in spans.ids}
        self.sums = self._sums()

    def _sums(self) -> dict[str, tuple[int, float, float, float]]:
        """People, certainty, certainty x strength and doubted certainty at or below, every person once."""
        active = [id for id in self.spans.ids if self.columns[id].size]
        totals = np.zeros((len(active), 4))
        for people, rows in self.folded.chunks():
            sure = self.folded.dense(people, rows, self.folded.certainty)
            strong = self.folded.dense(people, rows, self.folded.strength)
            for place, id in enumerate(active):
                columns = self.columns[id]
                certainty = sure[columns].max(axis=0)
                strength = strong[columns].max(axis=0)
                totals[place] += (
                    np.count_nonzero(certainty),
                    certainty.sum(),
                    certainty @ strength,
                    certainty[certainty < 1].sum(),
                )
        return {
            id: (int(row[0]), float(row[1]), float(row[2]), float(row[3]))
            for id, row in zip(active, totals, strict=True)
        }

    def node(self, id: str) -> Node | None:
        if id not in self.sums or not self.sums[id][0]:
            return None
        people, certainty, force, doubted = self.sums[id]
        frequency, intensity = 100 * certainty / self.panel, force / self.panel
        d = self.spans.descriptor(id)
        return Node(
            descriptor=id,
            print=d.print,
            level=d.level,
            parent=self._parent(id),
            people=people,
            named=self.named.get(id, 0),
            denials=self.denials.get(id, 0),
            frequency=frequency,
            intensity=intensity,
            weight=float(np.sqrt(frequency * intensity)),
            own=self.own.get(id, 0.0),
            wedge=self.wedges.get(id, 0.0),
            share=self.wedges.get(id, 0.0) / self.total if self.total else 0.0,
            hedged_share=doubted / certainty,
            evidence=self._evidence(id),
        )

    def _parent(self, id: str) -> str:
        """What it hangs from among the nodes: a thing whose family nobody found hangs from what that lies in."""
        above = self.spans.parent(id)
        while above and not self.sums.get(above, (0,))[0]:
            above = self.spans.parent(above)
        return above

    def _evidence(self, id: str) -> tuple[str, ...]:
        columns = self.columns[id]
        if columns.size == 1:
            return self.folded.evidence[self.folded.descriptors[int(columns[0])]]
        # No finding is of two descriptors; what is sorted piece by piece sorts in linear time.
        found: list[str] = []
        for column in columns:
            found.extend(self.folded.evidence[self.folded.descriptors[int(column)]])
        found.sort()
        return tuple(found)


def wedges(own: Mapping[str, float], spans: Spans) -> dict[str, float]:
    """Own weights rolled up the tree: what was found exactly there plus the wedges below, so that arcs add up."""
    found: dict[str, float] = {}

    def roll(id: str) -> float:
        found[id] = own.get(id, 0.0) + sum(roll(child) for child in spans.below(id))
        return found[id]

    for root in spans.roots():
        roll(root)
    return found


def _denied(findings: Sequence[Finding], tasters: Sequence[str], spans: Spans) -> tuple[Denied, ...]:
    panel = set(tasters)
    who: dict[str, set[str]] = {}
    ids: dict[str, set[str]] = {}
    for f in findings:
        if (
            not f.present
            and not f.fault
            and f.standing == "own"
            and f.spot.speaker in panel
            and f.descriptor in spans.order
        ):
            who.setdefault(f.descriptor, set()).add(f.spot.speaker or "")
            ids.setdefault(f.descriptor, set()).add(f.id)
    return tuple(
        Denied(id, spans.descriptor(id).print, tuple(sorted(who[id])), tuple(sorted(ids[id])))
        for id in sorted(who, key=spans.order.__getitem__)
    )


def _came(findings: Sequence[Finding], tasters: Sequence[str], spans: Spans) -> dict[str, dict[str, frozenset[str]]]:
    """Of every note of a thing: form to the tasters who found it so."""
    panel = set(tasters)
    found: dict[str, dict[str, set[str]]] = {}
    for f in findings:
        if not f.present or f.standing != "own" or f.spot.speaker not in panel or f.descriptor not in spans.order:
            continue
        d = spans.descriptor(f.descriptor)
        if d.thing:
            form = form_said(spans.vocabulary.forms, d.form, f.state)
            found.setdefault(f.descriptor, {}).setdefault(form, set()).add(f.spot.speaker or "")
    # One set at a time, so that a crowd's names are never held twice.
    return {id: {form: frozenset(forms.pop(form)) for form in tuple(forms)} for id, forms in found.items()}


def _beside(findings: Sequence[Finding]) -> dict[str, int]:
    counts = {"echo": 0, "led": 0, "informed": 0}
    for f in findings:
        if f.present and not f.fault and f.standing in counts:
            counts[f.standing] += 1
    return counts


def _sentences(folded: Folded, findings: Sequence[Finding], denied: Sequence[Denied], spans: Spans) -> tuple[str, ...]:
    """What a reader must know before the figures: an empty, tiny, silent or contradictory panel."""
    said: list[str] = []
    if not folded.tasters:
        said.append("No taster tasted this: nothing can be counted.")
    elif not folded.taster.size:
        said.append(
            "Only denials were given: nothing was found."
            if denied
            else "Nobody named a flavour here: the map is empty."
        )
    elif len(folded.tasters) == 1:
        said.append("One taster: nothing here is agreement, it is one person's notes.")
    elif len(folded.tasters) == 2:
        said.append("Two tasters: agreement of both may be chance, habit or echo.")
    for d in denied:
        if d.descriptor not in folded.evidence:
            continue
        column = folded.descriptors.index(d.descriptor)
        found = {folded.tasters[i] for i in folded.taster[folded.descriptor == column]}
        both = sorted(found & set(d.tasters))
        if both:
            who = ", ".join(both[:4]) + (f" and {len(both) - 4} more" if len(both) > 4 else "")
            who = who.replace("_", " ")
            said.append(f"{who} both found and denied {d.print}: counted as found, and as a denial.")
    return tuple(said)
