"""Levels that answer what was asked: a cell under an attribute's heading, a turn that says "high", an open question."""

from __future__ import annotations

import re
from functools import lru_cache

from tastevocab.reading.language.marks import SCORE, STEP_OF_LEVEL, level_of_step, score_level
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance
from tastevocab.vocabulary.compose import Piece
from tastevocab.vocabulary.lookup import ATTRIBUTE, QUALITY
from tastevocab.vocabulary.phrases import Sense


def attribute_of(piece: Piece) -> tuple[str, str, int] | None:
    """(kind, attribute id, step) of a piece that is an attribute's word or name, else None."""
    return _attribute_of(piece.senses)


@lru_cache(maxsize=16_384)
def _attribute_of(senses: tuple[Sense, ...]) -> tuple[str, str, int] | None:
    for sense in senses:
        if sense.kind == ATTRIBUTE:
            return ATTRIBUTE, sense.value, int(sense.detail or 4)
    for sense in senses:
        if sense.kind == QUALITY:
            return QUALITY, sense.value, 0
    return None


def level_under(u: Utterance, topic: str, *, loose: bool = False) -> list[Mention]:
    """A table cell under an attribute's heading: a level word, a mark or a bare number is that attribute's."""
    if not u.words or topic not in u.lexicon.attribute_levels:
        return []
    beside = _first_beside(u, topic)
    score = SCORE.search(u.text)
    level: tuple[str, float] | None = None
    if score:
        level = score_level(score)
    else:
        number = re.search(r"\b([0-5](?:\.5)?)\b(?!\s*/)", u.text)
        first = re.match(r"\s*([0-5](?:\.5)?)\b(?!\s*/)", u.text)
        cues = [c for c in u.of("level") if c.value and (not loose or (_answers(u, c) and not _nods(u, c)))]
        if first and not loose:
            level = level_of_step(float(first.group(1)))
        elif cues:
            longest = min(cues, key=lambda c: (c.start, -(c.end - c.start)))
            level = (longest.value, STEP_OF_LEVEL[longest.value])
        elif beside:
            step = beside
            level = (u.lexicon.attribute_levels[topic][step - 1], float(step))
        elif number:
            level = level_of_step(float(number.group(1)))
    if level is None:
        return []
    end = len(u.words) if not loose else opening_end(u)
    return [Mention(0, end, topic, attribute=True, level=level[0], step=level[1])]


def _answers(u: Utterance, cue: Cue) -> bool:
    """Whether a level answers a question for it: in the first words, with nothing before it and no flavour after."""
    assent = u.covered("assent.yes", "assent.deny")
    before = all(
        i in assent or u.is_filler(i) or u.own[i] in u.lexicon.small or u.own[i] in u.lexicon.sets["linking"]
        for i in range(cue.start)
    )
    return before and cue.end <= opening_end(u) and not any(p.start == cue.end and p.descriptor for p in u.pieces)


def answered_before(u: Utterance, m: Mention) -> bool:
    """ "I've got it as medium, kind of silky": a level that answers stands in a clause before the word `m`."""
    return any(
        c.value and c.end <= m.start and u.clause[c.start] != u.clause[m.start] and _answers(u, c) and not _nods(u, c)
        for c in u.of("level")
    )


def _nods(u: Utterance, cue: Cue) -> bool:
    """ "Fine.": said to go on, not to mark."""
    return u.own[cue.start : cue.end] in (["fine"], ["normal"])


def textures(u: Utterance, mentions: list[Mention], topic: str | None) -> None:
    """ "Body's light. Tea-like.": a word that alone follows talk of the body is a step of it, and no flavour.

    `topic` is the attribute last talked of before the turn, or None. Changes the mentions it concerns.
    """
    for m in mentions:
        first, last = u.sentence_range(m.start)
        senses = u.lexicon.beside["body"].exact(u.own[m.start : m.end]) if not m.attribute and m.reason is None else ()
        alone = all(m.start <= i < m.end or u.own[i] in u.lexicon.small or u.is_filler(i) for i in range(first, last))
        if not senses or not alone:
            continue
        before = [o for o in mentions if o.end <= first]
        if (before[-1].target if before else topic) == "body":
            step = int(senses[0].value)
            m.attribute, m.target, m.parts, m.state = True, "body", (), None
            m.level, m.step = u.lexicon.attribute_levels["body"][step - 1], float(step)


def _first_beside(u: Utterance, topic: str) -> int:
    for i in range(len(u.own)):
        _, senses = u.lexicon.beside[topic].longest(u.own, i)
        if senses:
            return int(senses[0].value)
    return 0


def only_level(u: Utterance, topic: str | None = None) -> bool:
    """Whether a turn says nothing but a level ("low, yeah", "higher for me, like, high"; "yep, short" of a finish)."""
    levels = u.covered("level", "assent.yes", "assent.no", "filler", "assent.deny")
    end = opening_end(u)
    said: list[object] = [c for c in u.of("level") if c.end <= end]
    beside = u.lexicon.beside.get(topic or "")
    for i in range(end) if beside else ():
        stop, senses = beside.longest(u.own, i)  # type: ignore[union-attr]
        if senses and stop <= end:
            said.append(senses)
            levels.update(range(i, stop))
    return bool(said) and end <= 8 and all(i in levels or u.own[i] in u.lexicon.small for i in range(end))


def opening_end(u: Utterance) -> int:
    """Where the first sentence ends, or its first clause before "but"."""
    end = u.sentence_range(0)[1] if u.words else 0
    return next((i for i in range(1, end) if u.own[i] == "but"), end)


def open_question(u: Utterance, mentions: list[Mention]) -> str | None:
    """The attribute a short turn names and says nothing of ("acidity?", "body"), for the next turn to answer."""
    if len(u.words) > 8 or not ("?" in u.text or len(u.words) <= 2):
        return None
    marked = "?" in u.text  # what is asked last is what is answered
    for piece in reversed(u.pieces) if marked else u.pieces:
        found = attribute_of(piece) if piece.descriptor is None else None
        if not found or found[0] != QUALITY or (marked and "?" not in u.gaps[u.sentence_range(piece.start)[1]]):
            continue
        said = {m.target for m in mentions if m.attribute and m.quote != (piece.start, piece.end)}
        if found[1] not in said:
            for m in [m for m in mentions if m.attribute and m.target == found[1] and not m.explicit]:
                mentions.remove(m)
            return found[1]
    return None
