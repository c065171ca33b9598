"""Judged mentions to the records a reading gives: findings, qualities, what is asked, what is set aside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TypedDict

from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.records import AttributeFinding, Finding, SetAside, Spot, Suggestion, Turn, Unresolved

STEP_OF_LEVEL = {"none": 1.0, "low": 2.0, "medium": 3.0, "high": 4.0}


class Scene(TypedDict, total=False):
    """What was in hand: ids of a session's coffee (and of the one it may be instead) and brew, or the brew as heard,
    the moment, whether it is the closing round, and whether the coffee has been named."""

    coffee: str | None
    or_coffee: str | None
    brew: str | None
    moment: str | None
    closing: bool
    revealed: bool


@dataclass(frozen=True, slots=True)
class Judged:
    """Words [start, end) of a turn and what was judged of them.

    `target` is a descriptor, or with `level` an attribute. `reason` is set where it is no finding; `sure` is the
    probability that it is one as it stands.
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
    moment: str | None = None
    brew: str | None = None
    coffee: str | None = None
    or_coffee: str | None = None
    closing: bool = False
    revealed: bool = False
    standing: str = "own"
    echo: bool = False
    reason: str | None = None
    via: str = "word"
    match: float = 1.0
    state: str | None = None
    parts: tuple[str, ...] = ()
    nose: bool = False
    signs: tuple[str, ...] = ()


Item = Finding | AttributeFinding | SetAside | Unresolved


def items_of(u: Utterance, turn: Turn, judged: Iterable[Judged], count: float, ask: float) -> Iterator[Item]:
    """The records of one turn, in the order of its words: counted from `count` on, asked from `ask` on, else aside."""
    seen: set[tuple[object, ...]] = set()
    for j in sorted(judged, key=lambda j: (j.start, j.end, j.target)):
        same = (j.target, j.level, j.start, j.end)
        if same in seen:
            continue
        seen.add(same)
        if j.reason or j.sure < ask:
            if not j.level:
                yield SetAside(spot_of(u, turn, j), j.reason or "other", j.target, round(j.sure, 2), j.signs)
            continue
        asked = j.sure < count
        yield _quality(u, turn, j, asked) if j.level else finding_of(u, turn, j, asked)


def spot_of(u: Utterance, turn: Turn, j: Judged) -> Spot:
    """Where a judged mention stands in its file, and in what circumstances."""
    a, b = u.starts[j.start], u.ends[j.end - 1]
    return Spot(
        words=u.text[a:b],
        span=(turn.file_position(a), turn.file_position(b - 1) + 1),
        source=turn.source,
        note=turn.note,
        speaker=turn.speaker,
        at=turn.time_at(a) if turn.times else None,
        coffee=turn.coffee or j.coffee,
        brew=turn.brew or j.brew,
        moment=turn.moment or j.moment,
        place=j.place,
        bowl=turn.bowl,
        line=turn.line,
        closing=j.closing,
        revealed=j.revealed,
        or_coffee=None if turn.coffee else j.or_coffee,
    )


def pieces_of(turn: Turn, scene: Scene) -> Iterator[Spot]:
    """A turn's text in pieces in which place in the file and second run on evenly, with what is in hand; one empty
    piece where somebody has a row and no word in it."""
    cuts = {0, *(p for p, _ in turn.offsets), *(p for p, _ in turn.times)}
    ends = sorted({*(c for c in cuts if 0 <= c < len(turn.text)), len(turn.text)})
    for start, end in pairwise(ends) if turn.text else ((0, 0),):
        yield Spot(
            words=turn.text[start:end],
            span=(turn.file_position(start), turn.file_position(end - 1) + 1) if turn.text else (0, 0),
            source=turn.source,
            note=turn.note,
            speaker=turn.speaker,
            at=turn.time_at(start) if turn.times else None,
            coffee=turn.coffee or scene.get("coffee"),
            brew=turn.brew or scene.get("brew"),
            moment=turn.moment or scene.get("moment"),
            bowl=turn.bowl,
            line=turn.line,
            closing=scene.get("closing", False),
            revealed=scene.get("revealed", False),
            or_coffee=None if turn.coffee else scene.get("or_coffee"),
        )


def unresolved(u: Utterance, turn: Turn, start: int, end: int, suggestions: Iterable[tuple[str, float]]) -> Unresolved:
    """Words in the place of a flavour that nothing is known of, with what they may have meant."""
    spot = spot_of(u, turn, Judged(start, end, "", 0.0))
    return Unresolved(spot, tuple(Suggestion(d, m) for d, m in suggestions))


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
        standing=j.standing,  # type: ignore[arg-type]
        degree=j.degree,
        strength=lexicon.strength.get(j.degree) if j.degree else None,
        certainty=0.5 if j.hedged else 1.0,
        hedged=j.hedged,
        via=j.via,  # type: ignore[arg-type]
        match=j.match,
        state=j.state,
        parts=j.parts,
        fault=j.target in lexicon.names.faults,
        two_faced=_two_faced(lexicon, u, j),
        nose=j.nose,
        echo=j.echo,
        sure=round(j.sure, 2),
        signs=j.signs,
        asked=asked,
    )


def _two_faced(lexicon: Lexicon, u: Utterance, j: Judged) -> bool:
    return j.target in lexicon.two_faced or " ".join(u.own[j.start : j.end]) in lexicon.two_faced_words


def _quality(u: Utterance, turn: Turn, j: Judged, asked: bool) -> AttributeFinding:
    spot = spot_of(u, turn, j)
    present = j.level != "none"
    return AttributeFinding(
        id=_id(turn, spot, j.target),
        attribute=j.target,
        level=j.level,
        step=j.step or STEP_OF_LEVEL[j.level],
        spot=spot,
        present=present,
        standing=j.standing,  # type: ignore[arg-type]
        hedged=j.hedged,
        sure=round(j.sure, 2),
        signs=j.signs,
        asked=asked,
    )
