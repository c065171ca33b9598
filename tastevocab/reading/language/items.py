"""Mentions to the records a reading gives: findings, attribute findings, set-asides."""

from __future__ import annotations

from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.mention import Mention, in_order
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.records import AttributeFinding, Finding, SetAside, Spot, Suggestion, Turn, Unresolved

Item = Finding | AttributeFinding | SetAside | Unresolved


def items_of(u: Utterance, turn: Turn, mentions: list[Mention], lexicon: Lexicon) -> list[Item]:
    found: list[Item] = []
    seen: set[tuple[object, ...]] = set()
    for m in sorted(mentions, key=in_order):
        if m.attribute:
            key = (m.target, m.level, m.moment, m.brew, m.place)
            if m.reason or key in seen:
                continue
            seen.add(key)
            item: Item = _attribute(u, turn, m)
        elif m.reason == "ask":
            item = Unresolved(spot_of(u, turn, *m.quote, m), (Suggestion(m.target, m.match),))
        elif m.reason:
            item = SetAside(spot_of(u, turn, *m.quote, m), m.reason, m.target)
        else:
            item = _finding(u, turn, m, lexicon)
        found.append(item)
    return found


def spot_of(u: Utterance, turn: Turn, start: int, end: int, m: Mention | None = None) -> Spot:
    a, b = u.starts[start], u.ends[end - 1]
    return Spot(
        words=u.text[a:b],
        span=(turn.file_position(a), turn.file_position(b - 1) + 1),
        source=turn.source,
        note=turn.note,
        speaker=(m.speaker if m and m.speaker else turn.speaker),
        at=turn.time_at(a) if turn.times else None,
        coffee=turn.coffee,
        brew=m.brew if m else turn.brew,
        moment=m.moment if m else turn.moment,
        place=m.place if m else None,
        bowl=turn.bowl,
        line=turn.line,
    )


def _id(turn: Turn, spot: Spot, target: str) -> str:
    start, end = spot.span
    return f"{turn.note or turn.source}:{start}-{end}:{target}"


def _finding(u: Utterance, turn: Turn, m: Mention, lexicon: Lexicon) -> Finding:
    spot = spot_of(u, turn, *m.quote, m)
    return Finding(
        id=_id(turn, spot, m.target),
        descriptor=m.target,
        spot=spot,
        present=m.present,
        standing=m.standing,  # type: ignore[arg-type]
        degree=m.degree,
        strength=lexicon.strength.get(m.degree) if m.degree else None,
        certainty=m.certainty,
        hedged=m.hedged,
        via=m.via,  # type: ignore[arg-type]
        match=m.match,
        state=m.state,
        parts=m.parts,
        fault=m.target in lexicon.names.faults,
        two_faced=m.target in lexicon.two_faced or " ".join(u.own[m.start : m.end]) in lexicon.two_faced_words,
        nose=m.nose,
        echo=m.echo,
    )


def _attribute(u: Utterance, turn: Turn, m: Mention) -> AttributeFinding:
    spot = spot_of(u, turn, *m.quote, m)
    return AttributeFinding(
        id=_id(turn, spot, m.target),
        attribute=m.target,
        level=m.level if m.present else "none",
        step=m.step if m.present else 1.0,
        spot=spot,
        present=m.present,
        standing=m.standing,  # type: ignore[arg-type]
        hedged=m.hedged,
    )


# --- whole texts and files ---
