"""The names in a turn as mentions: flavours and attributes, what overlaps, and what only looks like a name."""

from __future__ import annotations

from collections.abc import Collection

from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.records import Turn
from tastevocab.vocabulary.compose import Piece
from tastevocab.vocabulary.phrases import Sense


def attribute_cell(u: Utterance, turn: Turn, topic: str | None, loose: bool, mentions: list[Mention]) -> list[Mention]:
    """In a column about an attribute, a word that means a step of it ("tea-like" body) is no flavour."""
    if not topic or loose or not turn.topic:
        return mentions
    book = u.lexicon.beside[topic]
    return [
        m for m in mentions if not book.exact(u.own[m.start : m.end]) and not book.exact(u.own[m.start : m.end + 1])
    ]


def topic_of(u: Utterance, heading: str | None) -> str | None:
    """The attribute a table column's heading names, if it names one."""
    if not heading:
        return None
    words = tuple(k for k in u.lexicon.names.keys(heading) if not k.isdigit())
    for sense in u.lexicon.names.book.exact(words):
        if sense.kind in ("quality", "attribute"):
            return sense.value
    return None


def mention_of(piece: Piece, faults: Collection[str] = ()) -> Mention | None:
    """The flavour a piece names, or None. `faults` are ids that are never taken by ear."""
    if piece.descriptor is None:
        return None
    made = Mention(
        piece.start, piece.end, piece.descriptor, state=piece.state, parts=piece.parts, mark=piece.mark, via=piece.via
    )
    if piece.mark in ("spelling", "sound"):
        made.via, made.mark, made.match = piece.mark, "", 0.85
    if piece.via == "heard":
        made.match = 0.9
        made.reason = "ask" if piece.descriptor in faults else None  # a fault is never taken by ear
    return made


def without_degrees(u: Utterance, mentions: list[Mention]) -> list[Mention]:
    """ "light caramel", "heavy roast": a word that can be a degree is one before what it measures; and a food that
    only describes a body ("cream mouthfeel") is no flavour."""
    if not any(m.attribute for m in mentions):
        return mentions
    degrees = {(c.start, c.end) for c in u.of("degree.before")}
    spans = [(m.quote, m.start, m.end) for m in mentions if m.attribute and m.quote != (m.start, m.end)]
    kept = []
    for m in mentions:
        if m.attribute and (m.start, m.end) in degrees:
            if any(o is not m and o.start == m.end and not u.is_break(o.start) for o in mentions):
                continue
        elif (
            spans
            and not m.attribute
            and (m.target != "reach/tea_like" or not u.isolated)
            and any(
                q[0] <= m.start and m.end <= q[1] and (m.end <= a or m.start >= b) and m.end in (a, q[1])
                for q, a, b in spans
            )
            and any(s.kind == "beside" for s in _beside_senses(u, m))
        ):
            continue
        kept.append(m)
    return kept


def _beside_senses(u: Utterance, m: Mention) -> tuple[Sense, ...]:
    book = u.lexicon.beside["body"]
    return book.exact(u.own[m.start : m.end])


def without_overlap(mentions: list[Mention]) -> list[Mention]:
    """Attributes and flavours that share words: the longer one; a flavour where they tie.

    A word that says an attribute's level behind its name ("body's tea-like") is no flavour.
    """
    kept: list[Mention] = []
    said = [m.said for m in mentions if m.said]
    reach = 0  # where the furthest of those kept ends
    for m in mentions:
        if said and not m.attribute and any(start <= m.start and m.end <= end for start, end in said):
            continue
        if m.start >= reach:
            kept.append(m)
            reach = m.end
            continue
        reach = max(reach, m.end)
        clash = next((k for k in kept if k.start < m.end and m.start < k.end), None)
        if clash is None:
            kept.append(m)
        elif (m.end - m.start, not m.attribute) > (clash.end - clash.start, not clash.attribute):
            kept[kept.index(clash)] = m
    return kept
