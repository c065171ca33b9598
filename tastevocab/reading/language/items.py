"""Judged mentions to the records a reading gives: findings, qualities, what is asked, what is set aside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise, starmap
from operator import attrgetter
from typing import NamedTuple, TypedDict

from tastevocab.reading.records import (
    AttributeFinding,
    Finding,
    SetAside,
    Spot,
    Standing,
    Suggestion,
    Turn,
    Unresolved,
    Via,
)  # fmt: skip
from tastevocab.reading.words.utterance import Utterance

STEP_OF_LEVEL = {"none": 1.0, "low": 2.0, "medium": 3.0, "high": 4.0}
_PLACE = attrgetter("start", "end", "target")


class Scene(TypedDict, total=False):
    """What was in hand: ids of a session's coffee (and of the one it may be instead) and brew, or the brew as heard,
    the moment, whether it is the closing round, and whether the coffee has been named."""

    coffee: str | None
    or_coffee: str | None
    brew: str | None
    moment: str | None
    closing: bool
    revealed: bool


NOTHING: Scene = {}


class Judged(NamedTuple):
    """Words [start, end) of a turn and what was judged of them.

    `target` is a descriptor, or with `level` an attribute. `reason` is set where it is no finding; `sure` is the
    probability that it is one as it stands; `scene` is what was in hand.
    """

    start: int
    end: int
    target: str
    sure: float
    present: bool = True
    level: str = ""
    step: float = 0
    hedged: bool = False
    degree: str | None = None
    place: str | None = None
    scene: Scene = NOTHING
    standing: Standing = "own"
    echo: bool = False
    reason: str | None = None
    via: Via = "word"
    match: float = 1.0
    state: str | None = None
    parts: tuple[str, ...] = ()
    nose: bool = False
    signs: tuple[str, ...] = ()


Item = Finding | AttributeFinding | SetAside | Unresolved


def items_of(u: Utterance, turn: Turn, judged: Iterable[Judged], count: float, ask: float) -> Iterator[Item]:
    """The records of one turn, in the order of its words: counted from `count` on, asked from `ask` on, else aside."""
    seen: set[tuple[object, ...]] = set()
    for j in sorted(judged, key=_PLACE):
        same = (j.target, j.level, j.start, j.end)
        if same in seen:
            continue
        seen.add(same)
        if j.reason or j.sure < ask:
            if not j.level:
                yield SetAside(spot_of(u, turn, j), j.reason or "other", j.target, round(j.sure, 2), j.signs)
        else:
            yield (_quality if j.level else finding_of)(u, turn, j, j.sure < count)


def spot_of(u: Utterance, turn: Turn, j: Judged) -> Spot:
    """Where a judged mention stands in its file, and in what circumstances."""
    return _spot(turn, u.starts[j.start], u.ends[j.end - 1], j.scene, j.place)


def pieces_of(turn: Turn, scene: Scene) -> Iterator[Spot]:
    """A turn's text in pieces in which place in the file and second run on evenly, with what is in hand; one empty
    piece where somebody has a row and no word in it."""
    length = len(turn.text)
    cuts = {0, length, *(p for p, _ in (*turn.offsets, *turn.times) if 0 < p < length)}
    for start, end in pairwise(sorted(cuts)) if length else ((0, 0),):
        yield _spot(turn, start, end, scene)


def _spot(turn: Turn, start: int, end: int, scene: Scene, place: str | None = None) -> Spot:
    """The characters [start, end) of a turn; what the file says itself outranks the scene."""
    return Spot(
        turn.text[start:end],
        (turn.file_position(start), turn.file_position(end - 1) + 1) if end else (0, 0),
        turn.source,
        turn.note,
        turn.speaker,
        turn.time_at(start) if turn.times else None,
        turn.coffee or scene.get("coffee"),
        turn.brew or scene.get("brew"),
        turn.moment or scene.get("moment"),
        place,
        turn.bowl,
        turn.line,
        scene.get("closing", False),
        scene.get("revealed", False),
        None if turn.coffee else scene.get("or_coffee"),
    )


def unresolved(u: Utterance, turn: Turn, start: int, end: int, suggestions: Iterable[tuple[str, float]]) -> Unresolved:
    """Words in the place of a flavour that nothing is known of, with what they may have meant."""
    return Unresolved(_spot(turn, u.starts[start], u.ends[end - 1], {}), tuple(starmap(Suggestion, suggestions)))


def _id(turn: Turn, spot: Spot, target: str) -> str:
    return f"{turn.note or turn.source}:{spot.span[0]}-{spot.span[1]}:{target}"


def finding_of(u: Utterance, turn: Turn, j: Judged, asked: bool) -> Finding:
    """A judged flavour as a finding, counted or to be asked."""
    spot, lexicon = spot_of(u, turn, j), u.lexicon
    return Finding(
        id=_id(turn, spot, j.target),
        descriptor=j.target,
        spot=spot,
        present=j.present,
        standing=j.standing,
        degree=j.degree,
        strength=lexicon.strength.get(j.degree) if j.degree else None,
        certainty=0.5 if j.hedged else 1.0,
        hedged=j.hedged,
        via=j.via,
        match=j.match,
        state=j.state,
        parts=j.parts,
        fault=j.target in lexicon.names.faults,
        two_faced=j.target in lexicon.two_faced or " ".join(u.own[j.start : j.end]) in lexicon.two_faced_words,
        nose=j.nose,
        echo=j.echo,
        sure=round(j.sure, 2),
        signs=j.signs,
        asked=asked,
    )


def _quality(u: Utterance, turn: Turn, j: Judged, asked: bool) -> AttributeFinding:
    spot = spot_of(u, turn, j)
    return AttributeFinding(
        id=_id(turn, spot, j.target),
        attribute=j.target,
        level=j.level,
        step=j.step or STEP_OF_LEVEL[j.level],
        spot=spot,
        present=j.level != "none",
        standing=j.standing,
        hedged=j.hedged,
        sure=round(j.sure, 2),
        signs=j.signs,
        asked=asked,
    )
