"""Scope: which pattern reaches which name, from which side, over what. The one such rule; all else asks for edges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import NamedTuple

from tastevocab.reading.language.mark import Mention
from tastevocab.reading.language.utterance import Cue, Utterance

NEAR, FAR = 2, 6  # words that are not small between a pattern and what it reaches


class Edge(NamedTuple):
    """A pattern in the sentence of a mention: its kind and value, the side it stands on ("before", "after", "over"),
    how far (0 right beside, over small words at most; 1 near; 2 far; 3 beyond), and whether another name or a comma
    stands between."""

    kind: str
    value: str
    side: str
    far: int
    name: bool
    comma: bool


def edges(u: Utterance, m: Mention, named: Sequence[bool]) -> Iterator[Edge]:
    """Every pattern that stands in the sentence of `m`; `named[i]` says whether word i stands in a name."""
    first, last = u.sentence_range(m.start)
    answer = afterthought(u, m)
    if answer:
        last = min(last, answer[0].start) if answer[0].start < last else last
        kinds = dict.fromkeys((answer[1], *u.lexicon.afterthoughts[answer[1]]))
        yield from (Edge(kind, answer[0].value, "before", 0, False, False) for kind in kinds)
    small = u.lexicon.small
    loose = (not (name or own in small) for name, own in zip(named[first:last], u.own[first:last], strict=True))
    upto = list(accumulate(loose, initial=0))  # words that are not small before each word of the sentence
    for kind, cues in u.cues.items():
        for cue in cues:
            if cue.start < first or cue.end > last:
                continue
            if cue.end <= m.start:
                side, low, high = "before", cue.end, m.start
            elif cue.start >= m.end:
                side, low, high = "after", m.end, cue.start
            elif cue.start <= m.start and m.end <= cue.end and cue.end - cue.start > m.end - m.start:
                side, low, high = "over", first, first
            else:
                continue
            between = upto[high - first] - upto[low - first]
            far = 0 if between == 0 else 1 if between <= NEAR else 2 if between <= FAR else 3
            yield Edge(kind, cue.value, side, far, any(named[low:high]), _comma(u, low, high, side))


def afterthought(u: Utterance, m: Mention) -> tuple[Cue, str] | None:
    """A pattern right after the name that ends its clause, even over a comma or the name's own question mark, with its
    kind: "coco, para nada" is "no coco" where a language says so."""
    for kind in u.lexicon.afterthoughts:
        for cue in u.cues.get(kind, ()):
            if cue.start == m.end and cue.end == u.clause_range(cue.start)[1] and _answers(u, cue.start):
                return cue, kind
    return None


def _answers(u: Utterance, i: int) -> bool:
    """Whether word i goes on with what stands before it, or answers it."""
    return u.sentence[i - 1] == u.sentence[i] or "?" in u.gaps[i]


def _comma(u: Utterance, low: int, high: int, side: str) -> bool:
    """Whether a clause ends between the words before `low` and from `high` on."""
    return side != "over" and u.clause[low - 1] != u.clause[high]


def named_words(u: Utterance) -> list[bool]:
    """For each word whether it stands in a name of a flavour or quality."""
    named = [False] * (len(u.words) + 1)
    for piece in u.pieces:
        named[piece.start : piece.end] = [True] * (piece.end - piece.start)
    return named
