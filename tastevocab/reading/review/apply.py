"""Decisions applied to a reading: what was accepted, changed, rejected or ignored by a person stays so.

What is accepted or changed is counted from then on, also what was only asked about or had been set aside. A stretch
says of all that was said in it who, which coffee, which brew and moment; what was added stands where its words stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeVar

from tastevocab.reading.language.items import STEP_OF_LEVEL
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Unresolved
from tastevocab.reading.report.contract import Item
from tastevocab.reading.review.context import SAME_PLACE, Key, folded, keyed, likeness, target_of
from tastevocab.reading.review.decisions import PLACED, Decision, Decisions
from tastevocab.reading.review.details import NOTHING, Details
from tastevocab.reading.review.said import Said
from tastevocab.reading.review.stretches import Stretches

REJECTED = "rejected by review"
IGNORED = "ignored by review"
ADDED = "+"  # how the id of what a person added ends
# An item is taken for the decided one if its surroundings, speaker and place score this much together: with the same
# speaker and place half of the words around must be as they were, with one of the two three quarters. House values.
ENOUGH = 1.0
SAME_SPEAKER = 0.25

T = TypeVar("T", Finding, AttributeFinding, SetAside, Unresolved)


def apply(
    reading: Reading, decisions: Decisions, *, whole: bool = True, strengths: Mapping[str, float] = MappingProxyType({})
) -> Reading:
    """The reading of one file with a person's decisions applied; applied again it changes nothing more.

    `whole` says that `reading` is all there is in the file: then decisions about words that are no longer there are
    told in `notices`, by file and line. `strengths` are the numbers of the degrees a person may have given.
    """
    if not decisions.entries:
        return reading
    made = applied(reading, decisions, strengths=strengths)
    # A house word is known by the vocabulary from now on, perhaps in other words around it.
    lost = [d for d in made.lost if d.decide != "house" and not d.everywhere] if whole else []
    told = [_lost(d) for d in sorted(lost, key=lambda d: d.place.line)]
    notices = (*reading.notices, *(n for n in told if n not in reading.notices))
    if not made.any:
        return replace(reading, notices=notices)
    return replace(made.reading(reading, decisions), notices=notices)


@dataclass(frozen=True, slots=True)
class Row:
    """One item as it was read (`was`, known again by `key`), what was decided of it, and what it is now."""

    key: Key
    was: Item
    decision: Decision | None
    now: Item


@dataclass(frozen=True, slots=True)
class Applied:
    """What decisions make of a reading: its items row by row, what was added, and decisions about what is not there."""

    rows: tuple[Row, ...]
    added: tuple[tuple[Decision, Finding | AttributeFinding], ...]
    lost: tuple[Decision, ...]
    stretches: Stretches

    @property
    def any(self) -> bool:
        """Whether anything was decided."""
        return bool(self.added or self.stretches.any) or any(row.decision for row in self.rows)

    def reading(self, reading: Reading, decisions: Decisions) -> Reading:
        """`reading` as it is now."""
        items: list[Item] = [row.now for row in self.rows]
        known = {item.id for item in items if isinstance(item, (Finding, AttributeFinding))}
        items += [item for _, item in self.added if item.id not in known]
        items.sort(key=lambda item: (decisions.texts.number(item.spot), item.spot.span))
        return Reading(
            findings=tuple(f for f in _only(items, Finding) if not f.asked),
            attributes=tuple(a for a in _only(items, AttributeFinding) if not a.asked),
            set_aside=_only(items, SetAside),
            unresolved=_only(items, Unresolved),
            notices=reading.notices,
            speakers=self.stretches.speakers(reading.speakers),
            asked=tuple(i for i in items if isinstance(i, (Finding, AttributeFinding)) and i.asked),
            said=self.stretches.said.pieces,
        )


def applied(
    reading: Reading,
    decisions: Decisions,
    *,
    text: Said | None = None,
    strengths: Mapping[str, float] = MappingProxyType({}),
    pairs: Sequence[tuple[Key, Item]] | None = None,
) -> Applied:
    """As `apply`, item by item. `text` is what was said in the reading and `pairs` are its items by key, where they
    were made before."""
    pairs = keyed(_items(reading), decisions.texts) if pairs is None else pairs
    chosen, lost = matched(pairs, decisions.entries)
    stretches = Stretches(reading, decisions, text)
    rows = []
    for i, (key, item) in enumerate(pairs):
        d = chosen.get(i)
        there = stretches.over(item)
        rows.append(Row(key, item, d, there if d is None else _decided(there, d, strengths)))
    added, astray = _added(decisions, stretches, strengths)
    return Applied(tuple(rows), tuple(added), (*lost, *stretches.lost, *astray), stretches)


def settled(reading: Reading, decisions: Decisions) -> frozenset[str]:
    """The ids of the findings of a reading that a person has decided about."""
    pairs = keyed(_items(reading), decisions.texts) if decisions.entries else []
    chosen, _ = matched(pairs, decisions.entries)
    added = {f.id for f in reading.findings if f.id.endswith(ADDED)}
    return frozenset(item.id for i in chosen if isinstance(item := pairs[i][1], Finding)) | added


def _items(reading: Reading) -> list[Item]:
    return [*reading.findings, *reading.attributes, *reading.asked, *reading.set_aside, *reading.unresolved]


def _only(items: Iterable[Item], kind: type[T]) -> tuple[T, ...]:
    return tuple(item for item in items if isinstance(item, kind))


def _lost(d: Decision) -> str:
    if d.start is not None:
        return f"{d.place}: this stretch is no longer there: look again, or delete the decision"
    said = f" by {d.speaker}" if d.speaker else ""
    return f"{d.place}: no {d.words!r}{said} to {d.decide} any more: look again, or delete the decision"


# --- which decision is about which item ---


def matched(
    pairs: Sequence[tuple[Key, Item]], entries: Iterable[Decision]
) -> tuple[dict[int, Decision], list[Decision]]:
    """For items (by index) their decisions, and the decisions that fit no item.

    A later decision replaces an earlier one about the same words in the same place. One that names a place takes the
    likeliest item, and no item takes two; one that names none takes every item with its words that has none of its own.
    One that holds everywhere takes only what was read as the same, and leaves alone what was set aside there.
    """
    by_key: dict[Key, Decision] = {}
    for d in entries:
        if d.decide in PLACED:
            continue
        by_key.pop(d.key, None)
        by_key[d.key] = d
    latest = list(by_key.values())
    by_words: dict[str, list[int]] = {}
    for i, (key, _) in enumerate(pairs):
        by_words.setdefault(folded(key.words), []).append(i)
    chosen: dict[int, Decision] = {}
    used: set[Key] = set()
    scored = []
    for n, d in enumerate(latest):
        for i in by_words.get(folded(d.words), ()):
            score = _fits(d, *pairs[i])
            if score and not d.occurrence:
                chosen[i] = d
                used.add(d.key)
            elif score >= ENOUGH:
                scored.append((-score, -n, i))
    placed: set[int] = set()
    for _, n, i in sorted(scored):
        d = latest[-n]
        if d.key not in used and i not in placed:
            chosen[i] = d
            used.add(d.key)
            placed.add(i)
    return chosen, [d for d in latest if d.key not in used]


def _fits(d: Decision, key: Key, item: Item) -> float:
    """How well an item fits a decision, 0 for not at all."""
    if d.note is not None and d.note != key.note:
        return 0.0
    by_review = isinstance(item, SetAside) and item.reason in (REJECTED, IGNORED) and key.was in (d.was, None)
    read_so = by_review or key.was in (d.was, d.descriptor)
    if d.everywhere:
        return float(read_so and (by_review or not isinstance(item, SetAside)))
    if not d.occurrence:
        return float(d.speaker in (None, key.speaker) and (d.was is None or read_so))
    if not read_so:
        return 0.0
    score = likeness(d.context, key.context)
    return score + SAME_SPEAKER * (d.speaker == key.speaker) + SAME_PLACE * (d.occurrence == key.occurrence)


# --- what a decision makes of an item ---


def _decided(item: Item, d: Decision, strengths: Mapping[str, float]) -> Item:
    spot = d.details.at(item.spot)
    if d.decide in ("reject", "ignore"):
        return SetAside(spot, REJECTED if d.decide == "reject" else IGNORED, _flavour_of(item))
    if spot != item.spot:
        item = replace(item, spot=spot)
    if d.details.attribute and d.decide != "house":
        return _quality(item, d)
    if isinstance(item, AttributeFinding):
        return _attribute(item, d, strengths)
    id = d.descriptor or _flavour_of(item)
    if id is None or (d.decide == "house" and isinstance(item, SetAside)):
        return item
    if not isinstance(item, Finding):
        return _described(_made(item.spot, id, d), d.details, strengths)
    if item.descriptor != id:
        item = replace(item, descriptor=id, fault=d.fault, parts=(), via="word", match=1.0)
    if d.decide == "house":  # it says what words mean, not that somebody found it
        return replace(item, two_faced=False)
    present = item.present if d.present is None else d.present
    return _described(
        replace(item, two_faced=False, present=present, asked=False, crossing=None, sure=1.0), d.details, strengths
    )


def _attribute(item: AttributeFinding, d: Decision, strengths: Mapping[str, float]) -> Item:
    """A quality accepted; or changed, where a flavour was meant ("bright" for lemon)."""
    if d.decide == "house":
        return item
    if d.descriptor and d.decide != "accept":
        made = _made(item.spot, d.descriptor, d)
        certainty = 0.5 if item.hedged else 1.0
        made = replace(made, standing=item.standing, hedged=item.hedged, certainty=certainty)
        return _described(made, d.details, strengths)
    return _judged(replace(item, asked=False, crossing=None, sure=1.0), d.details)


def _quality(item: Item, d: Decision) -> AttributeFinding:
    """Words that are a quality: another than was read, or where none was read."""
    if isinstance(item, AttributeFinding):
        return _judged(replace(item, asked=False, sure=1.0), d.details)
    made = _made_quality(item.spot, d.details)
    if isinstance(item, Finding):
        made = replace(made, hedged=item.hedged, standing=item.standing)
    return _judged(made, d.details)


def _judged(item: AttributeFinding, details: Details) -> AttributeFinding:
    """The quality with what a person said of it."""
    if details.attribute:
        item = replace(item, attribute=details.attribute)
    if details.level:
        item = replace(item, level=details.level, step=STEP_OF_LEVEL[details.level], present=details.level != "none")
    if details.doubt is not None:
        item = replace(item, hedged=details.doubt)
    return item if details.standing is None else replace(item, standing=details.standing)


def _described(item: Finding, details: Details, strengths: Mapping[str, float]) -> Finding:
    """The finding with what a person said of its strength, doubt and standing."""
    if details == NOTHING:
        return item
    if details.degree is not None:
        item = replace(item, degree=details.degree or None, strength=strengths.get(details.degree))
    if details.doubt is not None:
        item = replace(item, hedged=details.doubt, certainty=0.5 if details.doubt else 1.0)
    if details.standing is not None:
        item = replace(item, standing=details.standing, echo=details.standing == "echo")
    return item


def _made(spot: Spot, id: str, d: Decision) -> Finding:
    return Finding(_id_of(spot, id), id, spot, present=d.present is not False, fault=d.fault)


def _made_quality(spot: Spot, details: Details) -> AttributeFinding:
    level, attribute = details.level or "high", details.attribute or ""
    return AttributeFinding(
        _id_of(spot, attribute), attribute, level, STEP_OF_LEVEL[level], spot, present=level != "none"
    )


def _id_of(spot: Spot, target: str) -> str:
    return f"{spot.note or spot.source}:{spot.span[0]}-{spot.span[1]}:{target}"


# --- what a person found where nothing was read ---


def _added(
    decisions: Decisions, stretches: Stretches, strengths: Mapping[str, float]
) -> tuple[list[tuple[Decision, Finding | AttributeFinding]], list[Decision]]:
    """What was added, where its words stand, and the decisions whose words stand nowhere any more."""
    made: list[tuple[Decision, Finding | AttributeFinding]] = []
    astray = []
    for d in decisions.entries:
        if d.decide != "add":
            continue
        spot = stretches.text.find(d.mark, decisions.texts)
        place = None if spot is None else stretches.text.place(spot)
        if spot is None or place is None:
            astray.append(d)
            continue
        at = d.details.at(replace(stretches.said.spot(place, place + len(spot.words)), span=spot.span))
        made.append((d, _hand_made(at, d, strengths)))
    return made, astray


def _hand_made(spot: Spot, d: Decision, strengths: Mapping[str, float]) -> Finding | AttributeFinding:
    if d.descriptor:
        found = _described(_made(spot, d.descriptor, d), d.details, strengths)
        return replace(found, id=f"{found.id}{ADDED}")
    quality = _judged(_made_quality(spot, d.details), d.details)
    return replace(quality, id=f"{quality.id}{ADDED}")


def _flavour_of(item: Item) -> str | None:
    return None if isinstance(item, (AttributeFinding, Unresolved)) else target_of(item)


__all__ = ["ADDED", "IGNORED", "REJECTED", "Applied", "Row", "applied", "apply", "matched", "settled"]
