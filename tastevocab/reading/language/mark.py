"""What a turn names: flavours and qualities as mentions, each at its words."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple, cast

from tastevocab.reading.records import Via
from tastevocab.reading.words.utterance import Utterance
from tastevocab.vocabulary.compose import Piece
from tastevocab.vocabulary.lookup import ATTRIBUTE, QUALITY
from tastevocab.vocabulary.phrases import Sense

_MATCH = {"spelling": 0.85, "sound": 0.85, "heard": 0.9}


class Mention(NamedTuple):
    """Words [start, end) that name a descriptor, or with `quality` an attribute.

    `step` is the step (1..5) a quality's word means, 0 where only its name is said. `via` and `match` say how the words
    were known, `state` and `parts` what stands with a flavour.
    """

    start: int
    end: int
    target: str
    quality: bool = False
    step: int = 0
    state: str | None = None
    parts: tuple[str, ...] = ()
    via: Via = "word"
    match: float = 1.0


def mentions_of(u: Utterance) -> list[Mention]:
    """The flavours and qualities a turn names, in the order of their words; words that can be either give both."""
    found: list[Mention] = []
    ignored = u.lexicon.names.ignored
    for piece in u.pieces:
        if ignored and tuple(u.own[piece.start : piece.end]) in ignored:  # the house says it is no flavour of theirs
            continue
        if piece.descriptor is not None:
            found.append(_flavour(piece))
        attribute = quality_of(piece.senses)
        if attribute is not None:
            found.append(Mention(piece.start, piece.end, attribute[0], True, attribute[1]))
    return found


def _flavour(piece: Piece) -> Mention:
    assert piece.descriptor is not None
    via = piece.mark if piece.mark in _MATCH else piece.via
    known, match = cast(Via, via), _MATCH.get(via, 1.0)
    return Mention(piece.start, piece.end, piece.descriptor, False, 0, piece.state, piece.parts, known, match)


@lru_cache(maxsize=16_384)
def quality_of(senses: tuple[Sense, ...]) -> tuple[str, int] | None:
    """The attribute among senses and the step its word means (0: the bare name), or None."""
    for sense in senses:
        if sense.kind == ATTRIBUTE:
            return sense.value, int(sense.detail or 4)
    for sense in senses:
        if sense.kind == QUALITY:
            return sense.value, 0
    return None
