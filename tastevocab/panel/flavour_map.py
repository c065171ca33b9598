"""The flavour map: for one serving set, every descriptor's people, frequency, intensity, weight and evidence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.folding import Folded, fold, support_columns
from tastevocab.panel.spans import Spans
from tastevocab.panel.sums import WEIGHTINGS, Sums, Weighting, sums_of
from tastevocab.reading.records import Finding
from tastevocab.vocabulary.model import CROSSING
from tastevocab.vocabulary.things import form_said


@dataclass(frozen=True, slots=True)
class Serving:
    """Which findings a map is of: a coffee, and one brew, moment or bowl of it where asked (None: all there are)."""

    coffee: str
    brew: str | None = None
    moment: str | None = None
    bowl: str | None = None

    def told(self, coffee: str) -> str:
        """Words for a heading, of a coffee of that name: "Vale Alto, long black, warm"."""
        brew, bowl = (self.brew or "").replace("_", " "), f"bowl {self.bowl}" if self.bowl else None
        return ", ".join(part for part in (coffee, brew, self.moment, bowl) if part)


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
    tasters: Sequence[str]
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Margin:
    """What is said in the margin of a map, beside its figures.

    `pooled` says what was thrown together ("brews: espresso, filter"); `notices` are sentences a reader must see;
    `absent` were to be served it and have neither row nor word; `moments` are those with findings;
    `unattributed` counts findings that may be of it and are of nobody on the panel.
    """

    pooled: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    moments: tuple[str, ...] = ()
    unattributed: int = 0

    @property
    def passes(self) -> str:
        """The moments it is over, in words: "warm", "hot to cool", "" where none is named."""
        return " to ".join(dict.fromkeys((self.moments[0], self.moments[-1]))) if self.moments else ""


@dataclass(frozen=True, slots=True)
class Counted:
    """All that was counted of one serving set, of a panel's findings or of a crowd in pieces.

    `sums` and `folded` are of the flavours found, `denied` of those said not to be there. `forms` says of every thing
    how many found it in which form; `aside` counts findings that count no one: echo, led, informed.
    """

    sums: Sums
    folded: Folded
    denied: tuple[Denied, ...]
    forms: Mapping[str, Mapping[str, int]]
    aside: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class FlavourMap:
    """One serving set's map.

    `nodes` are what was found, in walking order; `wider` the reach words and things nobody said whose span
    holds findings (they can be rungs, never arcs). `forms` says of every thing how many found it in which form, `said`
    how many tasters named so many different descriptors.
    `beside` counts findings that count no one: echo, led, informed, unattributed. `tasters` were served it.
    """

    serving: Serving
    tasters: Sequence[str]
    weighting: Weighting
    nodes: tuple[Node, ...]
    wider: tuple[Node, ...]
    denied: tuple[Denied, ...]
    beside: Mapping[str, int]
    margin: Margin
    folded: Folded
    forms: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    said: Mapping[int, int] = field(default_factory=dict)
    by_id: Mapping[str, Node] = field(default_factory=dict)

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
    margin: Margin | None = None,
) -> FlavourMap:
    """The map of `findings` (of this serving set only) for the panel `tasters`; `margin` is known before the counting.

    Raises `StatisticsError` for an unknown weighting.
    """
    findings = tuple(findings)
    folded = fold(findings, tasters, spans)
    denied = _denied(findings, folded.tasters, spans)
    told = (*size_sentences(len(folded.tasters), bool(folded.descriptors), bool(denied)), *_both(folded, denied))
    margin = margin or Margin()
    forms = _forms(findings, folded.tasters, spans)
    counted = Counted(sums_of(folded, spans), folded, denied, forms, _aside(findings))
    return drawn_map(counted, replace(margin, notices=(*margin.notices, *told)), serving, spans, weighting)


def drawn_map(counted: Counted, margin: Margin, serving: Serving, spans: Spans, weighting: Weighting) -> FlavourMap:
    """The map of what was counted.

    Raises `StatisticsError` for an unknown weighting.
    """
    if weighting not in WEIGHTINGS:
        raise StatisticsError(f"unknown weighting {weighting!r}", mend=f"use one of: {', '.join(WEIGHTINGS)}")
    figures = _Figures(counted, spans, weighting)
    nodes = tuple(node for id in spans.ids if (node := figures.node(id)))
    return FlavourMap(
        serving=serving,
        tasters=counted.folded.tasters,
        weighting=weighting,
        nodes=tuple(node for node in nodes if node.level not in CROSSING or node.named),
        wider=tuple(node for node in nodes if node.level in CROSSING and not node.named),
        denied=counted.denied,
        beside={**counted.aside, "unattributed": margin.unattributed},
        margin=margin,
        folded=counted.folded,
        forms=counted.forms,
        said=counted.sums.said,
        by_id={node.descriptor: node for node in nodes},
    )


class _Figures:
    """All figures of one map, worked out once, and handed out node by node."""

    def __init__(self, counted: Counted, spans: Spans, weighting: Weighting) -> None:
        sums, folded = counted.sums, counted.folded
        self.folded, self.spans, self.sums = folded, spans, sums.found
        self.denials = {d.descriptor: len(d.tasters) for d in counted.denied}
        self.panel = max(sums.tasters, 1)
        self.named = {id: own.people for id, own in sums.own.items()}
        self.own = {id: own.weight(weighting, self.panel) for id, own in sums.own.items()}
        self.wedges = wedges(self.own, spans)
        self.total = sum(self.own.values())
        self.columns = {id: support_columns(folded, spans, id) for id in spans.ids} if folded.evidence else {}

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
        columns = self.columns.get(id, np.zeros(0, dtype=np.int64))
        if columns.size == 1:
            return self.folded.evidence[self.folded.descriptors[int(columns[0])]]
        # No finding is of two descriptors; what is sorted piece by piece sorts in linear time.
        found: list[str] = []
        for column in columns:
            found.extend(self.folded.evidence[self.folded.descriptors[int(column)]])
        found.sort()
        return tuple(found)


def depths(nodes: Iterable[Node]) -> dict[str, int]:
    """How deep each node lies under those before it: 0 a category, 1 what hangs from it, 2 what hangs from that."""
    found: dict[str, int] = {}
    for node in nodes:
        found[node.descriptor] = found.get(node.parent, -1) + 1
    return found


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


def _forms(findings: Sequence[Finding], tasters: Sequence[str], spans: Spans) -> dict[str, dict[str, int]]:
    """Of every thing: how many found it in which form."""
    panel = set(tasters)
    things = things_by_note(spans)
    found: dict[str, dict[str, set[str]]] = {}
    for f in findings:
        if not f.present or f.standing != "own" or f.spot.speaker not in panel or f.descriptor not in spans.order:
            continue
        d = spans.descriptor(f.descriptor)
        if d.thing:
            form = form_said(spans.vocabulary.forms, d.form, f.state)
            for thing in things.get(d.id, ()):
                found.setdefault(thing, {}).setdefault(form, set()).add(f.spot.speaker or "")
    # One set at a time, so that a crowd's names are never held twice.
    return {id: {form: len(forms.pop(form)) for form in tuple(forms)} for id, forms in found.items()}


def things_by_note(spans: Spans) -> dict[str, tuple[str, ...]]:
    """Every note of things: the things it is a form of."""
    made: dict[str, tuple[str, ...]] = {}
    for id in spans.ids:
        if spans.descriptor(id).level == "thing":
            for note in sorted(spans.leaves[id]):
                made[note] = (*made.get(note, ()), id)
    return made


def _aside(findings: Sequence[Finding]) -> dict[str, int]:
    counts = {"echo": 0, "led": 0, "informed": 0}
    for f in findings:
        if f.present and not f.fault and f.standing in counts:
            counts[f.standing] += 1
    return counts


def size_sentences(tasters: int, found: bool, denied: bool) -> tuple[str, ...]:
    """What a reader must know before the figures: an empty, tiny or silent panel."""
    if not tasters:
        return ("No taster tasted this: nothing can be counted.",)
    if not found and denied:
        return ("Only denials were given: nothing was found.",)
    if not found:
        return ("Nobody named a flavour here: the map is empty.",)
    if tasters == 1:
        return ("One taster: nothing here is agreement, it is one person's notes.",)
    return ("Two tasters: agreement of both may be chance, habit or echo.",) if tasters == 2 else ()


def _both(folded: Folded, denied: Sequence[Denied]) -> Iterator[str]:
    """Who found a word and denied it."""
    for d in denied:
        if d.descriptor not in folded.evidence:
            continue
        column = folded.descriptors.index(d.descriptor)
        found = {folded.tasters[i] for i in folded.taster[folded.descriptor == column]}
        both = sorted(found & set(d.tasters))
        if both:
            who = ", ".join(both[:4]) + (f" and {len(both) - 4} more" if len(both) > 4 else "")
            who = who.replace("_", " ")
            yield f"{who} both found and denied {d.print}: counted as found, and as a denial."
